//! The answer in words.
//! "Unclear" and "cannot tell from noise" are answers. The word "significant" is not used.
//! Thresholds 75 % (likely) and 95 % (very likely): common practice after Hopkins 2009, memory.

use std::fmt;

use plimsoll_measure::change::Chance;
use serde::Serialize;

use crate::words;

/// From this chance on a change is called likely.
pub(crate) const LIKELY: f64 = 0.75;
/// From this chance on a change is called very likely.
pub(crate) const VERY_LIKELY: f64 = 0.95;

/// What a comparison comes to.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "code", rename_all = "snake_case")]
pub enum Verdict {
    /// Better by more than the smallest worthwhile change.
    Better {
        /// The chance of it.
        chance: f64,
        /// Whether the chance is this or more, because a result is only known as "at least".
        at_least: bool,
    },
    /// Worse by more than the smallest worthwhile change.
    Worse {
        /// The chance of it.
        chance: f64,
        /// Whether the chance is this or more.
        at_least: bool,
    },
    /// No change worth while.
    Same {
        /// The chance of it.
        chance: f64,
    },
    /// The noise of the test allows any of them.
    CannotTell,
    /// No comparison can be made.
    Unclear {
        /// Why, in words.
        why: String,
    },
}

impl Verdict {
    /// Returns the verdict for three chances.
    pub fn of(chance: &Chance, higher_is_better: bool) -> Self {
        let (better, worse) = if higher_is_better {
            (chance.up, chance.down)
        } else {
            (chance.down, chance.up)
        };
        if better >= LIKELY {
            Self::Better {
                chance: better,
                at_least: false,
            }
        } else if worse >= LIKELY {
            Self::Worse {
                chance: worse,
                at_least: false,
            }
        } else if chance.trivial >= LIKELY {
            Self::Same {
                chance: chance.trivial,
            }
        } else {
            Self::CannotTell
        }
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let likely = |p: f64| {
            if p >= VERY_LIKELY {
                "very likely"
            } else {
                "likely"
            }
        };
        let size = |p: f64, at_least: bool| {
            let open = if at_least && p < 0.995 {
                "at least "
            } else {
                ""
            };
            format!("{open}{}", words::chance(p))
        };
        match self {
            Self::Better { chance, at_least } => {
                write!(
                    f,
                    "{} better ({})",
                    likely(*chance),
                    size(*chance, *at_least)
                )
            }
            Self::Worse { chance, at_least } => {
                write!(
                    f,
                    "{} worse ({})",
                    likely(*chance),
                    size(*chance, *at_least)
                )
            }
            Self::Same { chance } => {
                write!(
                    f,
                    "{} no change worth while ({})",
                    likely(*chance),
                    words::chance(*chance)
                )
            }
            Self::CannotTell => f.write_str("cannot tell from noise"),
            Self::Unclear { why } => write!(f, "unclear: {why}"),
        }
    }
}
