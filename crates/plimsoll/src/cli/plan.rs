//! The words of `plimsoll plan`.

use std::path::PathBuf;

use clap::Args;

/// `plimsoll plan`.
#[derive(Debug, Args)]
pub struct Plan {
    /// What to plan.
    #[command(flatten)]
    pub what: PlanWhat,
    /// A squad of the archive [default: everyone].
    #[arg(long, value_name = "SQUAD", conflicts_with_all = ["file", "sex"])]
    pub squad: Option<String>,
    /// A roster as CSV: name, and bouts, metres or level as expected in --test.
    #[arg(long, value_name = "FILE", requires = "test", conflicts_with = "sex")]
    pub file: Option<PathBuf>,
    /// Id of the test.
    #[arg(long, value_name = "ID")]
    pub test: Option<String>,
    /// The day of the test, for squads and ages [default: today].
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
    /// Only a population is known: its sex, F or M.
    #[arg(long, value_name = "F|M", requires = "age", ignore_case = true, value_parser = ["F", "M"])]
    pub sex: Option<String>,
    /// Age of the population, years.
    #[arg(long, value_name = "YEARS")]
    pub age: Option<f64>,
    /// Sport or standard of the population, such as "soccer, elite".
    #[arg(long, value_name = "WORDS", requires = "sex")]
    pub standard: Option<String>,
    /// How many of the population run.
    #[arg(long, value_name = "N", default_value_t = 24, value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub runners: u32,
    /// Runners in a wave, at most.
    #[arg(long, value_name = "N", default_value_t = 24, value_parser = clap::value_parser!(u16).range(1..=200))]
    pub lanes: u16,
    /// Assessors on the line.
    #[arg(long, value_name = "N", default_value_t = 3, value_parser = clap::value_parser!(u16).range(1..=50))]
    pub assessors: u16,
    /// Someone who does not show; may be given more than once.
    #[arg(long, value_name = "NAME")]
    pub absent: Vec<String>,
    /// Expected true gain per week: in the unit of the test, or a percentage such as 1%.
    #[arg(long, value_name = "G or %", requires = "retest")]
    pub weekly_gain: Option<String>,
    /// The result now, in the unit of the test.
    #[arg(long, value_name = "X", requires = "retest")]
    pub from: Option<f64>,
    /// Trials averaged on each occasion.
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u64).range(1..=20))]
    pub trials: u64,
    /// Wanted chance of seeing the gain.
    #[arg(long, value_name = "P", default_value_t = 0.8)]
    pub chance: f64,
    /// Wanted standard error of a change, on the scale of the typical error: metres or %.
    #[arg(long, value_name = "S", requires = "retest")]
    pub precision: Option<f64>,
    /// Typical error: a number in the unit of the test, or a percentage such as 4.9%.
    #[arg(long, value_name = "E or CV%", allow_hyphen_values = true)]
    pub typical_error: Option<String>,
    /// How trained: untrained, recreational, trained or elite.
    #[arg(long, value_name = "LEVEL")]
    pub level: Option<String>,
    /// Use facts that are only known from memory too; they keep their tag.
    #[arg(long)]
    pub from_memory: bool,
    /// Write the figure of the chooser as SVG.
    #[arg(long, value_name = "FILE", requires = "choose")]
    pub figure: Option<PathBuf>,
}

/// Exactly one of these.
#[derive(Debug, Args)]
#[group(required = true, multiple = false)]
pub struct PlanWhat {
    /// For each paced test: when this group would stop, and what the test would detect.
    #[arg(long)]
    pub choose: bool,
    /// Waves, lanes and assessors for a test.
    #[arg(long, requires = "test")]
    pub waves: bool,
    /// When to test again, and how many trials or people a precision takes.
    #[arg(long, requires = "test")]
    pub retest: bool,
}
