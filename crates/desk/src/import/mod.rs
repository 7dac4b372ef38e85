//! From a sheet to the archive: examine, match people, hand records over, keep what was held.
//! Each import is one transaction of the archive; nothing is fixed that no rule or ruling allowed.

mod confounders;
mod context;
mod held;
mod matching;
mod people;
mod results;

use plimsoll_examine::{ExamineError, Report};

pub use context::{examine, known};
pub use held::HeldLine;
pub use people::{PeopleImport, import_people};
pub use results::{ResultsImport, ResultsOrder, Ruling, import_results};

use crate::day_card::DayCardError;

/// Why a sheet could not be imported. Nothing was written.
#[derive(Debug, thiserror::Error)]
pub enum ImportError {
    /// The file cannot be examined.
    #[error(transparent)]
    Examine(#[from] ExamineError),
    /// The archive refused.
    #[error(transparent)]
    Archive(#[from] plimsoll_archive::ArchiveError),
    /// The day card cannot be used.
    #[error(transparent)]
    DayCard(#[from] DayCardError),
    /// A ruling names a row or a label that is not there.
    #[error("--settle {row}={label}: {why}")]
    Ruling {
        /// The row.
        row: u32,
        /// The label.
        label: String,
        /// What is wrong with it.
        why: String,
    },
    /// The file was imported before and nothing of it is held.
    #[error(
        "`{file}` was imported before and none of its rows is held back; there is nothing left to take"
    )]
    NothingHeld {
        /// The file.
        file: String,
    },
}

/// What every import gives back.
#[derive(Debug, Clone)]
pub struct Common {
    /// The examination's report.
    pub report: Report,
    /// Rows taken.
    pub accepted: usize,
    /// Rows held back, with why.
    pub held: Vec<HeldLine>,
    /// Number of the change in the journal, when something was written.
    pub change: Option<i64>,
}
