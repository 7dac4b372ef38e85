//! The words of `plimsoll mixed`.

use std::path::PathBuf;

use clap::Args;

/// `plimsoll mixed`.
#[derive(Debug, Args)]
#[command(
    after_help = "A group is a column whose levels scatter, then what else holds, set apart by commas:\n  \
    --group athlete                          athletes differ in height\n  \
    --group athlete,slope=week               and in how much a week brings\n  \
    --group athlete,slope=week,uncorrelated  height and slope do not go together\n  \
    --group athlete,within=club              the same name in another club is another athlete\n\
    Give --group once for each. Groups may cross: --group athlete --group day.\n\n\
    With --test the rows come from the archive, with the columns athlete, day, days and weeks\n\
    (since the athlete's first result), trial, value, surface, temperature, wind, wave, assessor.\n\
    Without more the question is: ln value on trial and weeks, with athlete and day as groups."
)]
pub struct Mixed {
    /// The sheet (CSV, TSV, XLSX or ODS), one reading a row.
    #[arg(required_unless_present = "test", conflicts_with = "test")]
    pub file: Option<PathBuf>,
    /// Id of a test: its results in the archive are the rows.
    #[arg(long, value_name = "ID")]
    pub test: Option<String>,
    /// The column to explain.
    #[arg(long, value_name = "COLUMN", required_unless_present = "test")]
    pub outcome: Option<String>,
    /// What is allowed for: columns of numbers, and products such as a:b.
    #[arg(long, value_name = "A,B,A:B", value_delimiter = ',')]
    pub fixed: Vec<String>,
    /// A column of categories, each compared with the first; may be given several times.
    #[arg(long, value_name = "COLUMN")]
    pub factor: Vec<String>,
    /// A group whose levels scatter (see below); may be given several times.
    #[arg(long, value_name = "GROUP")]
    pub group: Vec<String>,
    /// The column with the known error (SE) of each outcome, in its unit.
    #[arg(long, value_name = "COLUMN")]
    pub weights_from_error: Option<String>,
    /// Take the logarithm of the outcome, so that differences are percent [default with --test].
    #[arg(long, conflicts_with = "raw")]
    pub log: bool,
    /// Keep the unit of the outcome [default with a file].
    #[arg(long)]
    pub raw: bool,
    /// Fit by ML instead of REML.
    #[arg(long)]
    pub ml: bool,
    /// Level of the intervals: 0.9 or 90, both mean 90 %.
    #[arg(long, value_name = "LEVEL", default_value_t = 0.9)]
    pub level: f64,
    /// Profile intervals for every part, however long it takes.
    #[arg(long)]
    pub profile: bool,
    /// A sheet with the same columns; what is expected in each of its rows is printed.
    #[arg(long, value_name = "FILE2")]
    pub predict: Option<PathBuf>,
    /// Sheet of a workbook.
    #[arg(long, value_name = "NAME", requires = "file")]
    pub sheet: Option<String>,
    /// Write the figure (SVG) here.
    #[arg(long, value_name = "FILE.svg")]
    pub figure: Option<PathBuf>,
}
