//! Why a runner stopped. The reason decides whether a result is a score or a lower bound.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

/// Why a runner stopped.
///
/// Common practice, no source: the list of reasons in use on pitches.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum StopReason {
    /// The runner chose to stop because of fatigue.
    Exhaustion,
    /// The miss rule of the test ended the run.
    Misses,
    /// The runner completed the last bout of the ladder.
    EndOfLadder,
    /// An injury ended the run.
    Injury,
    /// Staff withdrew the runner for a medical concern.
    Medical,
    /// Sound, collision, shoe or course: nothing to do with fitness.
    Technical,
    /// Sent off.
    Discipline,
    /// The runner or a guardian withdrew consent to the test.
    Withdrew,
    /// The record does not say.
    NotRecorded,
}

impl StopReason {
    /// Every reason, in the order in which a form lists them.
    pub const ALL: [Self; 9] = [
        Self::Exhaustion,
        Self::Misses,
        Self::EndOfLadder,
        Self::Injury,
        Self::Medical,
        Self::Technical,
        Self::Discipline,
        Self::Withdrew,
        Self::NotRecorded,
    ];

    /// Returns the word stored in files and the archive.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Exhaustion => "exhaustion",
            Self::Misses => "misses",
            Self::EndOfLadder => "end_of_ladder",
            Self::Injury => "injury",
            Self::Medical => "medical",
            Self::Technical => "technical",
            Self::Discipline => "discipline",
            Self::Withdrew => "withdrew",
            Self::NotRecorded => "not_recorded",
        }
    }

    /// Returns the words a person reads.
    pub const fn in_words(self) -> &'static str {
        match self {
            Self::Exhaustion => "exhaustion",
            Self::Misses => "misses",
            Self::EndOfLadder => "end of ladder",
            Self::Injury => "injury",
            Self::Medical => "medical",
            Self::Technical => "technical",
            Self::Discipline => "discipline",
            Self::Withdrew => "withdrew",
            Self::NotRecorded => "reason not recorded",
        }
    }

    /// Returns the words in which coaches write this reason, lower case.
    const fn synonyms(self) -> &'static [&'static str] {
        match self {
            Self::Exhaustion => &[
                "exhaustion",
                "exhausted",
                "fatigue",
                "fatigued",
                "voluntary",
                "tired",
                "volitional",
                "vol",
                "fat",
            ],
            Self::Misses => &[
                "misses",
                "missed",
                "two misses",
                "2 misses",
                "miss",
                "warnings",
            ],
            Self::EndOfLadder => &[
                "end_of_ladder",
                "end of ladder",
                "end",
                "completed",
                "finished",
                "complete",
            ],
            Self::Injury => &["injury", "injured", "inj", "hurt"],
            Self::Medical => &["medical", "med", "ill", "illness", "unwell"],
            Self::Technical => &[
                "technical",
                "tech",
                "audio",
                "sound",
                "collision",
                "shoe",
                "course",
            ],
            Self::Discipline => &["discipline", "sent off", "sent_off"],
            Self::Withdrew => &["withdrew", "withdrawn", "withdrew consent", "consent"],
            Self::NotRecorded => &["not_recorded", "not recorded", "", "-", "?", "unknown"],
        }
    }
}

impl fmt::Display for StopReason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.in_words())
    }
}

/// A word that names no stop reason.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnknownReason {
    /// The word found.
    pub found: String,
}

impl fmt::Display for UnknownReason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let known: Vec<&str> = StopReason::ALL.iter().map(|r| r.as_str()).collect();
        write!(
            f,
            "`{}` is not a stop reason; use one of {}, or leave the cell empty",
            self.found,
            known.join(", ")
        )
    }
}

impl std::error::Error for UnknownReason {}

impl FromStr for StopReason {
    type Err = UnknownReason;

    /// Reads a reason as people write it; case and surrounding space do not matter.
    fn from_str(text: &str) -> Result<Self, UnknownReason> {
        let key = text.trim().to_lowercase();
        Self::ALL
            .into_iter()
            .find(|reason| reason.synonyms().contains(&key.as_str()))
            .ok_or_else(|| UnknownReason {
                found: text.trim().to_owned(),
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_reason_reads_back_from_its_own_word() {
        for reason in StopReason::ALL {
            assert_eq!(reason.as_str().parse(), Ok(reason));
            assert_eq!(
                reason.in_words().parse::<StopReason>().is_ok(),
                reason != StopReason::NotRecorded
            );
        }
    }

    #[test]
    fn an_unknown_word_says_what_is_allowed() {
        let error = "bored".parse::<StopReason>().expect_err("no such reason");
        assert_eq!(
            error.to_string(),
            "`bored` is not a stop reason; use one of exhaustion, misses, end_of_ladder, injury, \
             medical, technical, discipline, withdrew, not_recorded, or leave the cell empty"
        );
    }
}
