//! The words of `plimsoll reference`.

use std::path::PathBuf;

use clap::{Args, Subcommand};

/// What to do with references.
#[derive(Debug, Subcommand)]
pub enum ReferenceCommand {
    /// Say where a value stands: by L, M and S, or in the references of a test.
    Z(ReferenceZ),
    /// Fit L, M and S by age to a sheet of ages and values, with every check of the fit.
    Fit(Box<ReferenceFit>),
}

/// `plimsoll reference z`.
#[derive(Debug, Args)]
pub struct ReferenceZ {
    /// Skewness L.
    #[arg(long, value_name = "L", allow_hyphen_values = true, requires_all = ["m", "s"], conflicts_with = "test",
        required_unless_present = "test")]
    pub l: Option<f64>,
    /// Median M.
    #[arg(long, value_name = "M", allow_hyphen_values = true, requires_all = ["l", "s"])]
    pub m: Option<f64>,
    /// Coefficient of variation S, a fraction.
    #[arg(long, value_name = "S", allow_hyphen_values = true, requires_all = ["l", "m"])]
    pub s: Option<f64>,
    /// The value to place.
    #[arg(long, value_name = "X", allow_hyphen_values = true)]
    pub value: f64,
    /// Id of the test.
    #[arg(long, value_name = "ID", requires_all = ["sex", "age"])]
    pub test: Option<String>,
    /// Sex category of the reference: M or F.
    #[arg(long, value_name = "SEX", requires = "test")]
    pub sex: Option<String>,
    /// Age on the test day, years with decimals.
    #[arg(long, value_name = "YEARS", requires = "test")]
    pub age: Option<f64>,
    /// What is measured [default: the score of the test, such as distance_m].
    #[arg(long, value_name = "METRIC", requires = "test")]
    pub metric: Option<String>,
    /// Sport or standard, such as "soccer, trained".
    #[arg(long, value_name = "WORDS", requires = "test")]
    pub standard: Option<String>,
    /// Show rows from memory too; they keep their tag.
    #[arg(long, requires = "test")]
    pub from_memory: bool,
}

/// `plimsoll reference fit`.
#[derive(Debug, Args)]
pub struct ReferenceFit {
    /// The sheet (CSV, TSV, XLSX or ODS): a row a person, or counts in bins with --binned.
    pub file: PathBuf,
    /// Column of the age, years.
    #[arg(long, value_name = "HEADER", default_value = "age")]
    pub age_column: String,
    /// Column of the value.
    #[arg(long, value_name = "HEADER", default_value = "value")]
    pub value_column: String,
    /// The rows are counts: age_from, age_to, lower, upper, count; an empty end is open.
    #[arg(long, conflicts_with_all = ["age_column", "value_column"])]
    pub binned: bool,
    /// Smooth curves whose bend the data choose (the default; needs 100 people).
    #[arg(long, conflicts_with = "polynomial")]
    pub smooth: bool,
    /// Polynomials of these degrees for L, M and ln S, such as 0,2,1.
    #[arg(long, value_name = "L,M,S")]
    pub polynomial: Option<String>,
    /// Centre and unit of age in the polynomials [default: middle and half of the ages].
    #[arg(
        long,
        value_name = "CENTRE,UNIT",
        requires = "polynomial",
        allow_hyphen_values = true
    )]
    pub age_scale: Option<String>,
    /// Largest standard error of a centile, in z units; above it the centile is refused.
    #[arg(long, value_name = "Z", default_value_t = 0.25)]
    pub limit: f64,
    /// Sheet of a workbook.
    #[arg(long, value_name = "NAME")]
    pub sheet: Option<String>,
    /// Write the reference: this CSV and a TOML header beside it; figures go beside them too.
    #[arg(long, value_name = "FILE.csv", requires_all = ["test", "sex"])]
    pub out: Option<PathBuf>,
    /// A folder for the figures (SVG).
    #[arg(long, value_name = "DIR")]
    pub figures: Option<PathBuf>,
    /// Id of the test the values are of.
    #[arg(long, value_name = "ID")]
    pub test: Option<String>,
    /// Sex category of the people: M, F or M+F.
    #[arg(long, value_name = "SEX")]
    pub sex: Option<String>,
    /// What is measured [default: the score of the test].
    #[arg(long, value_name = "METRIC")]
    pub metric: Option<String>,
    /// Unit of the values [default: that of the test].
    #[arg(long, value_name = "UNIT")]
    pub unit: Option<String>,
    /// Sport of the people.
    #[arg(long, value_name = "WORDS", default_value = "")]
    pub sport: String,
    /// Playing standard of the people.
    #[arg(long, value_name = "WORDS", default_value = "")]
    pub standard: String,
    /// What the reference is, in a few words.
    #[arg(long, value_name = "WORDS")]
    pub title: Option<String>,
    /// Where the data come from [default: own data and the name of the file].
    #[arg(long, value_name = "WORDS")]
    pub source: Option<String>,
    /// Licence of the data.
    #[arg(long, value_name = "WORDS", default_value = "own data, not published")]
    pub licence: String,
}
