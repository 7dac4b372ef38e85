//! The words of the command line.

mod day;
mod heat;
mod listen;
mod mixed;
mod plan;
mod questions;
mod reference;
mod serve;
mod sheets;
mod sound;
mod squad;
mod study;
mod train;

use std::path::PathBuf;

use clap::{Args as ClapArgs, Parser, Subcommand};

pub use day::{DayCommand, Replay};
pub use heat::Heat;
pub use listen::Listen;
pub use mixed::Mixed;
pub use plan::Plan;
pub use questions::{Change, Demo, Judging, Level, Report, Results, ResultsCommand};
pub use reference::{ReferenceCommand, ReferenceFit, ReferenceZ};
pub use serve::Serve;
pub use sheets::{Examine, PeopleImport, Reading, ResultsImport};
pub use sound::{Cues, Speech};
pub use squad::Squad;
pub use study::Study;
pub use train::{Run as TrainRun, Train};

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
    /// The name under which changes are recorded [default: your user name].
    #[arg(long = "as", global = true, value_name = "NAME")]
    pub who: Option<String>,
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
    /// Make the cue track of a paced test as a sound file, and its cue lists.
    Cues(Cues),
    /// Listen to a recording: which test was played, how fast, with which gaps.
    Listen(Listen),
    /// Examine a sheet without changing anything: faults, and which test it is from.
    Examine(Examine),
    /// List results, or import a sheet of them.
    Results(Results),
    /// Say whether a change is real.
    Change(Change),
    /// A person's true level on every date, from all results of a test.
    Level(Level),
    /// Ask about a day's squad: a cut, the lowest, rows of the sheet, effort, assessors.
    Squad(Squad),
    /// Work out the error of a test from repeated trials: own data, or results in the archive.
    Study(Study),
    /// Fit a mixed model: how much of the scatter is the athlete, how much the day, how much the rest.
    Mixed(Box<Mixed>),
    /// Say where a value stands, or fit a reference to data of your own.
    #[command(subcommand)]
    Reference(ReferenceCommand),
    /// Set training from results: runs, distances and groups; or critical speed from trials.
    Train(Box<Train>),
    /// Write a test day as pages (PDF), workbook (XLSX), tidy table (CSV) and figures (SVG).
    Report(Report),
    /// Print the cautions that belong to a maximal test.
    Cautions,
    /// Say how hot it is for a runner, and what named policies advise.
    Heat(Heat),
    /// Plan: which test suits a group, waves and lanes, when to test again.
    Plan(Box<Plan>),
    /// Look at test days and their waves.
    #[command(subcommand)]
    Day(DayCommand),
    /// Serve the pages of the test day to this machine and to phones nearby.
    Serve(Serve),
    /// Run the whole job on an invented club.
    Demo(Demo),
    /// Look after the archive: back up, check, export, restore, undo.
    #[command(subcommand)]
    Archive(ArchiveCommand),
    /// List, find, rename and merge people.
    #[command(subcommand)]
    People(PeopleCommand),
}

/// What to do with the archive.
#[derive(Debug, Subcommand)]
pub enum ArchiveCommand {
    /// Make an empty archive.
    Create,
    /// Copy the archive into a new folder, safely while it is in use, and check the copy.
    Backup {
        /// The folder to make.
        to: PathBuf,
    },
    /// Check that everything in the archive fits together.
    Check,
    /// Write the archive as a folder of CSV and JSON with a data dictionary.
    Export {
        /// The folder to make.
        to: PathBuf,
    },
    /// Make an archive out of an export.
    Restore {
        /// The folder that `export` made.
        from: PathBuf,
    },
    /// List every change: who, when, what.
    Journal,
    /// Undo a change, such as an import, by its number in the journal.
    Undo {
        /// Number of the change.
        change: i64,
    },
    /// Put an undone change in force again.
    Redo {
        /// Number of the change.
        change: i64,
    },
    /// List the rows that imports held back.
    Held,
}

/// What to do with people.
#[derive(Debug, Subcommand)]
pub enum PeopleCommand {
    /// Import a roster.
    Import(PeopleImport),
    /// List everyone.
    List,
    /// Join two entries that are one person; `unmerge` takes it back.
    Merge {
        /// The entry to keep: name or id.
        keep: String,
        /// The entry that is the same person: name or id.
        duplicate: String,
    },
    /// Take a merge back.
    Unmerge {
        /// The entry that was kept: name or id.
        person: String,
    },
    /// Give a person another called name; the old one stays as an alias.
    Rename {
        /// Name or id.
        person: String,
        /// The new called name.
        name: String,
    },
    /// Add another name under which a person appears in sheets.
    Alias {
        /// Name or id.
        person: String,
        /// The other name.
        name: String,
    },
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
