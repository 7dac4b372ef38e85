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
