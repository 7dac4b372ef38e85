//! The words of the command line.

use std::path::PathBuf;

use clap::{Args as ClapArgs, Parser, Subcommand};

/// Running fitness measured in the field: tests, squads, results that can be defended.
#[derive(Debug, Parser)]
#[command(name = "plimsoll", version, max_term_width = 100)]
pub struct Args {
    /// Print one JSON document instead of words.
    #[arg(long, global = true)]
    pub json: bool,
    /// The archive folder [default: the per-user data folder].
    #[arg(long, global = true, value_name = "DIR")]
    pub archive: Option<PathBuf>,
    /// A folder with test definitions of your own, beside the archive's.
    #[arg(long, global = true, value_name = "DIR")]
    pub definitions: Option<PathBuf>,
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// List every known test.
    Tests,
    /// Show every bout of a test with its instants.
    Ladder {
        /// Id of the test, as `plimsoll tests` lists it.
        id: String,
    },
    /// Find the place on a ladder for a label, a count, a distance, a time or a speed.
    Locate(Locate),
}

/// What `locate` is asked for.
#[derive(Debug, ClapArgs)]
pub struct Locate {
    /// Id of the test.
    pub id: String,
    /// What is known about the place.
    #[command(flatten)]
    pub known: Known,
}

/// Exactly one of these.
#[derive(Debug, ClapArgs)]
#[group(required = true, multiple = false)]
pub struct Known {
    /// A label as written, such as 14.3; 14.10 is not 14.1.
    #[arg(long, value_name = "LABEL")]
    pub label: Option<String>,
    /// A distance in metres.
    #[arg(long, value_name = "METRES")]
    pub distance: Option<f64>,
    /// A number of completed bouts or shuttles.
    #[arg(long, value_name = "N")]
    pub bouts: Option<u32>,
    /// A time since the first start, in seconds or as minutes:seconds.
    #[arg(long, value_name = "TIME")]
    pub time: Option<String>,
    /// A speed in km/h: the last bout at that speed.
    #[arg(long, value_name = "KM/H")]
    pub speed: Option<f64>,
}
