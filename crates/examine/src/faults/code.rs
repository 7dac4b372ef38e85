//! The codes of findings: stable names, the number in the catalogue of faults, how bad each is.
//! The catalogue has 22 kinds of error; a kind that shows in different ways has several codes.

use serde::{Serialize, Serializer};

/// How bad a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// A value would be stored wrong.
    WrongValue,
    /// It is not clear whose, when or which attempt.
    WrongPlace,
    /// Look at it; the rows are not held back.
    Check,
}

macro_rules! codes {
    ($($(#[doc = $doc:literal])* $variant:ident = $number:literal $name:literal $severity:ident,)*) => {
        /// What was found.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Code {
            $($(#[doc = $doc])* $variant,)*
        }

        impl Code {
            /// Every code, the worst first.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)*];

            /// Returns the stable name.
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$variant => $name,)* }
            }

            /// Returns the number in the catalogue of faults, 1 to 22; 0 for a cell that cannot be read.
            pub const fn catalogue_number(self) -> u8 {
                match self { $(Self::$variant => $number,)* }
            }

            /// Returns how bad it is.
            pub const fn severity(self) -> Severity {
                match self { $(Self::$variant => Severity::$severity,)* }
            }
        }
    };
}

codes! {
    /// Most rows were made with the table of another ladder, or the file mixes ladders.
    LaddersMixed = 7 "ladders-mixed" WrongValue,
    /// A label and its distance, count, time or speed disagree.
    LabelDistanceDisagree = 2 "label-distance-disagree" WrongValue,
    /// Bouts per stage are those of a competing table of the same test.
    BoutsPerStageDiffer = 9 "bouts-per-stage-differ" WrongValue,
    /// A column runs one bout ahead of or behind the others.
    OffByOne = 8 "off-by-one" WrongValue,
    /// Values stand in the rows of other people.
    RowSlip = 10 "row-slip" WrongValue,
    /// One value was copied down over several people.
    CopiedDown = 10 "copied-down" WrongValue,
    /// A label that the ladder does not have.
    LabelNotOnLadder = 1 "label-not-on-ladder" WrongValue,
    /// `14.10` has become `14.1`.
    TrailingZeroLost = 3 "trailing-zero-lost" WrongValue,
    /// A spreadsheet turned a label into a date.
    LabelBecameDate = 4 "label-became-date" WrongValue,
    /// A value is in another unit than the rest of its column.
    UnitMixed = 6 "unit-mixed" WrongValue,
    /// A distance at which no bout ends.
    DistanceNotAStep = 5 "distance-not-a-step" WrongValue,
    /// A value beyond the end of the ladder.
    BeyondLadderEnd = 15 "beyond-ladder-end" WrongValue,
    /// Zero where somebody was absent.
    ZeroForAbsent = 13 "zero-for-absent" WrongValue,
    /// A result far below the person's own, with no reason or a note that hints at one.
    ReasonMissingAfterDrop = 14 "reason-missing-after-drop" WrongValue,
    /// A result far outside the person's own history.
    OutsideOwnHistory = 15 "outside-own-history" WrongValue,
    /// Day and month the other way round.
    DateSwapped = 12 "date-swapped" WrongPlace,
    /// A date of birth or a test day that cannot be.
    DateImplausible = 12 "date-implausible" WrongPlace,
    /// Years with two digits.
    TwoDigitYear = 12 "two-digit-year" WrongPlace,
    /// Two rows that may be one person.
    DuplicatePerson = 11 "duplicate-person" WrongPlace,
    /// Several results of a person on a day without an attempt number.
    AttemptMissing = 21 "attempt-missing" WrongPlace,
    /// A cell that cannot be read as what its column holds.
    CellUnreadable = 0 "cell-unreadable" WrongValue,
    /// A word in the reason column that names no stop reason.
    ReasonUnknown = 0 "reason-unknown" WrongValue,
    /// A test that is not in the catalogue.
    TestUnknown = 0 "test-unknown" WrongValue,
    /// A result without a person.
    PersonMissing = 0 "person-missing" WrongPlace,
    /// A whole wave moved against its own history.
    WaveShifted = 17 "wave-shifted" Check,
    /// Too many results on stage starts or round numbers.
    Heaping = 16 "heaping" Check,
    /// Heart rates that a heart or a strap does not give.
    HeartRateImplausible = 18 "heart-rate-implausible" Check,
    /// Devices whose clocks differ.
    ClocksDiffer = 19 "clocks-differ" Check,
    /// Group sizes or sex ratios that do not add up.
    GroupImplausible = 20 "group-implausible" Check,
    /// A centile that does not fit its table.
    CentileTableMismatch = 22 "centile-table-mismatch" Check,
    /// A centile without the table it was looked up in.
    CentileWithoutTable = 22 "centile-without-table" Check,
}

impl Code {
    /// Returns whether rows with this finding are held back until a person settles it.
    pub const fn holds(self) -> bool {
        !matches!(self.severity(), Severity::Check)
    }

    /// Returns the code with this name.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|code| code.as_str() == name)
    }
}

impl Serialize for Code {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_of_the_catalogue_has_a_code() {
        for number in 1..=22 {
            assert!(
                Code::ALL.iter().any(|c| c.catalogue_number() == number),
                "no code for {number}"
            );
        }
        for code in Code::ALL {
            assert_eq!(Code::from_name(code.as_str()), Some(*code));
        }
    }
}
