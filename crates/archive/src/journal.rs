//! The journal, the imports, what was held back, and where a row came from.
//! Must only read, but for the settling of held rows.

use std::collections::BTreeMap;

use crate::db::{Row, Tx, V};
use crate::error::ArchiveError;
use crate::id::{HeldId, ImportId, SourceId};
use crate::imports::imports_stmt;
use crate::model::{Change, ChangeKind, Finding, HeldRow, Import, Provenance, Reading, SourceRow};
use crate::open::{Archive, Writer};
use crate::rows;
use crate::schema::{CHANGE, FINDING, HELD_ROW, SETTLEMENT, SOURCE_ROW};

impl Archive {
    /// Returns every change, oldest first: who, what, when, and whether it is undone.
    pub fn journal(&self) -> Result<Vec<Change>, ArchiveError> {
        self.db.read(|tx| {
            let mut changes = rows::each(tx, &rows::all(&CHANGE), Change::from_row)?;
            changes.sort_by_key(|change| change.seq);
            Ok(changes)
        })
    }

    /// Returns every import, oldest first, undone ones too.
    pub fn imports(&self) -> Result<Vec<Import>, ArchiveError> {
        self.db.read(imports)
    }

    /// Returns the rows held back by imports in force, dealt with or not, in the order of the
    /// imports and their rows.
    pub fn held_rows(&self) -> Result<Vec<HeldRow>, ArchiveError> {
        self.db.read(|tx| {
            let order = order_in_force(tx)?;
            let settled = settled(tx)?;
            let mut held = rows::each(tx, &rows::all(&HELD_ROW), |row| {
                let note = match row.first() {
                    Some(V::T(id)) => settled.get(id).cloned(),
                    _ => None,
                };
                HeldRow::from_row(row, note)
            })?;
            held.retain(|row| order.contains_key(&row.import));
            held.sort_by_key(|row| {
                let source = &row.source;
                (order[&row.import], source.sheet.clone(), source.row)
            });
            Ok(held)
        })
    }

    /// Returns what the examination found about the rows of an import, in the order of the rows.
    pub fn findings(&self, import: ImportId) -> Result<Vec<Finding>, ArchiveError> {
        self.db.read(|tx| {
            let stmt = rows::having(&FINDING, "import_id", import);
            let mut found = rows::each(tx, &stmt, finding)?;
            found.sort_by_key(|(id, finding)| {
                (
                    finding.sheet.clone(),
                    finding.row,
                    finding.column.clone(),
                    id.clone(),
                )
            });
            Ok(found.into_iter().map(|(_, finding)| finding).collect())
        })
    }

    /// Returns the row of a file that something came from, with its import.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::NotFound`] when there is no such row.
    pub fn provenance(&self, id: SourceId) -> Result<Provenance, ArchiveError> {
        self.db.read(|tx| {
            let row = rows::one(tx, &rows::by_key(&SOURCE_ROW, id.into()), source_row)?;
            let missing = || ArchiveError::NotFound {
                what: "source row",
                found: id.to_string(),
                hint: "run the archive check",
            };
            let (_, import, row, row_sha256) = row.ok_or_else(missing)?;
            let import = imports(tx)?.into_iter().find(|found| found.id == import);
            Ok(Provenance {
                id,
                import: import.ok_or_else(missing)?,
                row,
                row_sha256,
            })
        })
    }

    /// Returns the taken rows of an import as they were written, in the order of the rows.
    pub fn source_rows(
        &self,
        import: ImportId,
    ) -> Result<Vec<(SourceId, SourceRow)>, ArchiveError> {
        self.db.read(|tx| {
            let stmt = rows::having(&SOURCE_ROW, "import_id", import);
            let mut found = rows::each(tx, &stmt, source_row)?;
            found.sort_by_key(|(id, _, row, _)| (row.sheet.clone(), row.row, *id));
            Ok(found.into_iter().map(|(id, _, row, _)| (id, row)).collect())
        })
    }
}

impl Writer {
    /// Records that a held row is dealt with, and how.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::NotFound`], and [`ArchiveError::NotInForce`] when it is dealt with already.
    pub fn settle_held_row(&mut self, id: HeldId, note: &str) -> Result<(), ArchiveError> {
        self.draft(|draft| {
            let read = |row| HeldRow::from_row(row, None);
            let row = rows::one(draft.tx, &rows::by_key(&HELD_ROW, id.into()), read)?;
            let row = row.ok_or_else(|| ArchiveError::NotFound {
                what: "held row",
                found: id.to_string(),
                hint: "list the held rows to see their ids",
            })?;
            if settled(draft.tx)?.contains_key(&id.to_string()) {
                return Err(ArchiveError::NotInForce {
                    what: "held row",
                    id: id.to_string(),
                    why: "it is dealt with already".to_owned(),
                });
            }
            let summary = format!("held row {} dealt with: {note}", row.source.row);
            let pen = draft.begin(ChangeKind::HeldSettled, &summary)?;
            let values = vec![
                pen.id().hyphenated().to_string().into(),
                id.into(),
                note.into(),
                pen.seq.into(),
            ];
            pen.insert(&SETTLEMENT, values)
        })
    }
}

/// Returns every import, oldest first.
pub(crate) fn imports(tx: &Tx<'_>) -> Result<Vec<Import>, ArchiveError> {
    let mut found = rows::each(tx, &imports_stmt(), Import::from_row)?;
    found.sort_by_key(|import| import.change);
    Ok(found)
}

/// Returns the number in the journal of each import in force.
fn order_in_force(tx: &Tx<'_>) -> Result<BTreeMap<ImportId, i64>, ArchiveError> {
    let in_force = imports(tx)?.into_iter().filter(|import| !import.undone);
    Ok(in_force.map(|import| (import.id, import.change)).collect())
}

/// Returns the notes of the held rows that are dealt with, by id.
fn settled(tx: &Tx<'_>) -> Result<BTreeMap<String, String>, ArchiveError> {
    let notes = rows::each(tx, &rows::in_force(&SETTLEMENT, None), |row| {
        let mut row = Reading::new(&SETTLEMENT, row);
        let _ = row.text()?;
        Ok((row.text()?, row.text()?))
    })?;
    Ok(notes.into_iter().collect())
}

fn finding(row: Row) -> Result<(String, Finding), ArchiveError> {
    let mut row = Reading::new(&FINDING, row);
    let id = row.text()?;
    let _ = row.text()?;
    let finding = Finding {
        sheet: row.opt_text()?,
        row: row.int()?,
        column: row.opt_text()?,
        code: row.text()?,
        found: row.opt_text()?,
        allowed: row.opt_text()?,
        suggestion: row.opt_text()?,
    };
    Ok((id, finding))
}

fn source_row(row: Row) -> Result<(SourceId, ImportId, SourceRow, String), ArchiveError> {
    let mut row = Reading::new(&SOURCE_ROW, row);
    let (id, import) = (row.id(SourceId)?, row.id(ImportId)?);
    let source = SourceRow {
        sheet: row.opt_text()?,
        row: row.int()?,
        as_written: row.json()?,
    };
    Ok((id, import, source, row.text()?))
}
