//! Every value against its column, every reference, every digest.
//! Must ask the schema's description; it holds no rule of its own but the digests and censoring.

use std::collections::{BTreeMap, HashSet};

use plimsoll_judge::{Amount, Outcome};

use super::Found;
use crate::db::{Row, Tx, V};
use crate::digest::sha256_hex;
use crate::error::ArchiveError;
use crate::model::censoring_word;
use crate::rows;
use crate::schema::{Kind, RESULT, TABLES, Table, objection, shown};

pub(super) fn check(tx: &Tx<'_>, found: &mut Found) -> Result<(), ArchiveError> {
    let mut keys: BTreeMap<&str, HashSet<String>> = BTreeMap::new();
    for table in TABLES {
        // References to the table itself can point forward, so its keys come first.
        let mut own = HashSet::new();
        tx.each(&rows::keys(table), |row| {
            own.insert(key(&row));
            Ok::<(), ArchiveError>(())
        })?;
        keys.insert(table.name, own);
        tx.each(&rows::all(table), |row| {
            row_values(table, &row, &keys, found);
            Ok::<(), ArchiveError>(())
        })?;
    }
    Ok(())
}

/// Returns a row's key as text.
pub(super) fn key(row: &Row) -> String {
    match row.first() {
        Some(V::T(text)) => text.clone(),
        Some(V::I(number)) => number.to_string(),
        _ => String::new(),
    }
}

fn row_values(
    table: &'static Table,
    row: &Row,
    keys: &BTreeMap<&str, HashSet<String>>,
    found: &mut Found,
) {
    let id = key(row);
    for (column, value) in table.columns.iter().zip(row) {
        if let Some(allowed) = objection(column, value) {
            let name = column.name;
            let value = shown(value);
            found.row(
                table.name,
                &id,
                format!("column `{name}` holds {value}, allowed is {allowed}"),
            );
            continue;
        }
        let target = match column.kind {
            Kind::Ref(target) => target,
            Kind::SeqRef => "change",
            _ => continue,
        };
        let wanted = match value {
            V::T(text) => text.clone(),
            V::I(number) => number.to_string(),
            _ => continue,
        };
        if !keys.get(target).is_some_and(|keys| keys.contains(&wanted)) {
            let name = column.name;
            found.row(
                table.name,
                &id,
                format!("column `{name}` refers to `{wanted}`, which `{target}` does not have"),
            );
        }
    }
    digest(table, row, &id, found);
    censoring(table, row, &id, found);
}

fn digest(table: &'static Table, row: &Row, id: &str, found: &mut Found) {
    let at = |name: &str| table.position(name).and_then(|at| row.get(at));
    if let (Some(V::T(text)), Some(V::T(sha256))) = (at("as_written"), at("row_sha256"))
        && sha256_hex(text.as_bytes()) != *sha256
    {
        let text = "`row_sha256` is not the digest of `as_written`: one of them was altered";
        found.row(table.name, id, text);
    }
}

fn censoring(table: &'static Table, row: &Row, id: &str, found: &mut Found) {
    if table.name != RESULT.name {
        return;
    }
    let at = |name: &str| table.position(name).and_then(|at| row.get(at));
    if let (Some(V::T(reason)), Some(V::T(stored))) = (at("reason"), at("censoring"))
        && let Ok(reason) = reason.parse()
    {
        let outcome = Outcome {
            ladder: String::new(),
            amount: Amount::Bouts(0),
            reason,
        };
        let right = censoring_word(outcome.censoring());
        if right != stored {
            let text = format!("`censoring` is `{stored}`, but its reason makes it `{right}`");
            found.row(table.name, id, text);
        }
    }
}
