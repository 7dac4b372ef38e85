//! The words of `plimsoll train`.

use std::path::PathBuf;

use clap::Args;

/// `plimsoll train`.
#[derive(Debug, Args)]
pub struct Train {
    /// A CSV file of speeds: name, speed_kmh, and if known mss_kmh and trial.
    #[arg(value_name = "FILE", required_unless_present_any = ["day", "person", "trials"])]
    pub file: Option<PathBuf>,
    /// Groups for everyone with a result of a day: a date, or a date and a test.
    #[arg(long, value_name = "DAY", conflicts_with_all = ["file", "person", "trials"])]
    pub day: Option<String>,
    /// One person's own run, from the latest result: name or id.
    #[arg(long, value_name = "PERSON", conflicts_with_all = ["file", "trials"])]
    pub person: Option<String>,
    /// Critical speed from a CSV file of maximal trials: distance_m, time_s, and name for several.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["file", "test", "mas"])]
    pub trials: Option<PathBuf>,
    /// Id of the test whose final speed is meant.
    #[arg(long, value_name = "ID")]
    pub test: Option<String>,
    /// The speeds in FILE are maximal aerobic speeds.
    #[arg(long, conflicts_with_all = ["test", "day", "person"])]
    pub mas: bool,
    /// What is run.
    #[command(flatten)]
    pub run: Run,
    /// How people are grouped.
    #[command(flatten)]
    pub grouping: Grouping,
    /// Write the card as pages.
    #[arg(long, value_name = "FILE.pdf", conflicts_with = "trials")]
    pub out: Option<PathBuf>,
    /// Write the figure of people by speed.
    #[arg(long, value_name = "FILE.svg", conflicts_with = "trials")]
    pub figure: Option<PathBuf>,
}

/// What is run.
#[derive(Debug, Args)]
pub struct Run {
    /// Work and rest in seconds, such as 15:15, or a format of the table, such as long.
    #[arg(long, value_name = "WORK:REST", default_value = "15:15")]
    pub format: String,
    /// Percent of the reference speed [default: the middle of the format's range].
    #[arg(long, value_name = "%")]
    pub percent: Option<f64>,
    /// Share, 0 to 1, of the reserve between maximal aerobic and sprint speed.
    #[arg(long, value_name = "F", conflicts_with = "percent")]
    pub reserve: Option<f64>,
    /// Shuttles over lanes of this length [default: a straight line].
    #[arg(long, value_name = "M")]
    pub lane: Option<f64>,
    /// Time lost in each turn [default: 0.7 s, from memory].
    #[arg(long, value_name = "S", requires = "lane")]
    pub turn: Option<f64>,
    /// Factor for straight runs from a final speed over 40 m lanes, such as 1.031.
    #[arg(long, value_name = "F")]
    pub straight_factor: Option<f64>,
    /// A factor of your own from the final speed to maximal aerobic speed.
    #[arg(long, value_name = "F")]
    pub factor: Option<f64>,
}

/// How people are grouped.
#[derive(Debug, Args)]
pub struct Grouping {
    /// Width of a band [default: 1 km/h, never under one typical error].
    #[arg(long, value_name = "KM/H")]
    pub band: Option<f64>,
    /// Put a person into another group; may be given again. Group 1 is the fastest.
    #[arg(long = "move", value_name = "NAME=GROUP")]
    pub moves: Vec<String>,
    /// Group first trials and "at least" too, with their mark.
    #[arg(long)]
    pub with_first_trials: bool,
    /// Typical error of the speeds: km/h, or a percentage such as 2%.
    #[arg(long, value_name = "E or CV%", allow_hyphen_values = true)]
    pub typical_error: Option<String>,
    /// How trained: untrained, recreational, trained or elite.
    #[arg(long, value_name = "LEVEL")]
    pub level: Option<String>,
}
