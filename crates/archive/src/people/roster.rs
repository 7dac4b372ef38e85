//! People put together from their entries: versions in force, names, squads, merges.
//! Must answer from one transaction, so that the parts belong together.

use std::collections::BTreeMap;

use super::Merges;
use super::names::folded;
use crate::db::{Tx, V};
use crate::error::ArchiveError;
use crate::id::PersonId;
use crate::model::{Person, PersonFacts, PersonVersion, Reading, RecordedMembership};
use crate::rows;
use crate::schema::{ALIAS, MEMBERSHIP, PERSON_VERSION};

/// What is recorded for one entry.
#[derive(Debug, Default)]
struct Entry {
    facts: Option<PersonFacts>,
    aliases: Vec<(i64, String)>,
    memberships: Vec<RecordedMembership>,
}

/// Returns everyone, sorted by called name.
pub(super) fn everyone(tx: &Tx<'_>) -> Result<Vec<Person>, ArchiveError> {
    let merges = Merges::load(tx)?;
    let mut entries = load(tx, None)?;
    let roots: Vec<PersonId> = entries
        .keys()
        .copied()
        .filter(|id| merges.root(*id) == *id)
        .collect();
    let mut members: BTreeMap<PersonId, Vec<PersonId>> = BTreeMap::new();
    for merge in merges.list() {
        let root = merges.root(merge.duplicate);
        members.entry(root).or_default().push(merge.duplicate);
    }
    let mut people: Vec<Person> = roots
        .into_iter()
        .filter_map(|root| {
            together(
                root,
                &members.remove(&root).unwrap_or_default(),
                &mut entries,
            )
        })
        .collect();
    people.sort_by_cached_key(|person| (folded(&person.facts.called_name), person.id));
    Ok(people)
}

/// Returns a person by id; by a merged entry's id, the kept person.
pub(crate) fn person(tx: &Tx<'_>, id: PersonId) -> Result<Option<Person>, ArchiveError> {
    let merges = Merges::load(tx)?;
    let root = merges.root(id);
    let members = merges.members(root);
    let mut entries = BTreeMap::new();
    for id in [root].iter().chain(&members) {
        entries.extend(load(tx, Some(*id))?);
    }
    Ok(together(root, &members, &mut entries))
}

/// Returns a person by id, who must be there.
pub(crate) fn existing(tx: &Tx<'_>, id: PersonId) -> Result<Person, ArchiveError> {
    person(tx, id)?.ok_or_else(|| ArchiveError::NotFound {
        what: "person",
        found: id.to_string(),
        hint: "list the people to see their ids; an undone import takes its people along",
    })
}

fn load(tx: &Tx<'_>, only: Option<PersonId>) -> Result<BTreeMap<PersonId, Entry>, ArchiveError> {
    let which = || only.map(|id| ("person_id", V::from(id)));
    let mut entries: BTreeMap<PersonId, Entry> = BTreeMap::new();
    tx.each(&rows::in_force(&PERSON_VERSION, which()), |row| {
        let version = PersonVersion::from_row(row)?;
        entries.entry(version.person).or_default().facts = Some(version.facts);
        Ok::<(), ArchiveError>(())
    })?;
    tx.each(&rows::in_force(&ALIAS, which()), |row| {
        let mut row = Reading::new(&ALIAS, row);
        let (_, person) = (row.text()?, row.id(PersonId)?);
        let (name, change) = (row.text()?, row.int()?);
        entries
            .entry(person)
            .or_default()
            .aliases
            .push((change, name));
        Ok::<(), ArchiveError>(())
    })?;
    tx.each(&rows::in_force(&MEMBERSHIP, which()), |row| {
        let membership = RecordedMembership::from_row(row)?;
        let entry = entries.entry(membership.person).or_default();
        entry.memberships.push(membership);
        Ok::<(), ArchiveError>(())
    })?;
    Ok(entries)
}

/// Returns one person out of the entries, or nothing when no version of the kept one is in force.
fn together(
    root: PersonId,
    members: &[PersonId],
    entries: &mut BTreeMap<PersonId, Entry>,
) -> Option<Person> {
    let kept = entries.remove(&root)?;
    let mut facts = kept.facts?;
    let mut aliases = kept.aliases;
    let mut memberships = kept.memberships;
    for entry in members.iter().filter_map(|member| entries.remove(member)) {
        if let Some(other) = entry.facts {
            facts = facts.or(&other);
            aliases.push((i64::MAX, other.called_name));
        }
        aliases.extend(entry.aliases);
        memberships.extend(entry.memberships);
    }
    aliases.sort();
    let mut names: Vec<String> = Vec::new();
    for (_, name) in aliases {
        if name != facts.called_name && !names.contains(&name) {
            names.push(name);
        }
    }
    memberships.sort_by_cached_key(|m| (m.membership.from, m.membership.squad.clone(), m.id));
    Some(Person {
        id: root,
        facts,
        aliases: names,
        memberships,
        merged: members.to_vec(),
    })
}
