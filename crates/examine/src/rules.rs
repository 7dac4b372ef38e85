//! Corrections that a caller can allow. Each is applied only where it leaves no choice, and listed.
//! A label that disagrees with its distance by one bout is never corrected by a rule.

use serde::{Serialize, Serializer};

/// A correction that a caller can allow.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rule {
    /// `14.1` becomes `14.10` where the distance, count or time says so.
    TrailingZeroFromDistance,
    /// A date in a label column becomes the label whose distance, count or time agrees.
    LabelFromDate,
    /// A distance in shuttles, laps or kilometres becomes metres where the label agrees.
    UnitFromLabel,
    /// Two-digit years take the century that puts them in the last hundred years.
    TwoDigitYears,
    /// A date whose day and month are the other way round becomes the one that fits the column.
    SwapDayAndMonth,
    /// A zero without a reason becomes "no result".
    ZeroIsAbsent,
}

impl Rule {
    /// Every rule.
    pub const ALL: [Self; 6] = [
        Self::TrailingZeroFromDistance,
        Self::LabelFromDate,
        Self::UnitFromLabel,
        Self::TwoDigitYears,
        Self::SwapDayAndMonth,
        Self::ZeroIsAbsent,
    ];

    /// Returns the name used on a command line and in reports.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::TrailingZeroFromDistance => "trailing-zero-from-distance",
            Self::LabelFromDate => "label-from-date",
            Self::UnitFromLabel => "unit-from-label",
            Self::TwoDigitYears => "two-digit-years",
            Self::SwapDayAndMonth => "swap-day-and-month",
            Self::ZeroIsAbsent => "zero-is-absent",
        }
    }

    /// Returns the rule with this name.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|rule| rule.as_str() == name)
    }
}

impl Serialize for Rule {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.as_str())
    }
}
