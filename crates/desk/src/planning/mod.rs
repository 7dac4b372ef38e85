//! Planning a test day: which test suits a roster, waves and lanes, when to test again, whom to watch.
//! Proposals with their basis; must not decide, and must not predict without a published ground.
//! Formulas and sources: docs/methods/planning.md.

mod choose;
mod csv_roster;
mod dealing;
mod detect;
mod early;
mod ladder;
mod lanes;
mod population;
mod retest;
mod roster;
mod watch;
mod words;

use plimsoll_interpret::InterpretError;
use plimsoll_measure::MeasureError;

pub use choose::{Answer, Forecast, Group, Predicted, choose};
pub use csv_roster::csv_roster;
pub use dealing::{AssessorLook, ExpectedBouts, WaveLook, day_roster, deal_by, look};
pub use detect::{Detectable, Noise, noise};
pub use early::{EARLY_S, Early};
pub use lanes::{Dealt, deal_with, expected_of};
pub use population::{PopulationAsked, PopulationUsed};
pub use retest::{Precision, RetestAnswer, RetestAsked, precision, retest_answer};
pub use roster::{Athlete, Earlier, Roster, archive_roster};
pub use watch::{Predictions, Watched, predictions, watch};
pub use words::{count_words, minutes};

/// Why a plan cannot be made.
#[derive(Debug, thiserror::Error)]
pub enum PlanningError {
    /// The archive refused.
    #[error(transparent)]
    Archive(#[from] plimsoll_archive::ArchiveError),
    /// A fact of the trade cannot be used.
    #[error(transparent)]
    Interpret(#[from] InterpretError),
    /// A number cannot be used.
    #[error(transparent)]
    Measure(#[from] MeasureError),
    /// A roster cannot be read.
    #[error("{place}: found {found}; allowed is {allowed}; {next}")]
    Roster {
        /// File, row and column.
        place: String,
        /// What was found.
        found: String,
        /// What is allowed.
        allowed: String,
        /// What to do next.
        next: String,
    },
    /// The test has no cues to plan by.
    #[error("`{test}` is not paced by cues, so nobody stops at one; plan a paced test")]
    NotPaced {
        /// Id of the test.
        test: String,
    },
}
