//! The words of `plimsoll study`.

use std::path::PathBuf;

use clap::Args;

/// `plimsoll study`.
#[derive(Debug, Args)]
pub struct Study {
    /// The sheet (CSV, TSV, XLSX or ODS): a row a person and a column a trial, or person, trial, value.
    #[arg(required_unless_present = "test")]
    pub file: Option<PathBuf>,
    /// Id of the test; without a file its repeated results in the archive are used.
    #[arg(long, value_name = "ID")]
    pub test: Option<String>,
    /// Longest time between two tests that repeat each other, weeks (archive only).
    #[arg(long, value_name = "N", default_value_t = plimsoll_desk::study::DEFAULT_WEEKS, conflicts_with = "file",
        value_parser = clap::value_parser!(u32).range(1..=520))]
    pub within_weeks: u32,
    /// Level of the intervals, percent.
    #[arg(long, value_name = "%", default_value_t = 90.0)]
    pub level: f64,
    /// Read the study in percent, on logs [default: as the test or the errors ask for].
    #[arg(long, conflicts_with = "raw")]
    pub logs: bool,
    /// Read the study in the unit of the values.
    #[arg(long)]
    pub raw: bool,
    /// Age of the people, years: chooses the published default [default: from the archive].
    #[arg(long, value_name = "YEARS")]
    pub age: Option<f64>,
    /// Sheet of a workbook.
    #[arg(long, value_name = "NAME", requires = "file")]
    pub sheet: Option<String>,
    /// A folder for the figures (SVG) and the document (JSON); it is made when it is not there.
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
}
