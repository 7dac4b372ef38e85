//! The words of `plimsoll day`.

use clap::{Args, Subcommand};

/// What to do with test days and their waves.
#[derive(Debug, Subcommand)]
pub enum DayCommand {
    /// List the test days with their waves.
    List,
    /// Print the events of a wave, a line each, as `docs/formats/events.md` has them.
    Log {
        /// Id of the wave, as `plimsoll day list` shows it.
        wave: String,
    },
    /// Show the state of a wave after its events, or after some of them.
    Replay(Replay),
}

/// `plimsoll day replay`.
#[derive(Debug, Args)]
pub struct Replay {
    /// A file with an event a line, or the id of a wave of the archive.
    pub log: String,
    /// Only the first so many events, in the order of the log.
    #[arg(long, value_name = "N")]
    pub until: Option<usize>,
    /// Only events up to this cue time; those without one are left in.
    #[arg(long, value_name = "SECONDS")]
    pub cue: Option<f64>,
}
