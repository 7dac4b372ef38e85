//! The words of the commands that read sheets.

use std::path::PathBuf;

use clap::Args;

/// How a sheet is read. Everything has a default that is reported, so that it can be overruled.
#[derive(Debug, Args)]
pub struct Reading {
    /// Sheet of a workbook to read [default: the one that looks like results].
    #[arg(long, value_name = "NAME")]
    pub sheet: Option<String>,
    /// What a column holds, as HEADER=FIELD; an empty FIELD leaves it out. Repeat for more.
    #[arg(long = "column", value_name = "HEADER=FIELD")]
    pub columns: Vec<String>,
    /// A correction to allow, by name; `plimsoll examine --rules` lists them. Repeat for more.
    #[arg(long = "allow", value_name = "RULE")]
    pub allow: Vec<String>,
}

/// `plimsoll examine`.
#[derive(Debug, Args)]
pub struct Examine {
    /// The sheet: CSV, TSV, XLSX or ODS.
    #[arg(required_unless_present = "rules")]
    pub file: Option<PathBuf>,
    /// Id of the test that was run.
    #[arg(long, value_name = "ID")]
    pub test: Option<String>,
    /// Date of the test, when the sheet has none.
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
    /// How to read the sheet.
    #[command(flatten)]
    pub reading: Reading,
    /// List the corrections that can be allowed.
    #[arg(long)]
    pub rules: bool,
}

/// `plimsoll people import`.
#[derive(Debug, Args)]
pub struct PeopleImport {
    /// The roster: CSV, TSV, XLSX or ODS.
    pub file: PathBuf,
    /// How to read the sheet.
    #[command(flatten)]
    pub reading: Reading,
    /// Take the file although the same content was imported before.
    #[arg(long)]
    pub force: bool,
}

/// `plimsoll results import`.
#[derive(Debug, Args)]
pub struct ResultsImport {
    /// The sheet: CSV, TSV, XLSX or ODS.
    pub file: PathBuf,
    /// Id of the test that was run.
    #[arg(long, value_name = "ID")]
    pub test: String,
    /// Date of the test, such as 2026-11-21, for rows without a date of their own.
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
    /// A day card: what is known of the day beside the sheet (TOML).
    #[arg(long, value_name = "FILE")]
    pub day_card: Option<PathBuf>,
    /// Record people the archive does not know as new.
    #[arg(long)]
    pub add_people: bool,
    /// Take only rows that an earlier import of the same file held back.
    #[arg(long)]
    pub held_only: bool,
    /// The lead's ruling on a row: take this label. Repeat for more.
    #[arg(long = "settle", value_name = "ROW=LABEL")]
    pub settle: Vec<String>,
    /// How to read the sheet.
    #[command(flatten)]
    pub reading: Reading,
    /// Take the file although the same content was imported before.
    #[arg(long)]
    pub force: bool,
}
