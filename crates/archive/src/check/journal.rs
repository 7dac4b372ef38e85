//! The journal: no gap in its numbers, and every undone flag what the last undo or redo says.
//! Must also see that no change lost a row, and that the schema's steps and the archive's own facts are there.

use std::collections::BTreeMap;

use super::Found;
use super::values::key;
use crate::db::migrate::{STEPS, applied, compare};
use crate::db::{Stmt, Tx, V};
use crate::error::ArchiveError;
use crate::model::{Change, ChangeKind};
use crate::rows;
use crate::schema::{ABOUT, CHANGE, TABLES};

pub(super) fn check(tx: &Tx<'_>, found: &mut Found) -> Result<(), ArchiveError> {
    let steps = applied(tx)?.unwrap_or_default();
    if let Err(error) = compare(&steps, &STEPS) {
        found.whole("schema_step", error.to_string());
    }
    let about: Vec<String> = tx.query(&rows::all(&ABOUT))?.iter().map(key).collect();
    for wanted in ["archive_id", "created_at_ms"] {
        if !about.iter().any(|key| key == wanted) {
            found.whole(ABOUT.name, format!("the row `{wanted}` is missing"));
        }
    }
    let mut changes = rows::each(tx, &rows::all(&CHANGE), Change::from_row)?;
    changes.sort_by_key(|change| change.seq);
    let mut undone: BTreeMap<i64, bool> = BTreeMap::new();
    for (change, wanted) in changes.iter().zip(1..) {
        if change.seq != wanted {
            found.row(
                CHANGE.name,
                change.seq,
                format!("change {wanted} is missing before it"),
            );
            return Ok(());
        }
        let switch = matches!(change.kind, ChangeKind::Undo | ChangeKind::Redo);
        match change.target {
            None if switch => {
                found.row(
                    CHANGE.name,
                    change.seq,
                    "it does not say which change it is about",
                );
            }
            Some(_) if !switch => {
                found.row(
                    CHANGE.name,
                    change.seq,
                    "only an undo or redo is about a change",
                );
            }
            Some(target) if target >= change.seq => {
                found.row(
                    CHANGE.name,
                    change.seq,
                    "it is about a change that came later",
                );
            }
            Some(target) => {
                undone.insert(target, change.kind == ChangeKind::Undo);
            }
            None => {}
        }
    }
    let recorded = recorded(tx)?;
    for change in &changes {
        let rows = recorded.get(&change.seq).copied().unwrap_or(0);
        if rows != change.rows {
            let text = format!("it recorded {} rows, but {rows} are there", change.rows);
            found.row(CHANGE.name, change.seq, text);
        }
        let wanted = undone.get(&change.seq).copied().unwrap_or(false);
        if change.undone != wanted {
            let text = if wanted {
                "it counts as in force, but the journal says that it was undone"
            } else {
                "it counts as undone, but the journal does not say so"
            };
            found.row(CHANGE.name, change.seq, text);
        }
    }
    Ok(())
}

/// Returns how many rows of each change are there, over all tables.
fn recorded(tx: &Tx<'_>) -> Result<BTreeMap<i64, u64>, ArchiveError> {
    let mut counts: BTreeMap<i64, u64> = BTreeMap::new();
    for table in TABLES {
        let stmt = if table.position("change_seq").is_some() {
            Stmt::new(format!(
                "SELECT change_seq, count(*) FROM {} GROUP BY change_seq",
                table.name
            ))
        } else if table.position("import_id").is_some() {
            Stmt::new(format!(
                "SELECT i.change_seq, count(*) FROM {} t JOIN import i ON i.id = t.import_id \
                 GROUP BY i.change_seq",
                table.name
            ))
        } else {
            continue;
        };
        for row in tx.query(&stmt)? {
            if let [V::I(seq), V::I(count)] = row.as_slice() {
                *counts.entry(*seq).or_default() += count.unsigned_abs();
            }
        }
    }
    Ok(counts)
}
