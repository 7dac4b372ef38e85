//! What can be wrong with a reference file or a value handed in, in words.
//! Refusals to estimate are not errors: see `equations::Refusal`.

use plimsoll_measure::MeasureError;
use thiserror::Error;

/// A reason why a file cannot be used or a number cannot be given.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum InterpretError {
    /// A header is not TOML, or lacks or exceeds what a header may hold.
    #[error("{file}: the header cannot be read: {found}; compare it with the built-in files")]
    Header {
        /// Name of the file.
        file: String,
        /// What the parser said.
        found: String,
    },
    /// A header field has a value that is not allowed.
    #[error("{file}, header field `{field}`: found `{found}`, allowed is {allowed}")]
    HeaderField {
        /// Name of the file.
        file: String,
        /// Name of the field.
        field: &'static str,
        /// What was found.
        found: String,
        /// What may stand there.
        allowed: String,
    },
    /// A table has no header file or a header no table.
    #[error("{file}: there is no {missing} beside it; a reference is two files of the same name")]
    Partner {
        /// Name of the file that is there.
        file: String,
        /// Name of the file that is not.
        missing: String,
    },
    /// A table cannot be read as CSV.
    #[error("{file}: the table cannot be read: {found}; save it as comma-separated text in UTF-8")]
    Table {
        /// Name of the file.
        file: String,
        /// What the parser said.
        found: String,
    },
    /// A column is missing or not known.
    #[error("{file}: {problem} column `{column}`; the columns are {allowed}")]
    Column {
        /// Name of the file.
        file: String,
        /// "missing" or "unknown".
        problem: &'static str,
        /// Name of the column.
        column: String,
        /// The columns there may be.
        allowed: String,
    },
    /// A cell holds what it may not hold.
    #[error("{file}, row {row}, column `{column}`: found `{found}`, allowed is {allowed}")]
    Cell {
        /// Name of the file.
        file: String,
        /// Row as a spreadsheet shows it, header row included.
        row: usize,
        /// Name of the column.
        column: String,
        /// What was found.
        found: String,
        /// What may stand there.
        allowed: String,
    },
    /// A file is larger than a reference file may be.
    #[error("{file}: {found} {what}, at most {allowed} are read; split the file")]
    TooLarge {
        /// Name of the file.
        file: String,
        /// What was counted.
        what: &'static str,
        /// How many there are.
        found: usize,
        /// How many there may be.
        allowed: usize,
    },
    /// Two files claim the same id.
    #[error("{file}: the id `{id}` is already taken by another {kind} file; choose another id")]
    SameId {
        /// Name of the file.
        file: String,
        /// The id.
        id: String,
        /// Kind of file.
        kind: String,
    },
    /// A number handed in cannot be right.
    #[error("{what} is {found}; allowed is {allowed}; correct the value")]
    Value {
        /// Which number.
        what: &'static str,
        /// What was found.
        found: f64,
        /// What it may be.
        allowed: &'static str,
    },
    /// The statistics refused the numbers.
    #[error(transparent)]
    Measure(#[from] MeasureError),
}
