//! Tables of waves and of the papers of a day. Must agree with `migrations/0006_waves.sql`.
//! Must not know what an event or a paper says; that is other crates' business.

use super::{CHANGE_SEQ, Kind, Table, column, id, int, reference, text, word};
use crate::model::PaperKind;
use crate::words::Word;

/// Waves.
pub(crate) const WAVE: Table = Table {
    name: "wave",
    meaning: "A group that runs together on a test day.",
    columns: &[
        id("The wave."),
        reference("day_id", "test_day", "The test day."),
        int("number", (1, 999), "", "Its number on that day."),
        text("name", "What it is called."),
        CHANGE_SEQ,
    ],
};

/// Events of waves.
pub(crate) const WAVE_EVENT: Table = Table {
    name: "wave_event",
    meaning: "One event of a wave, as it arrived. The change is the one that opened the wave.",
    columns: &[
        id("The event."),
        reference("wave_id", "wave", "The wave."),
        int(
            "nth",
            (1, i64::MAX),
            "",
            "Its place in the order of arrival, from 1.",
        ),
        text("device", "The device that recorded it."),
        int(
            "device_seq",
            (1, i64::MAX),
            "",
            "Its number on that device.",
        ),
        column("received_at_ms", Kind::Instant, "ms", "When it arrived."),
        column(
            "body",
            Kind::Json,
            "",
            "The event, see `docs/formats/events.md`; kept as text and never queried.",
        ),
        CHANGE_SEQ,
    ],
};

/// Results that waves gave.
pub(crate) const WAVE_RESULT: Table = Table {
    name: "wave_result",
    meaning: "Which version of a result came from which wave.",
    columns: &[
        id("The link."),
        reference("wave_id", "wave", "The wave."),
        reference("result_id", "result", "The version of the result."),
        CHANGE_SEQ,
    ],
};

/// Papers of days.
pub(crate) const DAY_PAPER: Table = Table {
    name: "day_paper",
    meaning: "A paper of a test day: plan, checks, decisions. The latest of a kind and subject is \
              in force; the ones before stay.",
    columns: &[
        id("The paper."),
        reference("day_id", "test_day", "The test day."),
        word("kind", PaperKind::WORDS, "What it is."),
        text(
            "subject",
            "What or whom it is about: a wave's or person's id.",
        )
        .optional(),
        column(
            "document",
            Kind::Document,
            "",
            "What it says, kept as text and never queried.",
        ),
        CHANGE_SEQ,
    ],
};

/// Health notes.
pub(crate) const HEALTH_NOTE: Table = Table {
    name: "health_note",
    meaning: "What the medic wrote about a person on a test day: reasons that only the medic's \
              pages show. The latest is in force.",
    columns: &[
        id("The note."),
        reference("day_id", "test_day", "The test day."),
        reference("person_id", "person", "The person."),
        column(
            "document",
            Kind::Document,
            "",
            "What it says, kept as text and never queried.",
        ),
        CHANGE_SEQ,
    ],
};
