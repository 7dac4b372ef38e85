//! Why a file cannot be examined at all. A fault inside a readable file is a finding, not an error.
//! Every message says where, what was found, what was allowed and what to do next.

use std::io;

/// A file that cannot be examined.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ExamineError {
    /// The file could not be read from disk.
    #[error("`{file}` cannot be read: {source}; check the path and that no program holds it open")]
    Read {
        /// Name of the file.
        file: String,
        /// What the system said.
        source: io::Error,
    },
    /// A size limit was passed.
    #[error("`{file}` has {found} {unit}, more than the {allowed} allowed; {advice}")]
    TooLarge {
        /// Name of the file.
        file: String,
        /// How many were found, at least.
        found: u64,
        /// How many are allowed.
        allowed: u64,
        /// What is counted.
        unit: &'static str,
        /// What to do.
        advice: &'static str,
    },
    /// The bytes are not a sheet this program reads.
    #[error("`{file}` is {found}, not a sheet; save it as CSV, TSV, XLSX or ODS")]
    NotASheet {
        /// Name of the file.
        file: String,
        /// What it looks like.
        found: String,
    },
    /// A workbook that does not hold together.
    #[error("`{file}` is a broken workbook ({why}); open it in a spreadsheet and save it again")]
    BrokenWorkbook {
        /// Name of the file.
        file: String,
        /// What is wrong with it.
        why: String,
    },
    /// The sheet asked for is not in the workbook.
    #[error("`{file}` has no sheet `{found}`; it has {}", .allowed.join(", "))]
    NoSuchSheet {
        /// Name of the file.
        file: String,
        /// The sheet asked for.
        found: String,
        /// The sheets there are.
        allowed: Vec<String>,
    },
    /// Nothing in the file.
    #[error("`{file}` has no rows; a sheet needs a header row and at least one row below it")]
    Empty {
        /// Name of the file.
        file: String,
    },
    /// No row looks like a header.
    #[error(
        "`{file}` has no header row in its first {looked_at} rows (row {row} reads `{found}`); put \
         one line above the data that names the columns, for example `name, level, distance (m)`"
    )]
    NoHeader {
        /// Name of the file.
        file: String,
        /// Rows looked at.
        looked_at: usize,
        /// The first row that is not empty.
        row: u32,
        /// What it reads.
        found: String,
    },
    /// A quotation mark that opens a cell and never closes it.
    #[error(
        "`{file}`, row {row}, column {column}: a quotation mark opens a cell and does not close \
         within {allowed} lines; close it, or double it if it belongs to the text"
    )]
    OpenQuote {
        /// Name of the file.
        file: String,
        /// Row a spreadsheet would show.
        row: u32,
        /// Column, counted from 1.
        column: usize,
        /// Lines one cell may have.
        allowed: u32,
    },
    /// A test id that is not in the catalogue.
    #[error("no test `{found}`; the tests are {}", .allowed.join(", "))]
    NoSuchTest {
        /// The id asked for.
        found: String,
        /// The ids there are.
        allowed: Vec<String>,
    },
    /// A column named by the caller that the file does not have.
    #[error("no column `{found}`; the columns are {}", .allowed.join(", "))]
    NoSuchColumn {
        /// The header asked for.
        found: String,
        /// The headers there are.
        allowed: Vec<String>,
    },
}
