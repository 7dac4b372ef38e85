//! Sound checks: which recording, of what, and what was heard in it.
//! Must not read the document; it is kept letter for letter.

use super::Reading;
use crate::db::{Row, V};
use crate::error::ArchiveError;
use crate::id::{DayId, SoundCheckId};
use crate::schema::SOUND_CHECK;
use crate::words::{Word, words};

words! {
    /// What was recorded.
    SoundCheckKind {
        /// The sound alone, checked before the test.
        Before = "before",
        /// The test itself.
        During = "during",
    }
}

/// What is recorded of a sound check.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SoundCheckFacts {
    /// What was recorded.
    pub kind: SoundCheckKind,
    /// What the recording's file is called; its last part only, never a path.
    pub file_name: String,
    /// SHA-256 of that file, 64 lower-case hexadecimal digits.
    pub file_sha256: String,
    /// What was heard: a JSON object with `format` 1, at most 4 MiB.
    pub heard: String,
}

impl SoundCheckFacts {
    /// Returns the columns from `kind` to `heard`.
    pub(crate) fn to_values(&self) -> [V; 4] {
        [
            self.kind.as_str().into(),
            self.file_name.clone().into(),
            self.file_sha256.clone().into(),
            self.heard.clone().into(),
        ]
    }
}

/// A sound check as the archive has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SoundCheck {
    /// The sound check.
    pub id: SoundCheckId,
    /// The test day it is kept beside.
    pub day: DayId,
    /// What is recorded of it.
    pub facts: SoundCheckFacts,
    /// Number of the change that recorded it.
    pub change: i64,
    /// When, milliseconds since 1970-01-01 UTC, as the journal has it.
    pub at_ms: i64,
    /// Who, as the journal has it.
    pub who: String,
}

impl SoundCheck {
    /// Reads a row; when and who are still to come from its change.
    pub(crate) fn from_row(row: Row) -> Result<Self, ArchiveError> {
        let mut row = Reading::new(&SOUND_CHECK, row);
        Ok(Self {
            id: row.id(SoundCheckId)?,
            day: row.id(DayId)?,
            facts: SoundCheckFacts {
                kind: row.word_as(SoundCheckKind::from_word)?,
                file_name: row.text()?,
                file_sha256: row.text()?,
                heard: row.text()?,
            },
            change: row.int()?,
            at_ms: 0,
            who: String::new(),
        })
    }
}
