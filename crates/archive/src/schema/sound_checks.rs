//! The table of sound checks. Must agree with `migrations/0005_sound_checks.sql`.
//! Must not know what a document says; that is another crate's business.

use super::{CHANGE_SEQ, Kind, Table, column, id, reference, text, word};
use crate::model::SoundCheckKind;
use crate::words::Word;

/// Sound checks.
pub(crate) const SOUND_CHECK: Table = Table {
    name: "sound_check",
    meaning: "What was heard in one recording, kept beside a test day. Evidence: it changes no \
              result.",
    columns: &[
        id("The sound check."),
        reference("day_id", "test_day", "The test day."),
        word(
            "kind",
            SoundCheckKind::WORDS,
            "Whether it was a check before the test or the test itself was recorded.",
        ),
        text("file_name", "What the recording's file is called."),
        column("file_sha256", Kind::Hash, "", "SHA-256 of that file."),
        column(
            "heard",
            Kind::Document,
            "",
            "What was heard, kept as text and never queried.",
        ),
        CHANGE_SEQ,
    ],
};
