//! Waves, their events as stored, and the papers of a day.
//! Must not read an event or a document; they are kept letter for letter.

use serde_json::Value;
use uuid::Uuid;

use super::{Reading, ResultFacts};
use crate::db::Row;
use crate::error::ArchiveError;
use crate::id::{DayId, HealthNoteId, PaperId, PersonId, WaveId};
use crate::schema::{DAY_PAPER, HEALTH_NOTE, WAVE, WAVE_EVENT};
use crate::words::{Word, words};

words! {
    /// What a paper of a day is.
    PaperKind {
        /// Waves, lanes and assessors.
        Plan = "plan",
        /// The measured course.
        Course = "course",
        /// A reading of the conditions.
        Conditions = "conditions",
        /// What was decided about conditions: run, easier, later.
        Decision = "decision",
        /// Who does what in an emergency.
        Emergency = "emergency",
        /// What a person may do today: the code without its reason.
        Participation = "participation",
        /// What a person said on arrival; no health answers.
        Arrival = "arrival",
        /// What the lead signed when a wave was closed.
        SignOff = "sign_off",
    }
}

/// A wave.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wave {
    /// The wave.
    pub id: WaveId,
    /// The test day.
    pub day: DayId,
    /// Its number on that day, from 1.
    pub number: u32,
    /// What it is called.
    pub name: String,
    /// Number of the change that opened it.
    pub change: i64,
}

impl Wave {
    pub(crate) fn from_row(row: Row) -> Result<Self, ArchiveError> {
        let mut row = Reading::new(&WAVE, row);
        Ok(Self {
            id: row.id(WaveId)?,
            day: row.id(DayId)?,
            number: row.int()?,
            name: row.text()?,
            change: row.int()?,
        })
    }
}

/// An event to store.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewEvent {
    /// Its id.
    pub id: Uuid,
    /// The device that recorded it.
    pub device: String,
    /// Its number on that device, from 1.
    pub seq: u64,
    /// The event as JSON.
    pub body: String,
}

/// An event as stored.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredEvent {
    /// Its place in the order of arrival, from 1.
    pub nth: i64,
    /// Its id.
    pub id: Uuid,
    /// The device that recorded it.
    pub device: String,
    /// Its number on that device.
    pub seq: u64,
    /// When it arrived, milliseconds since 1970-01-01 UTC.
    pub received_ms: i64,
    /// The event as JSON.
    pub body: String,
}

impl StoredEvent {
    pub(crate) fn from_row(row: Row) -> Result<Self, ArchiveError> {
        let mut row = Reading::new(&WAVE_EVENT, row);
        let id = row.id(|id| id)?;
        row.id(WaveId)?;
        Ok(Self {
            id,
            nth: row.int()?,
            device: row.text()?,
            seq: row.int()?,
            received_ms: row.int()?,
            body: row.text()?,
        })
    }
}

/// What became of an event that was sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stored {
    /// It is stored now.
    New,
    /// It was stored before; nothing changed.
    Already,
    /// The device has used its number for another event; nothing was stored.
    NumberTaken,
}

/// What a wave comes to for one person.
#[derive(Debug, Clone, PartialEq)]
pub struct WaveOutcome {
    /// The person.
    pub person: PersonId,
    /// The result; nothing when the wave gives this person none.
    pub facts: Option<ResultFacts>,
}

/// A paper of a day, as recorded.
#[derive(Debug, Clone, PartialEq)]
pub struct DayPaper {
    /// The paper.
    pub id: PaperId,
    /// The test day.
    pub day: DayId,
    /// What it is.
    pub kind: PaperKind,
    /// What or whom it is about.
    pub subject: Option<String>,
    /// What it says: a JSON object with `format` 1.
    pub document: Value,
    /// Number of the change that recorded it.
    pub change: i64,
    /// When, milliseconds since 1970-01-01 UTC, as the journal has it.
    pub at_ms: i64,
    /// Who, as the journal has it.
    pub who: String,
}

impl DayPaper {
    pub(crate) fn from_row(row: Row) -> Result<Self, ArchiveError> {
        let mut row = Reading::new(&DAY_PAPER, row);
        Ok(Self {
            id: row.id(PaperId)?,
            day: row.id(DayId)?,
            kind: row.word_as(PaperKind::from_word)?,
            subject: row.opt_text()?,
            document: row.json()?,
            change: row.int()?,
            at_ms: 0,
            who: String::new(),
        })
    }
}

/// A health note, as recorded. For the medic's eyes only.
#[derive(Debug, Clone, PartialEq)]
pub struct HealthNote {
    /// The note.
    pub id: HealthNoteId,
    /// The test day.
    pub day: DayId,
    /// The person.
    pub person: PersonId,
    /// What it says: a JSON object with `format` 1.
    pub document: Value,
    /// Number of the change that recorded it.
    pub change: i64,
}

impl HealthNote {
    pub(crate) fn from_row(row: Row) -> Result<Self, ArchiveError> {
        let mut row = Reading::new(&HEALTH_NOTE, row);
        Ok(Self {
            id: row.id(HealthNoteId)?,
            day: row.id(DayId)?,
            person: row.id(PersonId)?,
            document: row.json()?,
            change: row.int()?,
        })
    }
}
