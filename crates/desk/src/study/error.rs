//! Why there is no study: where, what was found, what is allowed, what to do next.

use plimsoll_archive::ArchiveError;
use plimsoll_examine::ExamineError;
use plimsoll_measure::MeasureError;

/// Most cells that are named.
const NAMED: usize = 8;

/// A cell that holds no usable value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CellFault {
    /// The row a spreadsheet shows.
    pub row: u32,
    /// The header of its column.
    pub column: String,
    /// What stands there.
    pub found: String,
    /// What may stand there.
    pub allowed: String,
}

/// Why a study cannot be made.
#[derive(Debug, thiserror::Error)]
pub enum StudyError {
    /// The file is no table.
    #[error(transparent)]
    Examine(#[from] ExamineError),
    /// The archive refused.
    #[error(transparent)]
    Archive(#[from] ArchiveError),
    /// The numbers give no answer.
    #[error(transparent)]
    Measure(#[from] MeasureError),
    /// The columns are not those of a table of this kind.
    #[error("`{file}`, row {row} (header): found {found}; allowed is {allowed}; {next}")]
    Columns {
        /// The file.
        file: String,
        /// Row of the header.
        row: u32,
        /// The headers found.
        found: String,
        /// What is allowed.
        allowed: &'static str,
        /// What to do next.
        next: &'static str,
    },
    /// Cells are labels, and no test is named whose ladder they stand on.
    #[error(
        "`{file}`, row {row} (header): found labels under {found}; allowed are values that can be compared (metres, \
         seconds, shuttles, km/h), or labels of a test that is named; say which test it was"
    )]
    Labels {
        /// The file.
        file: String,
        /// Row of the header.
        row: u32,
        /// The headers found.
        found: String,
    },
    /// Cells hold something else than values.
    #[error("`{file}`: {}", cells(.faults))]
    Cells {
        /// The file.
        file: String,
        /// The cells, in sheet order.
        faults: Vec<CellFault>,
    },
    /// The archive has too few repeated results.
    #[error(
        "{test}: {people} people have two results at most {} apart that can be compared \
         (2 needed); found {results} results in all; test the same people again within \
         {}, or let results count that lie further apart",
        weeks_words(*.weeks),
        weeks_words(*.weeks)
    )]
    NoRepeats {
        /// Id of the test.
        test: String,
        /// People with a repeat.
        people: usize,
        /// Results of the test.
        results: usize,
        /// The longest time between two tests, weeks.
        weeks: u32,
    },
}

/// Returns a number of weeks as people say it.
pub(crate) fn weeks_words(weeks: u32) -> String {
    match weeks {
        1 => "1 week".to_owned(),
        n => format!("{n} weeks"),
    }
}

/// Words for the cells that cannot be used.
pub(crate) fn cells(faults: &[CellFault]) -> String {
    let mut words: Vec<String> = faults
        .iter()
        .take(NAMED)
        .map(|f| {
            format!(
                "row {}, column `{}`: found `{}`, allowed is {}",
                f.row, f.column, f.found, f.allowed
            )
        })
        .collect();
    if faults.len() > NAMED {
        words.push(format!("and {} more cells", faults.len() - NAMED));
    }
    words.push("correct the cell, or leave it empty when there is no value".to_owned());
    words.join("; ")
}
