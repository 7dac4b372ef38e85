//! Imported files: what the importer hands over, and what the archive gives back.
//! Must not parse files; the importer has done that.

use jiff::civil::Date;
use serde_json::Value;

use super::{DayFacts, Membership, PersonFacts, Reading, ResultFacts};
use crate::db::Row;
use crate::error::ArchiveError;
use crate::id::{DayId, HeldId, ImportId, PersonId, ResultId, SourceId};
use crate::schema::{HELD_ROW, IMPORT};
use crate::words::{Word, words};

words! {
    /// What an imported file held.
    ImportKind {
        /// A list of people.
        People = "people",
        /// The results of a test day.
        Results = "results",
    }
}

/// A file to import.
#[derive(Debug, Clone, PartialEq)]
pub struct ImportFile {
    /// The file's name, without its folder.
    pub file_name: String,
    /// SHA-256 of the whole file, 64 lower-case hexadecimal digits.
    pub sha256: String,
    /// Rows of data in the file; at least those accepted and held together.
    pub rows_seen: u32,
    /// The settings the import was run with.
    pub options: Option<Value>,
    /// Takes the file although the same content was imported before.
    pub force: bool,
    /// Rows held back, as they were written.
    pub held: Vec<SourceRow>,
    /// What the examination found, about held and taken rows.
    pub findings: Vec<Finding>,
}

/// A row of a file, as it was written.
#[derive(Debug, Clone, PartialEq)]
pub struct SourceRow {
    /// The sheet, for workbooks.
    pub sheet: Option<String>,
    /// The row as a spreadsheet shows it, header row included; from 1.
    pub row: u32,
    /// The cells exactly as found, for instance an object of column name and text.
    pub as_written: Value,
}

/// One thing the examination found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// The sheet, for workbooks.
    pub sheet: Option<String>,
    /// The row as a spreadsheet shows it, header row included; from 1.
    pub row: u32,
    /// The column, where it is about one.
    pub column: Option<String>,
    /// Which rule found it.
    pub code: String,
    /// What is there.
    pub found: Option<String>,
    /// What may be there.
    pub allowed: Option<String>,
    /// What to do.
    pub suggestion: Option<String>,
}

/// A person out of a file.
#[derive(Debug, Clone, PartialEq)]
pub struct NewPerson {
    /// The person of the archive it is, if a person or a flag said so.
    pub existing: Option<PersonId>,
    /// What the file says; for an existing person, what it leaves out stays as it was.
    pub facts: PersonFacts,
    /// Other names.
    pub aliases: Vec<String>,
    /// Squads; those already recorded alike are not recorded again.
    pub memberships: Vec<Membership>,
    /// The row it comes from.
    pub source: SourceRow,
}

/// A result out of a file.
#[derive(Debug, Clone, PartialEq)]
pub struct NewResult {
    /// Whose it is.
    pub person: PersonId,
    /// What was done.
    pub facts: ResultFacts,
    /// The result it takes the place of, if it is a correction.
    pub supersedes: Option<ResultId>,
    /// The row it comes from.
    pub source: SourceRow,
}

/// The test day an import belongs to.
#[derive(Debug, Clone, PartialEq)]
pub enum WhichDay {
    /// A day not in the archive yet.
    New(Box<DayFacts>),
    /// A day of the archive.
    Existing(DayId),
}

/// What an import recorded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ImportReport {
    /// The import.
    pub import: ImportId,
    /// Its number in the journal.
    pub change: i64,
    /// The test day, for results.
    pub day: Option<DayId>,
    /// The people, in the order of the rows; the existing ones too.
    pub people: Vec<PersonId>,
    /// The results, in the order of the rows.
    pub results: Vec<ResultId>,
}

/// An imported file.
#[derive(Debug, Clone, PartialEq)]
pub struct Import {
    /// The import.
    pub id: ImportId,
    /// Its number in the journal, which says who and when.
    pub change: i64,
    /// What the file held.
    pub kind: ImportKind,
    /// The file's name.
    pub file_name: String,
    /// SHA-256 of the whole file.
    pub sha256: String,
    /// For results: the test definition.
    pub ladder: Option<String>,
    /// For results: the date of the test day.
    pub on_date: Option<Date>,
    /// Rows of data in the file.
    pub rows_seen: u32,
    /// Rows taken.
    pub rows_accepted: u32,
    /// Rows held back.
    pub rows_held: u32,
    /// Whether it was taken although the same content had been imported before.
    pub forced: bool,
    /// The settings the import was run with.
    pub options: Option<Value>,
    /// When it was imported, milliseconds since 1970-01-01 UTC.
    pub imported_at_ms: i64,
    /// Who imported it.
    pub who: String,
    /// Whether it is undone now.
    pub undone: bool,
}

impl Import {
    /// Reads a row of `import` followed by time, name and state of its change.
    pub(crate) fn from_row(mut row: Row) -> Result<Self, ArchiveError> {
        let change = row.split_off(IMPORT.columns.len());
        let mut row = Reading::new(&IMPORT, row);
        let import = Self {
            id: row.id(ImportId)?,
            change: row.int()?,
            kind: row.word_as(ImportKind::from_word)?,
            file_name: row.text()?,
            sha256: row.text()?,
            ladder: row.opt_text()?,
            on_date: row.opt_date()?,
            rows_seen: row.int()?,
            rows_accepted: row.int()?,
            rows_held: row.int()?,
            forced: row.flag()?,
            options: row.opt_json()?,
            imported_at_ms: 0,
            who: String::new(),
            undone: false,
        };
        let mut row = Reading::new(&CHANGE_STATE, change);
        Ok(Self {
            imported_at_ms: row.int()?,
            who: row.text()?,
            undone: row.flag()?,
            ..import
        })
    }
}

/// The columns of a change that come along with an import.
pub(crate) const CHANGE_STATE: crate::schema::Table = crate::schema::Table {
    name: "change",
    meaning: "",
    columns: &[
        crate::schema::CHANGE.columns[1],
        crate::schema::CHANGE.columns[2],
        crate::schema::CHANGE.columns[7],
    ],
};

/// A row that was held back.
#[derive(Debug, Clone, PartialEq)]
pub struct HeldRow {
    /// The held row.
    pub id: HeldId,
    /// The import it belongs to.
    pub import: ImportId,
    /// The row as it was written.
    pub source: SourceRow,
    /// How it was dealt with, once it was.
    pub settled: Option<String>,
}

impl HeldRow {
    pub(crate) fn from_row(row: Row, settled: Option<String>) -> Result<Self, ArchiveError> {
        let mut row = Reading::new(&HELD_ROW, row);
        Ok(Self {
            id: row.id(HeldId)?,
            import: row.id(ImportId)?,
            source: SourceRow {
                sheet: row.opt_text()?,
                row: row.int()?,
                as_written: row.json()?,
            },
            settled,
        })
    }
}

/// Where a row came from.
#[derive(Debug, Clone, PartialEq)]
pub struct Provenance {
    /// The source row.
    pub id: SourceId,
    /// The import.
    pub import: Import,
    /// The row as it was written.
    pub row: SourceRow,
    /// SHA-256 of the row's `as_written` text.
    pub row_sha256: String,
}
