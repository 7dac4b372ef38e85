//! Which way each runner of a day moved, what says so, and how many of each: one count for every output.
//! Must not judge: the caller decides, by the level where there is one, else by the two tests alone.

use serde::{Deserialize, Serialize};

use super::DayReport;

/// Which way a runner moved, as far as can be told.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Way {
    /// Likely better by more than matters.
    Better,
    /// Likely worse by more than matters.
    Worse,
    /// Likely no change that matters.
    Same,
    /// The doubt allows any of them.
    #[default]
    Unclear,
    /// Today is known only as "at least", and that is not enough to tell.
    CutShort,
    /// There is no earlier result to compare with.
    First,
}

impl Way {
    /// All ways, in the order in which they are counted.
    pub const ALL: [Self; 6] = [
        Self::Better,
        Self::Worse,
        Self::Same,
        Self::Unclear,
        Self::CutShort,
        Self::First,
    ];

    /// Returns the word that tables and documents hold.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Better => "better",
            Self::Worse => "worse",
            Self::Same => "same",
            Self::Unclear => "unclear",
            Self::CutShort => "cut_short",
            Self::First => "first",
        }
    }
}

/// What says which way a runner moved.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    /// The level from all results of the person and the squad.
    Level,
    /// Today's result and the one before, alone.
    #[default]
    TwoTests,
}

impl Basis {
    /// Returns the word that tables and documents hold.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Level => "level",
            Self::TwoTests => "two_tests",
        }
    }

    /// Returns the basis as people read it.
    pub const fn in_words(self) -> &'static str {
        match self {
            Self::Level => "level from all results",
            Self::TwoTests => "the two tests alone",
        }
    }
}

/// Which way one runner moved.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Move {
    /// Id of the runner's line.
    pub id: String,
    /// Which way.
    pub way: Way,
    /// What says so.
    pub basis: Basis,
    /// Chance of that way, 0 to 1; nothing where it is open, unclear or the first result.
    pub chance: Option<f64>,
}

/// How the wave as a whole lies against what its runners' histories lead to expect.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct WaveShift {
    /// Runners whose result could be predicted.
    pub runners: u32,
    /// Mean of result over prediction minus 1: 0.04 is 4 % further.
    pub shift: f64,
}

/// How many runners moved which way.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct Tally {
    /// Likely better.
    pub better: usize,
    /// Likely worse.
    pub worse: usize,
    /// Likely no change that matters.
    pub same: usize,
    /// Unclear.
    pub unclear: usize,
    /// Known only as "at least", and open.
    pub cut_short: usize,
    /// Without an earlier result.
    pub first: usize,
}

impl Tally {
    fn of<'a>(moves: impl Iterator<Item = &'a Move>) -> Self {
        let mut tally = Self::default();
        for one in moves {
            *tally.place(one.way) += 1;
        }
        tally
    }

    fn place(&mut self, way: Way) -> &mut usize {
        match way {
            Way::Better => &mut self.better,
            Way::Worse => &mut self.worse,
            Way::Same => &mut self.same,
            Way::Unclear => &mut self.unclear,
            Way::CutShort => &mut self.cut_short,
            Way::First => &mut self.first,
        }
    }

    /// Returns how many runners could be compared at all.
    pub const fn compared(&self) -> usize {
        self.better + self.worse + self.same + self.unclear
    }
}

impl DayReport {
    /// Returns which way the runner of a line moved; nothing where the caller has not said.
    pub fn moved(&self, id: &str) -> Option<&Move> {
        self.moves.iter().find(|one| one.id == id)
    }

    /// Returns how many moved which way, whatever says so.
    pub fn tally(&self) -> Tally {
        Tally::of(self.moves.iter())
    }

    /// Returns how many moved which way by one basis.
    pub fn tally_by(&self, basis: Basis) -> Tally {
        Tally::of(self.moves.iter().filter(|one| one.basis == basis))
    }
}
