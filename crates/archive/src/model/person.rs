//! People: what is known of them, their names and squads, and merges of duplicates.
//! Must not hold health reasons; no field asks for one.

use jiff::civil::Date;

use super::Reading;
use crate::db::{Row, V};
use crate::error::ArchiveError;
use crate::id::{MembershipId, MergeId, PersonId};
use crate::schema::{MEMBERSHIP, PERSON_VERSION};
use crate::words::{Word, words};

words! {
    /// The sex category for references.
    Sex {
        /// Compared with references for girls and women.
        Female = "female",
        /// Compared with references for boys and men.
        Male = "male",
    }
}

/// What is known of a person.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PersonFacts {
    /// The name as called on the pitch; never empty.
    pub called_name: String,
    /// The name in documents.
    pub legal_name: Option<String>,
    /// Date of birth.
    pub birth_date: Option<Date>,
    /// The sex category for references.
    pub sex: Option<Sex>,
    /// The id in the list the person came from.
    pub external_id: Option<String>,
    /// Remarks.
    pub notes: Option<String>,
}

impl PersonFacts {
    /// Returns the facts with what is missing taken from `other`.
    pub(crate) fn or(self, other: &Self) -> Self {
        Self {
            called_name: self.called_name,
            legal_name: self.legal_name.or_else(|| other.legal_name.clone()),
            birth_date: self.birth_date.or(other.birth_date),
            sex: self.sex.or(other.sex),
            external_id: self.external_id.or_else(|| other.external_id.clone()),
            notes: self.notes.or_else(|| other.notes.clone()),
        }
    }

    /// Reads a version's row from the column after the person.
    fn read(row: &mut Reading) -> Result<Self, ArchiveError> {
        Ok(Self {
            called_name: row.text()?,
            legal_name: row.opt_text()?,
            birth_date: row.opt_date()?,
            sex: row.opt_word()?,
            external_id: row.opt_text()?,
            notes: row.opt_text()?,
        })
    }

    /// Returns the columns of a version from `called_name` to `notes`.
    pub(crate) fn to_values(&self) -> [V; 6] {
        [
            self.called_name.as_str().into(),
            self.legal_name.clone().into(),
            self.birth_date.map(|date| date.to_string()).into(),
            self.sex.map(Word::as_str).into(),
            self.external_id.clone().into(),
            self.notes.clone().into(),
        ]
    }
}

/// One version of what is known of a person, as recorded.
#[derive(Debug, Clone)]
pub(crate) struct PersonVersion {
    /// The version's id.
    pub(crate) id: String,
    /// The person it was recorded for.
    pub(crate) person: PersonId,
    /// What it says.
    pub(crate) facts: PersonFacts,
}

impl PersonVersion {
    pub(crate) fn from_row(row: Row) -> Result<Self, ArchiveError> {
        let mut row = Reading::new(&PERSON_VERSION, row);
        Ok(Self {
            id: row.text()?,
            person: row.id(PersonId)?,
            facts: PersonFacts::read(&mut row)?,
        })
    }
}

/// A time in a squad.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Membership {
    /// The squad.
    pub squad: String,
    /// The first day; nothing when not known.
    pub from: Option<Date>,
    /// The last day; nothing when it goes on.
    pub to: Option<Date>,
}

/// A time in a squad, as recorded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordedMembership {
    /// The version in force.
    pub id: MembershipId,
    /// The person it was recorded for.
    pub(crate) person: PersonId,
    /// The squad and dates.
    pub membership: Membership,
}

impl RecordedMembership {
    pub(crate) fn from_row(row: Row) -> Result<Self, ArchiveError> {
        let mut row = Reading::new(&MEMBERSHIP, row);
        Ok(Self {
            id: row.id(MembershipId)?,
            person: row.id(PersonId)?,
            membership: Membership {
                squad: row.text()?,
                from: row.opt_date()?,
                to: row.opt_date()?,
            },
        })
    }
}

/// A person as the archive knows them now, merges included.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Person {
    /// The person; the kept one after a merge.
    pub id: PersonId,
    /// What is known; gaps of the kept person are filled from merged entries.
    pub facts: PersonFacts,
    /// Other names, without the called one; the called names of merged entries are among them.
    pub aliases: Vec<String>,
    /// Squads, merged entries' included.
    pub memberships: Vec<RecordedMembership>,
    /// The entries that merges have joined to this person.
    pub merged: Vec<PersonId>,
}

/// A merge that is in force.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Merge {
    /// The merge.
    pub id: MergeId,
    /// The person that is kept.
    pub kept: PersonId,
    /// The entry that counts as the kept person.
    pub duplicate: PersonId,
    /// Its number in the journal.
    pub change: i64,
}

/// What a merge did.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MergeReport {
    /// The merge, to unmerge it by.
    pub merge: MergeId,
    /// The person both are now.
    pub kept: PersonId,
    /// In words, what the two entries disagreed about; the kept person's word is shown.
    pub disagreements: Vec<String>,
}
