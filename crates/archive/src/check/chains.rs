//! Versions and merges: no ring, one version in force, nothing in force on something undone.
//! Must see all rows, undone ones too: those may come back.

use std::collections::{BTreeMap, BTreeSet};

use super::Found;
use crate::db::{Stmt, Tx, V};
use crate::error::ArchiveError;
use crate::people::{Merges, read_merge};
use crate::rows;
use crate::schema::{
    MEMBERSHIP, MERGE, PERSON, PERSON_VERSION, RESULT, TEST_DAY, TEST_DAY_VERSION, Table,
};
use crate::undo::references;

/// One version: whose, what it supersedes, its change, and whether that is undone.
struct Version {
    owner: String,
    supersedes: Option<String>,
    change: i64,
    undone: bool,
}

type Versions = BTreeMap<String, Version>;

pub(super) fn check(tx: &Tx<'_>, found: &mut Found) -> Result<(), ArchiveError> {
    let owned = [
        (&PERSON_VERSION, "person_id", Some(&PERSON)),
        (&TEST_DAY_VERSION, "day_id", Some(&TEST_DAY)),
        (&MEMBERSHIP, "person_id", None),
        (&RESULT, "day_id", None),
    ];
    for (table, owner, of) in owned {
        let versions = load(tx, table, owner)?;
        rings(table, &versions, found);
        places(table, &versions, found);
        if let Some(of) = of {
            one_each(tx, of, table, &versions, found)?;
        }
    }
    foundations(tx, found)?;
    merges(tx, found)
}

fn load(tx: &Tx<'_>, table: &Table, owner: &str) -> Result<Versions, ArchiveError> {
    let mut versions = Versions::new();
    let stmt = Stmt::new(format!(
        "SELECT t.id, t.{owner}, t.supersedes, t.change_seq, c.undone FROM {} t \
         JOIN change c ON c.seq = t.change_seq",
        table.name
    ));
    tx.each(&stmt, |row| {
        if let Ok(
            [
                V::T(id),
                V::T(owner),
                supersedes,
                V::I(change),
                V::I(undone),
            ],
        ) = <[V; 5]>::try_from(row)
        {
            let supersedes = match supersedes {
                V::T(id) => Some(id),
                _ => None,
            };
            let version = Version {
                owner,
                supersedes,
                change,
                undone: undone == 1,
            };
            versions.insert(id, version);
        }
        Ok::<(), ArchiveError>(())
    })?;
    Ok(versions)
}

/// Looks for versions that, one after the other, supersede themselves.
fn rings(table: &'static Table, versions: &Versions, found: &mut Found) {
    let mut sound: BTreeSet<&str> = BTreeSet::new();
    for start in versions.keys() {
        let mut walked: BTreeSet<&str> = BTreeSet::new();
        let mut at = start.as_str();
        while !sound.contains(at) {
            if !walked.insert(at) {
                found.row(table.name, start, "it supersedes itself by way of others");
                break;
            }
            match versions
                .get(at)
                .and_then(|version| version.supersedes.as_deref())
            {
                Some(earlier) => at = earlier,
                None => break,
            }
        }
        sound.extend(walked);
    }
}

/// Looks at each version beside the one whose place it takes.
fn places(table: &'static Table, versions: &Versions, found: &mut Found) {
    let mut taken: BTreeMap<&str, &str> = BTreeMap::new();
    for (id, version) in versions {
        let Some(before_id) = version.supersedes.as_deref() else {
            continue;
        };
        let Some(before) = versions.get(before_id) else {
            continue;
        };
        if before.owner != version.owner {
            found.row(
                table.name,
                id,
                "it supersedes a version that belongs to something else",
            );
        }
        if before.change > version.change {
            found.row(
                table.name,
                id,
                "it supersedes a version that was recorded later",
            );
        }
        if version.undone {
            continue;
        }
        if let Some(other) = taken.insert(before_id, id) {
            let text = format!("it and `{other}` supersede the same version, both in force");
            found.row(table.name, id, text);
        }
    }
}

/// Looks for things in force that have no version in force, or several.
fn one_each(
    tx: &Tx<'_>,
    of: &'static Table,
    table: &'static Table,
    versions: &Versions,
    found: &mut Found,
) -> Result<(), ArchiveError> {
    let superseded: BTreeSet<&str> = versions
        .values()
        .filter(|version| !version.undone)
        .filter_map(|version| version.supersedes.as_deref())
        .collect();
    let mut count: BTreeMap<&str, usize> = BTreeMap::new();
    for (id, version) in versions {
        if !version.undone && !superseded.contains(id.as_str()) {
            *count.entry(&version.owner).or_default() += 1;
        }
    }
    for row in tx.query(&rows::in_force(of, None))? {
        let id = super::values::key(&row);
        let count = count.get(id.as_str()).copied().unwrap_or(0);
        if count != 1 {
            let name = table.name;
            found.row(
                of.name,
                id,
                format!("{count} rows of `{name}` are in force for it, not 1"),
            );
        }
    }
    Ok(())
}

/// Looks for rows in force that refer to undone ones.
fn foundations(tx: &Tx<'_>, found: &mut Found) -> Result<(), ArchiveError> {
    for (table, column, target) in references() {
        let stmt = Stmt::new(format!(
            "SELECT t.id, u.id FROM {} t JOIN {target} u ON u.id = t.{} \
             JOIN change c ON c.seq = t.change_seq JOIN change d ON d.seq = u.change_seq \
             WHERE c.undone = 0 AND d.undone = 1",
            table.name, column.name
        ));
        for row in tx.query(&stmt)? {
            if let [V::T(id), V::T(target_id)] = row.as_slice() {
                let text = format!("it builds on `{target_id}` of `{target}`, which is undone");
                found.row(table.name, id, text);
            }
        }
    }
    Ok(())
}

fn merges(tx: &Tx<'_>, found: &mut Found) -> Result<(), ArchiveError> {
    let all = rows::each(tx, &rows::all(&MERGE), read_merge)?;
    for merge in all.iter().filter(|merge| merge.kept == merge.duplicate) {
        found.row(MERGE.name, merge.id, "it joins a person to themselves");
    }
    let merges = Merges::load(tx)?;
    let mut duplicates = BTreeSet::new();
    for merge in merges.list() {
        if !duplicates.insert(merge.duplicate) {
            found.row(
                MERGE.name,
                merge.id,
                "its duplicate is joined to another person too",
            );
        }
        let root = merges.root(merge.duplicate);
        if merges.root(root) != root || merges.list().iter().any(|m| m.duplicate == root) {
            found.row(MERGE.name, merge.id, "it is part of a ring of merges");
        }
    }
    Ok(())
}
