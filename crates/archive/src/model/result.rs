//! Results: the canonical fact of one runner on one day, with what was measured beside it.
//! Must not store label, distance, speed or estimate: they follow from the fact and its ladder.

use plimsoll_judge::{Amount, Censoring, Outcome};

use super::{Covariates, Reading, TestDay};
use crate::db::{Row, V};
use crate::error::ArchiveError;
use crate::id::{DayId, PersonId, ResultId, SourceId};
use crate::schema::RESULT;
use crate::words::{Word, words};

/// The stored words of the units of an amount.
pub(crate) const AMOUNT_UNITS: [&str; 3] = ["bouts", "distance_mm", "time_ms"];

/// The stored words of what an amount says.
pub(crate) const CENSORING_WORDS: [&str; 3] = ["score", "ceiling", "lower_bound"];

/// Returns the stored word of what an amount says.
pub(crate) const fn censoring_word(censoring: Censoring) -> &'static str {
    match censoring {
        Censoring::Score => CENSORING_WORDS[0],
        Censoring::Ceiling => CENSORING_WORDS[1],
        Censoring::LowerBound => CENSORING_WORDS[2],
    }
}

words! {
    /// The scale of a rating of perceived exertion.
    RpeScale {
        /// The scale from 0 to 10.
        ZeroToTen = "0_to_10",
        /// The scale from 6 to 20.
        SixToTwenty = "6_to_20",
        /// The scale from 0 to 100.
        ZeroToHundred = "0_to_100",
    }
}

/// What one runner did in one test, and what was measured beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct ResultFacts {
    /// The canonical fact.
    pub outcome: Outcome,
    /// The bib worn.
    pub bib: Option<String>,
    /// Which time in life at this test, 1 for the first; nothing when not recorded.
    pub trial_number: Option<u32>,
    /// Which attempt of the day, from 1.
    pub attempt: Option<u32>,
    /// The confounders.
    pub covariates: Covariates,
    /// Body mass, kg, 1 to 1 000.
    pub mass_kg: Option<f64>,
    /// Highest heart rate, beats a minute, 1 to 400.
    pub peak_hr_bpm: Option<u32>,
    /// Heart rate 60 s after the stop, beats a minute, 1 to 400.
    pub hr_60s_bpm: Option<u32>,
    /// Heart rate 120 s after the stop, beats a minute, 1 to 400.
    pub hr_120s_bpm: Option<u32>,
    /// Rating of perceived exertion, on `rpe_scale`.
    pub rpe: Option<f64>,
    /// The scale of `rpe`.
    pub rpe_scale: Option<RpeScale>,
    /// Minutes from the stop to the rating.
    pub rpe_minutes_after: Option<f64>,
    /// What was not per definition for this runner.
    pub deviation: Option<String>,
    /// Remarks; no health reasons.
    pub notes: Option<String>,
}

impl ResultFacts {
    /// Returns facts of which only the outcome is known.
    pub fn of(outcome: Outcome) -> Self {
        Self {
            outcome,
            bib: None,
            trial_number: None,
            attempt: None,
            covariates: Covariates::default(),
            mass_kg: None,
            peak_hr_bpm: None,
            hr_60s_bpm: None,
            hr_120s_bpm: None,
            rpe: None,
            rpe_scale: None,
            rpe_minutes_after: None,
            deviation: None,
            notes: None,
        }
    }

    /// Returns the columns of a version from `bib` to `notes`.
    pub(crate) fn to_values(&self) -> Vec<V> {
        let (unit, amount) = self.outcome.amount.to_parts();
        let mut values: Vec<V> = vec![
            self.bib.clone().into(),
            self.outcome.ladder.as_str().into(),
            unit.into(),
            amount.into(),
            self.outcome.reason.as_str().into(),
            censoring_word(self.outcome.censoring()).into(),
            self.trial_number.into(),
            self.attempt.into(),
        ];
        values.extend(self.covariates.to_values());
        values.extend([
            self.mass_kg.into(),
            self.peak_hr_bpm.into(),
            self.hr_60s_bpm.into(),
            self.hr_120s_bpm.into(),
            self.rpe.into(),
            self.rpe_scale.map(Word::as_str).into(),
            self.rpe_minutes_after.into(),
            self.deviation.clone().into(),
            self.notes.clone().into(),
        ]);
        values
    }

    /// Reads the columns of a version from `bib` to `notes`.
    fn read(row: &mut Reading) -> Result<Self, ArchiveError> {
        let bib = row.opt_text()?;
        let ladder = row.text()?;
        let unit = row.text()?;
        let amount: u32 = row.int()?;
        let amount = Amount::from_parts(&unit, amount).ok_or_else(|| ArchiveError::Damaged {
            table: RESULT.name,
            column: "amount_unit".to_owned(),
            found: format!("`{unit}`"),
            allowed: AMOUNT_UNITS.join(", "),
        })?;
        let reason = row.word_as(|word| word.parse().ok())?;
        row.word_as(|word| CENSORING_WORDS.contains(&word).then_some(()))?;
        Ok(Self {
            outcome: Outcome {
                ladder,
                amount,
                reason,
            },
            bib,
            trial_number: row.opt_int()?,
            attempt: row.opt_int()?,
            covariates: Covariates::read(row)?,
            mass_kg: row.opt_real()?,
            peak_hr_bpm: row.opt_int()?,
            hr_60s_bpm: row.opt_int()?,
            hr_120s_bpm: row.opt_int()?,
            rpe: row.opt_real()?,
            rpe_scale: row.opt_word()?,
            rpe_minutes_after: row.opt_real()?,
            deviation: row.opt_text()?,
            notes: row.opt_text()?,
        })
    }
}

/// One version of a result, as recorded.
#[derive(Debug, Clone, PartialEq)]
pub struct ResultRecord {
    /// The version.
    pub id: ResultId,
    /// Whose it is now, merges followed.
    pub person: PersonId,
    /// The person it was recorded for.
    pub recorded_person: PersonId,
    /// The test day.
    pub day: DayId,
    /// What was done.
    pub facts: ResultFacts,
    /// Whether the version says that there is no result.
    pub withdrawn: bool,
    /// The version it takes the place of.
    pub supersedes: Option<ResultId>,
    /// The change that recorded it.
    pub change: i64,
    /// The row of the imported file it came from.
    pub source: Option<SourceId>,
}

impl ResultRecord {
    pub(crate) fn from_row(row: Row) -> Result<Self, ArchiveError> {
        let mut row = Reading::new(&RESULT, row);
        let id = row.id(ResultId)?;
        let person = row.id(PersonId)?;
        Ok(Self {
            id,
            person,
            recorded_person: person,
            day: row.id(DayId)?,
            facts: ResultFacts::read(&mut row)?,
            withdrawn: row.flag()?,
            supersedes: row.opt_id(ResultId)?,
            change: row.int()?,
            source: row.opt_id(SourceId)?,
        })
    }
}

/// Which results to return; what is left out does not narrow.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ResultFilter {
    /// Those of one person, merged entries included.
    pub person: Option<PersonId>,
    /// Those of one test day.
    pub day: Option<DayId>,
    /// Those of one test definition, by its id.
    pub ladder: Option<String>,
}

/// A result in a person's history.
#[derive(Debug, Clone, PartialEq)]
pub struct HistoryEntry {
    /// The test day.
    pub day: TestDay,
    /// The result.
    pub result: ResultRecord,
    /// Which result of this person at this test definition it is in the archive, from 1.
    pub nth: u32,
}
