//! Tables of people: what is known of them, their names, squads and merges.
//! Must agree with `migrations/0003_people.sql`.

use super::{CHANGE_SEQ, Kind, SOURCE_ID, Table, column, id, reference, text, word};
use crate::model::Sex;
use crate::words::Word;

/// People.
pub(crate) const PERSON: Table = Table {
    name: "person",
    meaning: "One person, or one entry that a merge has joined to another.",
    columns: &[id("The person; never changes."), CHANGE_SEQ, SOURCE_ID],
};

/// What is known of people.
pub(crate) const PERSON_VERSION: Table = Table {
    name: "person_version",
    meaning: "One version of what is known of a person.",
    columns: &[
        id("The version."),
        reference("person_id", "person", "The person."),
        text("called_name", "The name as called on the pitch."),
        text("legal_name", "The name in documents.").optional(),
        column("birth_date", Kind::Date, "", "Date of birth.").optional(),
        word("sex", Sex::WORDS, "The sex category for references.").optional(),
        text("external_id", "The id in the list the person came from.").optional(),
        text("notes", "Remarks.").optional(),
        reference(
            "supersedes",
            "person_version",
            "The version it takes the place of.",
        )
        .optional(),
        CHANGE_SEQ,
        SOURCE_ID,
    ],
};

/// Other names.
pub(crate) const ALIAS: Table = Table {
    name: "alias",
    meaning: "Another name under which a person was listed.",
    columns: &[
        id("The alias."),
        reference("person_id", "person", "The person."),
        text("name", "The name."),
        CHANGE_SEQ,
        SOURCE_ID,
    ],
};

/// Squad memberships.
pub(crate) const MEMBERSHIP: Table = Table {
    name: "membership",
    meaning: "One version of a person's time in a squad.",
    columns: &[
        id("The version."),
        reference("person_id", "person", "The person."),
        text("squad", "The squad."),
        column(
            "from_date",
            Kind::Date,
            "",
            "The first day; empty when not known.",
        )
        .optional(),
        column(
            "to_date",
            Kind::Date,
            "",
            "The last day; empty when it goes on.",
        )
        .optional(),
        reference(
            "supersedes",
            "membership",
            "The version it takes the place of.",
        )
        .optional(),
        CHANGE_SEQ,
        SOURCE_ID,
    ],
};

/// Merges.
pub(crate) const MERGE: Table = Table {
    name: "merge",
    meaning: "Two entries that are one person. In force until its change is undone.",
    columns: &[
        id("The merge."),
        reference("kept_id", "person", "The person that is kept."),
        reference(
            "duplicate_id",
            "person",
            "The entry that counts as the kept person.",
        ),
        CHANGE_SEQ,
    ],
};
