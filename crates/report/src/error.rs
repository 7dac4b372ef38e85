//! What can go wrong while a report is made, each with what to do next.
//! Must not be used for letters no font covers: those are replaced and listed, not an error.

/// A report that could not be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ReportError {
    /// Neither the coach page nor cards were asked for, or no athlete matches.
    #[error(
        "nothing to print: {found}; ask for the coach page, or for cards of at least one of the \
         report's {athletes} athletes"
    )]
    NothingToPrint {
        /// What was asked for.
        found: String,
        /// Athletes in the report.
        athletes: usize,
    },
    /// No sheet of the kind asked for has anything on it.
    #[error(
        "no sheet to print: {found}; the day has the waves {waves:?} with the assessors \
         {assessors:?}, ask for one of them or for other kinds of sheet"
    )]
    NoSheet {
        /// What was asked for.
        found: String,
        /// Waves of the day.
        waves: Vec<String>,
        /// Wave and assessor of every assessor's sheet.
        assessors: Vec<String>,
    },
    /// A sheet refers to a ladder that was not passed along.
    #[error(
        "{place} refers to the ladder `{found}`; the day's ladders are {known:?}: pass its strip \
         along or correct the id"
    )]
    UnknownLadder {
        /// Sheet with the reference.
        place: String,
        /// Id found.
        found: String,
        /// Ids allowed.
        known: Vec<String>,
    },
    /// The address of a join page cannot be made into a code that a phone reads off paper.
    #[error(
        "the join page `{page}` has {found}; allowed are 1 to {longest} printable ASCII letters \
         without spaces: shorten the address or write it percent-encoded"
    )]
    JoinAddress {
        /// Title of the page.
        page: String,
        /// What is wrong with its address.
        found: String,
        /// Most letters allowed.
        longest: usize,
    },
    /// The pages could not be laid out.
    #[error(
        "laying out the pages failed: {details}; this is a fault of the program's templates, \
         please report it with the report's data (the workbook and the tables are not affected)"
    )]
    Layout {
        /// Messages of the layout engine.
        details: String,
    },
    /// The pages were laid out but could not be written as PDF, with or without standards.
    #[error(
        "writing the PDF failed: {details}; try again without extra fonts, the workbook and the \
         tables are not affected"
    )]
    Export {
        /// Messages of the writer.
        details: String,
    },
    /// The workbook could not be written.
    #[error("writing the workbook failed on sheet `{sheet}`: {source}")]
    Workbook {
        /// Sheet that was being written.
        sheet: &'static str,
        /// The writer's own error.
        #[source]
        source: rust_xlsxwriter::XlsxError,
    },
    /// A table could not be written.
    #[error("writing the table `{table}` failed: {source}")]
    Table {
        /// Table that was being written.
        table: &'static str,
        /// The writer's own error.
        #[source]
        source: csv::Error,
    },
}
