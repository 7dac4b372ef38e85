//! The description of every table: columns, types, units, ranges, meaning.
//! Must agree with the migrations and with `docs/formats/archive-schema.md`; tests hold both.

mod imports;
mod journal;
mod page;
mod people;
mod results;
mod sound_checks;
mod test_days;
mod value;
mod waves;

pub use page::{data_dictionary, schema_page};
pub(crate) use value::{objection, shown};

/// Largest document that is kept, bytes: 4 MiB.
pub const DOCUMENT_LIMIT: usize = 4 * 1024 * 1024;

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kind {
    /// A UUID, 36 characters, lower case; the table's key.
    Id,
    /// The id of a row of another table.
    Ref(&'static str),
    /// The number of a change, from 1; the key of `change`.
    Seq,
    /// The number of a row of `change`.
    SeqRef,
    /// Text, never blank.
    Text,
    /// One of a fixed list of words.
    Word(&'static [&'static str]),
    /// A whole number, both limits included.
    Int(i64, i64),
    /// A number, both limits included.
    Real(f64, f64),
    /// 0 for no, 1 for yes.
    Flag,
    /// A date, `YYYY-MM-DD`.
    Date,
    /// A time of day, `HH:MM:SS`.
    Time,
    /// An instant, milliseconds since 1970-01-01 UTC.
    Instant,
    /// SHA-256, 64 lower-case hexadecimal digits.
    Hash,
    /// JSON, kept as text and never queried.
    Json,
    /// A JSON object with `format` 1, at most [`DOCUMENT_LIMIT`] bytes, kept as text.
    Document,
}

/// One column.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Column {
    /// Its name in the database and in the export.
    pub name: &'static str,
    /// What it holds.
    pub kind: Kind,
    /// Whether it may be empty.
    pub optional: bool,
    /// Its unit, or empty.
    pub unit: &'static str,
    /// What it means.
    pub meaning: &'static str,
}

/// One table; its first column is its key.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Table {
    /// Its name in the database; its file in the export is called `NAME.csv`.
    pub name: &'static str,
    /// What one row is.
    pub meaning: &'static str,
    /// Its columns in order.
    pub columns: &'static [Column],
}

/// Every table of the archive, each after the ones it refers to.
pub const TABLES: [&Table; 21] = [
    &ABOUT,
    &CHANGE,
    &IMPORT,
    &SOURCE_ROW,
    &HELD_ROW,
    &FINDING,
    &SETTLEMENT,
    &PERSON,
    &PERSON_VERSION,
    &ALIAS,
    &MEMBERSHIP,
    &MERGE,
    &TEST_DAY,
    &TEST_DAY_VERSION,
    &RESULT,
    &SOUND_CHECK,
    &WAVE,
    &WAVE_EVENT,
    &WAVE_RESULT,
    &DAY_PAPER,
    &HEALTH_NOTE,
];

pub(crate) use imports::{FINDING, HELD_ROW, IMPORT, SETTLEMENT, SOURCE_ROW};
pub(crate) use journal::{ABOUT, CHANGE, SCHEMA_STEP};
pub(crate) use people::{ALIAS, MEMBERSHIP, MERGE, PERSON, PERSON_VERSION};
pub(crate) use results::RESULT;
pub(crate) use sound_checks::SOUND_CHECK;
pub(crate) use test_days::{TEST_DAY, TEST_DAY_VERSION};
pub(crate) use waves::{DAY_PAPER, HEALTH_NOTE, WAVE, WAVE_EVENT, WAVE_RESULT};

impl Table {
    /// Returns where a column stands, from 0.
    pub fn position(&self, column: &str) -> Option<usize> {
        self.columns.iter().position(|found| found.name == column)
    }

    /// Returns whether later rows of the table can take the place of earlier ones.
    pub fn has_versions(&self) -> bool {
        self.position("supersedes").is_some()
    }

    /// Returns the columns, comma-separated, each with a prefix.
    pub(crate) fn column_list(&self, prefix: &str) -> String {
        let names: Vec<String> = self
            .columns
            .iter()
            .map(|column| format!("{prefix}{}", column.name))
            .collect();
        names.join(", ")
    }
}

const fn column(
    name: &'static str,
    kind: Kind,
    unit: &'static str,
    meaning: &'static str,
) -> Column {
    Column {
        name,
        kind,
        optional: false,
        unit,
        meaning,
    }
}

impl Column {
    /// Returns the column, allowed to be empty.
    const fn optional(mut self) -> Self {
        self.optional = true;
        self
    }
}

const fn id(meaning: &'static str) -> Column {
    column("id", Kind::Id, "", meaning)
}

const fn reference(name: &'static str, table: &'static str, meaning: &'static str) -> Column {
    column(name, Kind::Ref(table), "", meaning)
}

const fn text(name: &'static str, meaning: &'static str) -> Column {
    column(name, Kind::Text, "", meaning)
}

const fn real(
    name: &'static str,
    (low, high): (f64, f64),
    unit: &'static str,
    meaning: &'static str,
) -> Column {
    column(name, Kind::Real(low, high), unit, meaning)
}

const fn int(
    name: &'static str,
    (low, high): (i64, i64),
    unit: &'static str,
    meaning: &'static str,
) -> Column {
    column(name, Kind::Int(low, high), unit, meaning)
}

const fn word(name: &'static str, words: &'static [&'static str], meaning: &'static str) -> Column {
    column(name, Kind::Word(words), "", meaning)
}

const CHANGE_SEQ: Column = column(
    "change_seq",
    Kind::SeqRef,
    "",
    "The change that recorded the row: who, when, and whether it is undone.",
);

const SOURCE_ID: Column = Column {
    name: "source_id",
    kind: Kind::Ref("source_row"),
    optional: true,
    unit: "",
    meaning: "The row of the imported file it came from; empty when entered by hand.",
};
