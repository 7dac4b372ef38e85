//! The imports: their counts, and that every taken row led to a record of the same change.
//! Must not compare with the file: that one is not kept, only its digest.

use std::collections::BTreeMap;

use super::Found;
use crate::db::{Stmt, Tx, V};
use crate::error::ArchiveError;
use crate::journal::imports;
use crate::schema::{HELD_ROW, IMPORT, SOURCE_ROW, TABLES, Table};

pub(super) fn check(tx: &Tx<'_>, found: &mut Found) -> Result<(), ArchiveError> {
    let taken = counts(tx, &SOURCE_ROW)?;
    let held = counts(tx, &HELD_ROW)?;
    let imports = imports(tx)?;
    for import in &imports {
        let id = import.id.to_string();
        let pairs = [
            ("rows_accepted", import.rows_accepted, &taken, &SOURCE_ROW),
            ("rows_held", import.rows_held, &held, &HELD_ROW),
        ];
        for (column, said, counted, table) in pairs {
            let counted = counted.get(&id).copied().unwrap_or(0);
            if i64::from(said) != counted {
                let name = table.name;
                let text = format!("`{column}` says {said}, but `{name}` has {counted} of it");
                found.row(IMPORT.name, &id, text);
            }
        }
        let sum = u64::from(import.rows_accepted) + u64::from(import.rows_held);
        if sum > u64::from(import.rows_seen) {
            found.row(IMPORT.name, &id, "more rows accepted and held than seen");
        }
    }
    records(tx, found)
}

fn counts(tx: &Tx<'_>, table: &Table) -> Result<BTreeMap<String, i64>, ArchiveError> {
    let rows = tx.query(&Stmt::new(format!(
        "SELECT import_id, count(*) FROM {} GROUP BY import_id",
        table.name
    )))?;
    Ok(pairs(rows))
}

fn pairs(rows: Vec<Vec<V>>) -> BTreeMap<String, i64> {
    rows.into_iter()
        .filter_map(|row| match <[V; 2]>::try_from(row) {
            Ok([V::T(text), V::I(number)]) => Some((text, number)),
            _ => None,
        })
        .collect()
}

/// Looks for taken rows without a record, and records of another change than their import's.
fn records(tx: &Tx<'_>, found: &mut Found) -> Result<(), ArchiveError> {
    let stmt = Stmt::new(
        "SELECT s.id, i.change_seq FROM source_row s JOIN import i ON i.id = s.import_id",
    );
    let change_of = pairs(tx.query(&stmt)?);
    let mut without = change_of.clone();
    for table in TABLES
        .into_iter()
        .filter(|table| table.position("source_id").is_some())
    {
        let stmt = Stmt::new(format!(
            "SELECT id, source_id, change_seq FROM {} WHERE source_id IS NOT NULL",
            table.name
        ));
        tx.each(&stmt, |row| {
            if let [V::T(id), V::T(source), V::I(change)] = row.as_slice() {
                without.remove(source);
                if change_of.get(source) != Some(change) {
                    let text = "its change is not that of the import its source row belongs to";
                    found.row(table.name, id, text);
                }
            }
            Ok::<(), ArchiveError>(())
        })?;
    }
    for id in without.keys() {
        found.row(
            SOURCE_ROW.name,
            id,
            "the row was taken, but nothing was recorded from it",
        );
    }
    Ok(())
}
