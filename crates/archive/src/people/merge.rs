//! Merges of duplicate people: a set of "counts as" pairs, followed to the kept person.
//! Must not rewrite a row; an undone merge leaves no trace but the journal's.

use std::collections::BTreeMap;

use super::existing;
use crate::db::{Tx, V};
use crate::error::ArchiveError;
use crate::id::{MergeId, PersonId};
use crate::model::{ChangeKind, Merge, MergeReport, PersonFacts, Reading};
use crate::pen::Draft;
use crate::rows;
use crate::schema::MERGE;
use crate::words::Word;

/// The merges in force.
#[derive(Debug, Default)]
pub(crate) struct Merges {
    list: Vec<Merge>,
    kept: BTreeMap<PersonId, PersonId>,
}

impl Merges {
    /// Reads the merges in force.
    pub(crate) fn load(tx: &Tx<'_>) -> Result<Self, ArchiveError> {
        Ok(Self::of(rows::each(
            tx,
            &rows::in_force(&MERGE, None),
            read,
        )?))
    }

    /// Returns the set of these merges.
    pub(crate) fn of(mut list: Vec<Merge>) -> Self {
        list.sort_by_key(|merge| merge.change);
        let kept = list
            .iter()
            .map(|merge| (merge.duplicate, merge.kept))
            .collect();
        Self { list, kept }
    }

    /// Returns the merges in the order in which they were made.
    pub(crate) fn list(&self) -> &[Merge] {
        &self.list
    }

    /// Returns the person an entry counts as.
    pub(crate) fn root(&self, id: PersonId) -> PersonId {
        // Bounded, so that a damaged archive with a ring of merges does not hang.
        let mut at = id;
        for _ in 0..=self.list.len() {
            match self.kept.get(&at) {
                Some(kept) => at = *kept,
                None => break,
            }
        }
        at
    }

    /// Returns the entries that count as a kept person, without that person, oldest merge first.
    pub(crate) fn members(&self, root: PersonId) -> Vec<PersonId> {
        self.list
            .iter()
            .map(|merge| merge.duplicate)
            .filter(|duplicate| *duplicate != root && self.root(*duplicate) == root)
            .collect()
    }
}

pub(crate) fn read(row: Vec<V>) -> Result<Merge, ArchiveError> {
    let mut row = Reading::new(&MERGE, row);
    Ok(Merge {
        id: row.id(MergeId)?,
        kept: row.id(PersonId)?,
        duplicate: row.id(PersonId)?,
        change: row.int()?,
    })
}

/// Returns the number of the change that made a merge, undone or not.
pub(super) fn change_of(tx: &Tx<'_>, merge: MergeId) -> Result<i64, ArchiveError> {
    let found = rows::one(tx, &rows::by_key(&MERGE, merge.into()), read)?;
    found
        .map(|merge| merge.change)
        .ok_or_else(|| ArchiveError::NotFound {
            what: "merge",
            found: merge.to_string(),
            hint: "list the merges to see their ids",
        })
}

/// Joins two entries.
pub(super) fn merge(
    draft: &Draft<'_>,
    keep: PersonId,
    duplicate: PersonId,
) -> Result<MergeReport, ArchiveError> {
    let kept = existing(draft.tx, keep)?;
    let other = existing(draft.tx, duplicate)?;
    if kept.id == other.id {
        return Err(ArchiveError::SamePerson {
            name: kept.facts.called_name,
            id: kept.id.to_string(),
        });
    }
    let summary = format!(
        "{} ({}) counts as {} ({})",
        other.facts.called_name, other.id, kept.facts.called_name, kept.id
    );
    let pen = draft.begin(ChangeKind::PeopleMerged, &summary)?;
    let merge = MergeId(pen.id());
    pen.insert(
        &MERGE,
        vec![
            merge.into(),
            kept.id.into(),
            other.id.into(),
            pen.seq.into(),
        ],
    )?;
    Ok(MergeReport {
        merge,
        kept: kept.id,
        disagreements: disagreements(&kept.facts, &other.facts),
    })
}

/// Returns what two entries say differently of the same thing, names aside.
fn disagreements(kept: &PersonFacts, other: &PersonFacts) -> Vec<String> {
    let date = |facts: &PersonFacts| facts.birth_date.map(|date| date.to_string());
    let sex = |facts: &PersonFacts| facts.sex.map(|sex| sex.as_str().to_owned());
    let list_id = |facts: &PersonFacts| facts.external_id.clone();
    let pairs = [
        ("date of birth", date(kept), date(other)),
        ("sex category", sex(kept), sex(other)),
        ("id in the list", list_id(kept), list_id(other)),
    ];
    let differ = pairs.into_iter().filter_map(|(what, kept, other)| {
        let (kept, other) = (kept?, other?);
        (kept != other).then(|| format!("{what}: {kept} is shown, the other entry has {other}"))
    });
    differ.collect()
}
