//! The words of the commands that ask what results mean.

use std::path::PathBuf;

use clap::{Args, Subcommand};

use super::sheets::ResultsImport;

/// `plimsoll results`.
#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true)]
pub struct Results {
    /// Results of one person: name or id.
    #[arg(long, value_name = "PERSON")]
    pub person: Option<String>,
    /// Results of one day: a date, or a date and a test such as 2026-11-21/ir1.
    #[arg(long, value_name = "DAY")]
    pub day: Option<String>,
    /// Something else than listing.
    #[command(subcommand)]
    pub command: Option<ResultsCommand>,
}

/// What else to do with results.
#[derive(Debug, Subcommand)]
pub enum ResultsCommand {
    /// Import a sheet of results.
    Import(Box<ResultsImport>),
}

/// What the user may set about error and worth.
#[derive(Debug, Args)]
pub struct Judging {
    /// Typical error: a number in the unit of the test, or a percentage such as 4.9%.
    #[arg(long, value_name = "E or CV%", allow_hyphen_values = true)]
    pub typical_error: Option<String>,
    /// Smallest worthwhile change: a number in the unit of the test, or a percentage.
    #[arg(long, value_name = "S or %", allow_hyphen_values = true)]
    pub swc: Option<String>,
    /// How trained: untrained, recreational, trained or elite.
    #[arg(long, value_name = "LEVEL")]
    pub level: Option<String>,
    /// Use facts that are only known from memory too; they keep their tag.
    #[arg(long)]
    pub from_memory: bool,
}

/// `plimsoll change`.
#[derive(Debug, Args)]
pub struct Change {
    /// Id of the test.
    #[arg(long, value_name = "ID", required_unless_present = "person")]
    pub test: Option<String>,
    /// Earlier result, in the unit of the test.
    #[arg(
        long,
        value_name = "X",
        required_unless_present = "person",
        requires = "to"
    )]
    pub from: Option<f64>,
    /// Later result, in the unit of the test.
    #[arg(long, value_name = "Y", requires = "from")]
    pub to: Option<f64>,
    /// A person of the archive: the latest result against the earlier ones.
    #[arg(long, value_name = "PERSON", conflicts_with_all = ["from", "to"])]
    pub person: Option<String>,
    /// Sex, M or F: for the error that fits and for expected growth.
    #[arg(long, value_name = "M or F", conflicts_with = "person")]
    pub sex: Option<String>,
    /// Age at the second test, years.
    #[arg(
        long,
        value_name = "YEARS",
        conflicts_with = "person",
        allow_hyphen_values = true
    )]
    pub age: Option<f64>,
    /// Age at the first test, years; with it expected growth of under-20s is taken off.
    #[arg(
        long,
        value_name = "YEARS",
        conflicts_with = "person",
        allow_hyphen_values = true
    )]
    pub age_from: Option<f64>,
    /// Sport or standard, for the choice among references.
    #[arg(long, value_name = "WORDS")]
    pub standard: Option<String>,
    /// A file for the figure (SVG).
    #[arg(long, value_name = "FILE")]
    pub figure: Option<PathBuf>,
    /// Error and worth.
    #[command(flatten)]
    pub judging: Judging,
}

/// `plimsoll level`.
#[derive(Debug, Args)]
pub struct Level {
    /// A person of the archive: name or id.
    #[arg(long, value_name = "PERSON")]
    pub person: String,
    /// Id of the test [default: that of the person's latest result].
    #[arg(long, value_name = "ID")]
    pub test: Option<String>,
    /// Hear the results of a second test too, where eight people or more ran both.
    #[arg(long, value_name = "ID")]
    pub with: Option<String>,
    /// Use results up to this date only, and say the level then [default: today].
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
    /// Say the change since this date [default: since the test before the last].
    #[arg(long, value_name = "DATE")]
    pub since: Option<String>,
    /// A weekly gain in percent: when would it be seen? [default: 1]
    #[arg(long, value_name = "PERCENT")]
    pub gain: Option<f64>,
    /// A file for the figure (SVG).
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Error and worth.
    #[command(flatten)]
    pub judging: Judging,
}

/// `plimsoll report`.
#[derive(Debug, Args)]
pub struct Report {
    /// The day: a date, or a date and a test such as 2026-11-21/ir1.
    #[arg(long, value_name = "DAY")]
    pub day: String,
    /// The folder to write into; it is made when it is not there.
    #[arg(long, value_name = "DIR")]
    pub out: PathBuf,
    /// Error and worth.
    #[command(flatten)]
    pub judging: Judging,
    /// Estimates for people under 18 too.
    #[arg(long)]
    pub estimates_for_children: bool,
    /// Sport or standard for references, such as "soccer, trained".
    #[arg(long, value_name = "WORDS")]
    pub standard: Option<String>,
    /// A folder with fonts of your own (TTF or OTF) for scripts that the report does not carry.
    #[arg(long, value_name = "DIR")]
    pub fonts: Option<PathBuf>,
}

/// `plimsoll demo`.
#[derive(Debug, Args)]
pub struct Demo {
    /// The folder to write into, which is also the archive.
    #[arg(long, value_name = "DIR", default_value = "demo-out")]
    pub out: PathBuf,
}
