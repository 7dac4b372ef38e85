//! The one canonical fact about a runner in a test: ladder, completed bouts, why they stopped.
//! Label, distance, time and speed are derived from it and never stored as facts.

use serde::{Deserialize, Serialize};

use crate::StopReason;

/// What a number of completed bouts says about the runner.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Censoring {
    /// The runner could not do more: a score.
    Score,
    /// The ladder ended before the runner did: a score, with nothing left above it.
    Ceiling,
    /// The run ended for another cause: known only as "at least".
    LowerBound,
}

/// How much a runner completed, in the unit the test counts in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Amount {
    /// Paced tests: the last bout completed within the rule, counted from 1; 0 when none was.
    Bouts(u32),
    /// Runs for distance: millimetres covered.
    DistanceMm(u32),
    /// Runs for time: milliseconds taken.
    TimeMs(u32),
}

impl Amount {
    /// Returns the unit's stored word and the whole number in that unit.
    pub const fn to_parts(self) -> (&'static str, u32) {
        match self {
            Self::Bouts(n) => ("bouts", n),
            Self::DistanceMm(n) => ("distance_mm", n),
            Self::TimeMs(n) => ("time_ms", n),
        }
    }

    /// Returns the amount for a stored word and number, or nothing for a word it does not know.
    pub fn from_parts(unit: &str, value: u32) -> Option<Self> {
        match unit {
            "bouts" => Some(Self::Bouts(value)),
            "distance_mm" => Some(Self::DistanceMm(value)),
            "time_ms" => Some(Self::TimeMs(value)),
            _ => None,
        }
    }
}

/// The canonical fact of one runner in one test.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Outcome {
    /// Id of the test definition whose ladder was run.
    pub ladder: String,
    /// How much was completed.
    pub amount: Amount,
    /// Why the runner stopped.
    pub reason: StopReason,
}

impl Outcome {
    /// Returns what the completed bouts say about the runner.
    ///
    /// Exhaustion and misses give a score. A reason that is not recorded counts as a score too,
    /// and callers flag it. The end of the ladder is a score at the ceiling. Everything else is a
    /// lower bound. Common practice, no source.
    pub const fn censoring(&self) -> Censoring {
        match self.reason {
            StopReason::Exhaustion | StopReason::Misses | StopReason::NotRecorded => {
                Censoring::Score
            }
            StopReason::EndOfLadder => Censoring::Ceiling,
            StopReason::Injury
            | StopReason::Medical
            | StopReason::Technical
            | StopReason::Discipline
            | StopReason::Withdrew => Censoring::LowerBound,
        }
    }

    /// Returns whether the result is known only as "at least" and must stay out of means.
    pub const fn is_lower_bound(&self) -> bool {
        matches!(self.censoring(), Censoring::LowerBound)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outcome(reason: StopReason) -> Outcome {
        Outcome {
            ladder: "ir1".to_owned(),
            amount: Amount::Bouts(14),
            reason,
        }
    }

    #[test]
    fn an_injury_stop_is_a_lower_bound_and_an_exhausted_one_is_not() {
        assert!(outcome(StopReason::Injury).is_lower_bound());
        assert!(!outcome(StopReason::Exhaustion).is_lower_bound());
        assert!(!outcome(StopReason::Misses).is_lower_bound());
        assert_eq!(
            outcome(StopReason::EndOfLadder).censoring(),
            Censoring::Ceiling
        );
    }
}
