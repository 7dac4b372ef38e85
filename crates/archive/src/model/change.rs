//! A change: the unit that takes effect at once, and that can be undone and redone.
//! Must not be altered once recorded, but for being undone.

use super::Reading;
use crate::db::Row;
use crate::error::ArchiveError;
use crate::schema::CHANGE;
use crate::words::{Word, words};

words! {
    /// What a change did.
    ChangeKind {
        /// A file of people was imported.
        PeopleImported = "people_imported",
        /// A file of results was imported.
        ResultsImported = "results_imported",
        /// A held row was dealt with.
        HeldSettled = "held_settled",
        /// A person was entered by hand.
        PersonAdded = "person_added",
        /// What is known of a person was changed.
        PersonChanged = "person_changed",
        /// A person got another name beside the called one.
        AliasAdded = "alias_added",
        /// A person joined a squad.
        MembershipAdded = "membership_added",
        /// A person's time in a squad was changed.
        MembershipChanged = "membership_changed",
        /// Two entries were joined to one person.
        PeopleMerged = "people_merged",
        /// A test day was entered by hand.
        DayAdded = "day_added",
        /// What is known of a test day was changed.
        DayChanged = "day_changed",
        /// A result was entered by hand.
        ResultAdded = "result_added",
        /// A result was corrected.
        ResultCorrected = "result_corrected",
        /// A result was withdrawn.
        ResultWithdrawn = "result_withdrawn",
        /// A sound check was attached to a test day.
        SoundCheckAdded = "sound_check_added",
        /// A wave was opened on a test day; its events belong to this change.
        WaveOpened = "wave_opened",
        /// A wave was closed and gave results.
        WaveClosed = "wave_closed",
        /// A paper was added to a test day.
        PaperAdded = "day_paper_added",
        /// The medic wrote a note.
        HealthNoteAdded = "health_note_added",
        /// A change was undone.
        Undo = "undo",
        /// An undone change took effect again.
        Redo = "redo",
    }
}

/// One entry of the journal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// Its number, from 1, without gaps.
    pub seq: i64,
    /// When, milliseconds since 1970-01-01 UTC.
    pub at_ms: i64,
    /// Who.
    pub who: String,
    /// What was done.
    pub kind: ChangeKind,
    /// What was done, in words.
    pub summary: String,
    /// How many rows it recorded.
    pub rows: u64,
    /// For an undo or redo: the change it is about.
    pub target: Option<i64>,
    /// Whether the change is undone now.
    pub undone: bool,
}

impl Change {
    pub(crate) fn from_row(row: Row) -> Result<Self, ArchiveError> {
        let mut row = Reading::new(&CHANGE, row);
        Ok(Self {
            seq: row.int()?,
            at_ms: row.int()?,
            who: row.text()?,
            kind: row.word_as(ChangeKind::from_word)?,
            summary: row.text()?,
            rows: row.int()?,
            target: row.opt_int()?,
            undone: row.flag()?,
        })
    }
}
