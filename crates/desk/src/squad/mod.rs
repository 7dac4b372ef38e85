//! Questions about the squad of one day: a cut, the lowest, the rows of the sheet, effort, assessors.
//! Changes nothing and accuses nobody: chances with their basis and what would settle them. Formulas:
//! docs/methods/squad-questions.md.

mod assessors;
mod assessors_words;
mod cut;
mod cut_read;
mod cut_words;
mod effort;
mod gather;
mod lists;
mod lowest;
mod peaks;
mod rows;
mod rows_words;
mod sections;
mod spread;
mod steps;
mod together;

use plimsoll_archive::{Archive, ArchiveError, TestDay};
use plimsoll_interpret::Catalogue as Facts;
use plimsoll_ladder::Catalogue;
use serde::Serialize;

use crate::meaning::Choices;

pub use assessors::{AgreementOf, Assessors, SeverityOf, StopsOf};
pub use cut::{AtCut, Band, BestOf, Cut, Risk, figure};
pub use cut_read::WrongCut;
pub use effort::StageStarts;
pub use gather::{Runner, Seen, Squad};
pub use lowest::{Low, Lowest};
pub use peaks::{Peak, Peaks};
pub use rows::{SheetRead, Sheets, sheets_of_changes};
pub use sections::Section;
pub use together::Together;

/// Risk of the guard band: a result outside it is on the wrong side with at most this chance.
pub const RISK: f64 = 0.05;
/// Most trials that may count as "best of".
pub const MOST_TRIALS: u32 = 20;

/// One question: its answer, or none with the reason, always with basis and what would settle it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Part<T> {
    /// The numbers; nothing where there is no answer.
    pub answer: Option<T>,
    /// The answer, or why there is none, in sentences.
    pub says: Vec<String>,
    /// What the answer rests on.
    pub basis: String,
    /// What would settle it.
    pub settle: String,
}

impl<T> Part<T> {
    fn refused(why: String, basis: &str, settle: &str) -> Self {
        Self {
            answer: None,
            says: vec![why],
            basis: basis.to_owned(),
            settle: settle.to_owned(),
        }
    }
}

/// What is asked.
#[derive(Debug, Clone, Default)]
pub struct Ask {
    /// The cut as written: a label, or metres.
    pub cut: Option<String>,
    /// Trials of which the best counts, 1 to [`MOST_TRIALS`].
    pub best_of: Option<u32>,
    /// How many of the lowest are meant; a quarter when not said.
    pub lowest: Option<usize>,
}

/// Everything the day says.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Answers {
    /// Date of the day.
    pub date: String,
    /// Id of the test.
    pub test: String,
    /// Unit of the results.
    pub unit: &'static str,
    /// People with a result.
    pub people: usize,
    /// Pass or fail at a cut; nothing when no cut was asked about.
    pub cut: Option<Part<Cut>>,
    /// The lowest and their next test.
    pub lowest: Part<Lowest>,
    /// Do the scores stand on the right rows?
    pub rows: Part<Sheets>,
    /// Stops on stage starts.
    pub stage_starts: Part<StageStarts>,
    /// Stops right after one another.
    pub stops_together: Part<Together>,
    /// Peak heart rates below what is usual.
    pub peak_heart_rate: Part<Peaks>,
    /// Assessors who judged the same lane.
    pub assessors: Part<Assessors>,
}

impl Answers {
    /// Returns whether a sheet looks slipped, so that a person must look at the paper.
    pub fn to_settle(&self) -> bool {
        let sheets = self.rows.answer.as_ref();
        sheets.is_some_and(|sheets| sheets.sheets.iter().any(SheetRead::slipped))
    }
}

/// Why there are no answers at all.
#[derive(Debug, thiserror::Error)]
pub enum SquadError {
    /// The archive refused.
    #[error(transparent)]
    Archive(#[from] ArchiveError),
    /// The day names no test, or one that is not known.
    #[error("the day names {found}; questions about a squad need the test that was run")]
    Test {
        /// What it names.
        found: String,
    },
    /// Nobody ran.
    #[error("no result of {test} is recorded on {date}; import the sheet or close the wave first")]
    Empty {
        /// The test.
        test: String,
        /// The date.
        date: String,
    },
    /// The cut cannot be read.
    #[error(transparent)]
    Cut(#[from] WrongCut),
    /// The number of trials cannot be used.
    #[error("best of {found} trials was asked for; from 1 to {MOST_TRIALS} trials can count")]
    BestOf {
        /// Number found.
        found: u32,
    },
    /// So many lowest cannot be picked.
    #[error("the lowest {found} of {of} were asked for; from 1 to {of} can be picked")]
    Lowest {
        /// Number found.
        found: usize,
        /// People there are.
        of: usize,
    },
}

/// Returns what a day says of its squad.
///
/// # Errors
///
/// [`SquadError`] when nothing can be said or something asked cannot be used.
pub fn answers(
    archive: &Archive,
    catalogue: &Catalogue,
    facts: &Facts,
    day: &TestDay,
    choices: &Choices,
    ask: &Ask,
) -> Result<Answers, SquadError> {
    let squad = gather::squad(archive, catalogue, facts, day, choices)?;
    let trials = ask.best_of.unwrap_or(2);
    if !(1..=MOST_TRIALS).contains(&trials) {
        return Err(SquadError::BestOf { found: trials });
    }
    let people = squad.runners.len();
    if let Some(found) = ask.lowest.filter(|k| !(1..=people).contains(k)) {
        return Err(SquadError::Lowest { found, of: people });
    }
    let cut = match &ask.cut {
        None => None,
        Some(written) => Some(cut::answer(&squad, written, trials)?),
    };
    let events = gather::waves(archive, day)?;
    Ok(Answers {
        date: day.facts.date.to_string(),
        test: squad.test.id().to_owned(),
        unit: squad.unit.as_str(),
        people,
        cut,
        lowest: lowest::answer(&squad, ask.lowest),
        rows: rows::answer(archive, &squad, &events)?,
        stage_starts: effort::stage_starts(&squad),
        stops_together: together::answer(&squad, &events),
        peak_heart_rate: peaks::answer(&squad),
        assessors: assessors::answer(&squad, &events),
    })
}
