//! What stands against an undo or a redo, in words.
//! Must look at every reference the schema has; the list of tables is the schema's own.

use super::change;
use crate::db::{Stmt, Tx, V};
use crate::error::ArchiveError;
use crate::imports::twin;
use crate::journal::imports;
use crate::people::{Merges, read_merge};
use crate::rows;
use crate::schema::{Column, Kind, MERGE, TABLES, Table};

/// A column that refers to a row another change may have recorded.
pub(crate) fn references() -> impl Iterator<Item = (&'static Table, &'static Column, &'static str)>
{
    let dated = |table: &Table| table.position("change_seq").is_some();
    TABLES
        .into_iter()
        .filter(move |table| dated(table))
        .flat_map(move |table| {
            table.columns.iter().filter_map(move |column| {
                let Kind::Ref(target) = column.kind else {
                    return None;
                };
                let known = TABLES.into_iter().find(|table| table.name == target)?;
                dated(known).then_some((table, column, target))
            })
        })
}

/// Returns the later changes that build on a change.
pub(super) fn builders(tx: &Tx<'_>, seq: i64) -> Result<Vec<String>, ArchiveError> {
    let mut blocked: Vec<i64> = Vec::new();
    for (table, column, target) in references() {
        let stmt = Stmt::new(format!(
            "SELECT DISTINCT t.change_seq FROM {} t JOIN {target} u ON u.id = t.{} \
             JOIN change c ON c.seq = t.change_seq \
             WHERE u.change_seq = $1 AND t.change_seq <> $1 AND c.undone = 0",
            table.name, column.name
        ))
        .with(seq);
        blocked.extend(numbers(tx, &stmt)?);
    }
    in_words(tx, blocked, "builds on it")
}

/// Returns what stands against a redo.
pub(super) fn to_redo(tx: &Tx<'_>, seq: i64) -> Result<Vec<String>, ArchiveError> {
    let mut found = undone_foundations(tx, seq)?;
    found.extend(taken_places(tx, seq)?);
    found.extend(other_merges(tx, seq)?);
    found.extend(imported_again(tx, seq)?);
    Ok(found)
}

/// Returns what the change's rows refer to and is undone.
fn undone_foundations(tx: &Tx<'_>, seq: i64) -> Result<Vec<String>, ArchiveError> {
    let mut missing = Vec::new();
    for (table, column, target) in references() {
        let stmt = Stmt::new(format!(
            "SELECT DISTINCT u.change_seq FROM {} t JOIN {target} u ON u.id = t.{} \
             JOIN change c ON c.seq = u.change_seq \
             WHERE t.change_seq = $1 AND u.change_seq <> $1 AND c.undone = 1",
            table.name, column.name
        ))
        .with(seq);
        missing.extend(numbers(tx, &stmt)?);
    }
    in_words(
        tx,
        missing,
        "is undone and it builds on that: redo that first",
    )
}

/// Returns what has superseded the same rows meanwhile.
fn taken_places(tx: &Tx<'_>, seq: i64) -> Result<Vec<String>, ArchiveError> {
    let mut taken = Vec::new();
    for table in TABLES.into_iter().filter(|table| table.has_versions()) {
        let stmt = Stmt::new(format!(
            "SELECT DISTINCT o.change_seq FROM {0} t JOIN {0} o ON o.supersedes = t.supersedes \
             JOIN change c ON c.seq = o.change_seq \
             WHERE t.change_seq = $1 AND o.change_seq <> $1 AND c.undone = 0",
            table.name
        ))
        .with(seq);
        taken.extend(numbers(tx, &stmt)?);
    }
    in_words(tx, taken, "changed the same since: undo that first")
}

/// Returns the merges made meanwhile that this change's merge does not go with.
fn other_merges(tx: &Tx<'_>, seq: i64) -> Result<Vec<String>, ArchiveError> {
    let merges = Merges::load(tx)?;
    let stmt = rows::having(&MERGE, "change_seq", seq);
    let mine = rows::each(tx, &stmt, read_merge)?;
    let clash = mine.iter().find(|merge| {
        merges.root(merge.kept) == merges.root(merge.duplicate)
            || merges.root(merge.duplicate) != merge.duplicate
    });
    Ok(clash.map_or_else(Vec::new, |merge| {
        let about =
            |other: &&crate::model::Merge| [other.kept, other.duplicate].contains(&merge.duplicate);
        let other = merges
            .list()
            .iter()
            .find(about)
            .map_or(0, |other| other.change);
        vec![format!(
            "change {other} joined the same person another way: undo that first"
        )]
    }))
}

/// Returns the import that has brought the same content again meanwhile.
fn imported_again(tx: &Tx<'_>, seq: i64) -> Result<Vec<String>, ArchiveError> {
    let mut mine = imports(tx)?;
    mine.retain(|import| import.change == seq && !import.forced);
    let Some(mine) = mine.first() else {
        return Ok(Vec::new());
    };
    let date = mine.on_date.map(|date| date.to_string());
    let twins = twin(
        tx,
        &mine.sha256,
        mine.kind,
        mine.ladder.as_deref(),
        date.as_deref(),
    )?;
    let again = twins
        .iter()
        .filter(|twin| !twin.forced)
        .map(|twin| twin.change);
    in_words(
        tx,
        again.collect(),
        "has imported the same content since: undo that first",
    )
}

fn in_words(tx: &Tx<'_>, mut seqs: Vec<i64>, what: &str) -> Result<Vec<String>, ArchiveError> {
    seqs.sort_unstable();
    seqs.dedup();
    let word = |seq: &i64| {
        Ok(format!(
            "change {seq} ({}) {what}",
            change(tx, *seq)?.summary
        ))
    };
    seqs.iter().map(word).collect()
}

fn numbers(tx: &Tx<'_>, stmt: &Stmt) -> Result<Vec<i64>, ArchiveError> {
    let rows = tx.query(stmt)?;
    Ok(rows
        .iter()
        .filter_map(|row| match row.first() {
            Some(V::I(number)) => Some(*number),
            _ => None,
        })
        .collect())
}
