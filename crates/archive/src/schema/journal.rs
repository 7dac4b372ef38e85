//! Tables of the journal: what the archive is, its schema steps, and every change.
//! Must agree with `migrations/0001_changes.sql`.

use super::{Column, Kind, Table, column, int, text, word};
use crate::model::ChangeKind;
use crate::words::Word;

/// What the archive says about itself.
pub(crate) const ABOUT: Table = Table {
    name: "about",
    meaning: "One fact about the archive itself: `archive_id` and `created_at_ms`.",
    columns: &[
        text("key", "The name of the fact."),
        text("value", "The fact."),
    ],
};

/// The steps of the schema; part of the schema page, listed in `archive.json` of an export.
pub(crate) const SCHEMA_STEP: Table = Table {
    name: "schema_step",
    meaning: "One step of the schema that was applied.",
    columns: &[
        int(
            "number",
            (1, i64::MAX),
            "",
            "The step's number, from 1, without gaps.",
        ),
        text("name", "What the step adds."),
        column("sha256", Kind::Hash, "", "SHA-256 of the step's text."),
        column("applied_at_ms", Kind::Instant, "ms", "When it was applied."),
    ],
};

/// Every change.
pub(crate) const CHANGE: Table = Table {
    name: "change",
    meaning: "One change of the archive: all its rows took effect together. The journal.",
    columns: &[
        column(
            "seq",
            Kind::Seq,
            "",
            "The change's number, from 1, without gaps.",
        ),
        column("at_ms", Kind::Instant, "ms", "When it was made."),
        text("who", "Who made it."),
        word("kind", ChangeKind::WORDS, "What was done."),
        text("summary", "What was done, in words."),
        int(
            "row_count",
            (0, i64::MAX),
            "rows",
            "How many rows it recorded in all tables, itself not counted.",
        ),
        Column {
            name: "target_seq",
            kind: Kind::SeqRef,
            optional: true,
            unit: "",
            meaning: "For `undo` and `redo`: the change it undoes or redoes.",
        },
        column(
            "undone",
            Kind::Flag,
            "",
            "1 while the change is undone: its rows stay and are not in force. Always what the \
             last `undo` or `redo` of it says.",
        ),
    ],
};
