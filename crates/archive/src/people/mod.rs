//! People: asking who there is, and recording what is known of them.
//! Merges are followed in every answer; nothing recorded is altered.

mod merge;
mod names;
mod record;
mod roster;

pub(crate) use merge::{Merges, read as read_merge};
pub(crate) use record::{add_aliases, add_membership, first_version, next_version, own_version};
pub(crate) use roster::existing;

use crate::error::ArchiveError;
use crate::id::{MembershipId, PersonId};
use crate::model::{ChangeKind, Membership, MergeReport, Person, PersonFacts};
use crate::open::{Archive, Writer};

impl Archive {
    /// Returns everyone, merged entries as one person, sorted by called name.
    pub fn people(&self) -> Result<Vec<Person>, ArchiveError> {
        self.db.read(roster::everyone)
    }

    /// Returns a person by id; by a merged entry's id, the kept person.
    pub fn person(&self, id: PersonId) -> Result<Option<Person>, ArchiveError> {
        self.db.read(|tx| roster::person(tx, id))
    }

    /// Returns the people a text may mean: an id, else a list's id, else a called, legal or other
    /// name, capitals and spaces aside, else such a name accents aside too.
    pub fn find_people(&self, text: &str) -> Result<Vec<Person>, ArchiveError> {
        self.db.read(|tx| names::find(tx, text))
    }

    /// Returns the one person a text means, as [`Archive::find_people`] reads it.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::NotFound`] and [`ArchiveError::Ambiguous`].
    pub fn person_named(&self, text: &str) -> Result<Person, ArchiveError> {
        self.db.read(|tx| names::the_one(tx, text))
    }

    /// Returns the merges in force, in the order in which they were made.
    pub fn merges(&self) -> Result<Vec<crate::model::Merge>, ArchiveError> {
        self.db.read(|tx| Ok(Merges::load(tx)?.list().to_vec()))
    }
}

impl Writer {
    /// Enters a person by hand.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::Value`] when a fact cannot be stored.
    pub fn add_person(
        &mut self,
        facts: &PersonFacts,
        memberships: &[Membership],
    ) -> Result<PersonId, ArchiveError> {
        self.draft(|draft| {
            let summary = format!("{} added", facts.called_name);
            let pen = draft.begin(ChangeKind::PersonAdded, &summary)?;
            let id = first_version(&pen, facts, None)?;
            for membership in memberships {
                add_membership(&pen, id, membership, None)?;
            }
            Ok(id)
        })
    }

    /// Records what is known of a person now. Another called name makes the old one an alias.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::NotFound`], and [`ArchiveError::Value`] when a fact cannot be stored.
    pub fn set_person(&mut self, id: PersonId, facts: &PersonFacts) -> Result<(), ArchiveError> {
        self.draft(|draft| record::set(draft, id, |_, _| facts.clone()))
    }

    /// Gives a person another called name; the old one becomes an alias.
    ///
    /// # Errors
    ///
    /// As [`Writer::set_person`].
    pub fn rename_person(&mut self, id: PersonId, name: &str) -> Result<(), ArchiveError> {
        self.draft(|draft| {
            record::set(draft, id, |own, _| PersonFacts {
                called_name: name.to_owned(),
                ..own.clone()
            })
        })
    }

    /// Gives a person another name beside the called one. A name they have already is not recorded
    /// again.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::NotFound`], and [`ArchiveError::Value`] for a blank name.
    pub fn add_alias(&mut self, id: PersonId, name: &str) -> Result<(), ArchiveError> {
        self.draft(|draft| {
            let person = existing(draft.tx, id)?;
            let names = record::own_names(draft.tx, person.id, &person.facts.called_name)?;
            if names.iter().any(|known| known == name) {
                return Ok(());
            }
            let summary = format!("{} also known as {name}", person.facts.called_name);
            let pen = draft.begin(ChangeKind::AliasAdded, &summary)?;
            add_aliases(
                &pen,
                person.id,
                &person.facts.called_name,
                &[name.to_owned()],
                None,
            )
        })
    }

    /// Records a time in a squad.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::NotFound`], and [`ArchiveError::Value`] for a blank squad or dates that run
    /// backwards.
    pub fn add_membership(
        &mut self,
        id: PersonId,
        membership: &Membership,
    ) -> Result<MembershipId, ArchiveError> {
        self.draft(|draft| {
            let person = existing(draft.tx, id)?;
            let summary = format!("{} joined {}", person.facts.called_name, membership.squad);
            let pen = draft.begin(ChangeKind::MembershipAdded, &summary)?;
            add_membership(&pen, person.id, membership, None)
        })
    }

    /// Records a time in a squad anew: another end, or a correction. The old version is kept.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::NotInForce`], and those of [`Writer::add_membership`].
    pub fn change_membership(
        &mut self,
        id: MembershipId,
        membership: &Membership,
    ) -> Result<MembershipId, ArchiveError> {
        self.draft(|draft| record::change_membership(draft, id, membership))
    }

    /// Joins two entries that are one person. Every question then answers with the kept person.
    /// Nothing is rewritten: undoing it restores both exactly.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::NotFound`] and [`ArchiveError::SamePerson`].
    pub fn merge_people(
        &mut self,
        keep: PersonId,
        duplicate: PersonId,
    ) -> Result<MergeReport, ArchiveError> {
        self.draft(|draft| merge::merge(draft, keep, duplicate))
    }

    /// Takes a merge back. What was recorded for the kept person since then stays with that person.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::NotFound`], and [`ArchiveError::NothingToDo`] when it is undone already.
    pub fn unmerge(&mut self, merge: crate::id::MergeId) -> Result<(), ArchiveError> {
        self.draft(|draft| {
            let change = merge::change_of(draft.tx, merge)?;
            crate::undo::undo(draft, change)
        })
    }
}
