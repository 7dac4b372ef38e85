//! Why there is no mixed model: where, what was found, what is allowed, what to do next.

use plimsoll_archive::ArchiveError;
use plimsoll_examine::ExamineError;
use plimsoll_measure::MeasureError;

use crate::study::CellFault;

/// Why a mixed model cannot be made.
#[derive(Debug, thiserror::Error)]
pub enum MixedError {
    /// The file is no table.
    #[error(transparent)]
    Examine(#[from] ExamineError),
    /// The archive refused.
    #[error(transparent)]
    Archive(#[from] ArchiveError),
    /// The numbers give no answer.
    #[error(transparent)]
    Measure(#[from] MeasureError),
    /// A column that was asked for is not there.
    #[error(
        "{place}: found no column `{wanted}`, only {found}; name a column as its header has it"
    )]
    NoColumn {
        /// Where: the file and its header row, or the archive.
        place: String,
        /// The column asked for.
        wanted: String,
        /// The headers found.
        found: String,
    },
    /// Cells hold something else than what the column is used for.
    #[error("`{file}`: {}", crate::study::fault_words(.faults))]
    Cells {
        /// The file.
        file: String,
        /// The cells, in sheet order.
        faults: Vec<CellFault>,
    },
    /// A group is not written in the form that is read.
    #[error(
        "group `{written}`: {found}; allowed is a column, then what else holds, set apart by commas: \
         `athlete`; `athlete,slope=week`; `athlete,slope=week,uncorrelated`; `athlete,within=club`"
    )]
    Group {
        /// As written.
        written: String,
        /// What is wrong.
        found: String,
    },
    /// A part of the model cannot be estimated from these rows.
    #[error("{place}: found {found}; allowed is {allowed}; {next}")]
    Model {
        /// Which column or group.
        place: String,
        /// What was found.
        found: String,
        /// What it may be.
        allowed: String,
        /// What to do next.
        next: String,
    },
    /// The archive has too little for a model.
    #[error("{test}: {found}; needed are two athletes or more with two results each; {next}")]
    TooLittle {
        /// Id of the test.
        test: String,
        /// What was found.
        found: String,
        /// What to do next.
        next: &'static str,
    },
}

impl MixedError {
    /// Returns a refusal of a part of the model.
    pub(super) fn model(
        place: impl Into<String>,
        found: impl Into<String>,
        allowed: impl Into<String>,
        next: impl Into<String>,
    ) -> Self {
        Self::Model {
            place: place.into(),
            found: found.into(),
            allowed: allowed.into(),
            next: next.into(),
        }
    }
}
