//! A change being written: its entry in the journal first, then its rows.
//! Must be the only way to record rows, so that none is without a change.

use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;

use uuid::Uuid;

use crate::db::{Stmt, Tx, V};
use crate::error::ArchiveError;
use crate::model::{ChangeKind, SourceRow};
use crate::rows;
use crate::schema::{CHANGE, Column, Table, objection, shown};
use crate::words::Word;
use crate::world::World;

/// A transaction in which a change is being thought about; nothing is recorded yet.
pub(crate) struct Draft<'a> {
    /// The transaction.
    pub(crate) tx: &'a Tx<'a>,
    /// Time, ids and who.
    pub(crate) world: &'a dyn World,
    /// The number of the change that was begun, and the rows it has recorded.
    written: &'a Cell<(i64, i64)>,
}

/// A change whose entry is written and whose rows can follow.
pub(crate) struct Pen<'a> {
    /// The transaction.
    pub(crate) tx: &'a Tx<'a>,
    world: &'a dyn World,
    written: &'a Cell<(i64, i64)>,
    /// The change's number.
    pub(crate) seq: i64,
    inserts: RefCell<BTreeMap<&'static str, Stmt>>,
}

impl<'a> Draft<'a> {
    /// Writes the change's entry in the journal.
    pub(crate) fn begin(&self, kind: ChangeKind, summary: &str) -> Result<Pen<'a>, ArchiveError> {
        self.begin_about(kind, summary, None)
    }

    /// Writes the entry of a change that is about another one.
    pub(crate) fn begin_about(
        &self,
        kind: ChangeKind,
        summary: &str,
        target: Option<i64>,
    ) -> Result<Pen<'a>, ArchiveError> {
        let last = self.tx.query(&Stmt::new("SELECT max(seq) FROM change"))?;
        let seq = match last.first().map(Vec::as_slice) {
            Some([V::I(last)]) => last + 1,
            _ => 1,
        };
        let pen = Pen {
            tx: self.tx,
            world: self.world,
            written: self.written,
            seq,
            inserts: RefCell::default(),
        };
        pen.insert(
            &CHANGE,
            vec![
                seq.into(),
                self.world.now_ms().into(),
                self.world.who().into(),
                kind.as_str().into(),
                summary.into(),
                0_i64.into(),
                target.into(),
                false.into(),
            ],
        )?;
        // The entry itself does not count.
        self.written.set((seq, 0));
        Ok(pen)
    }
}

/// Runs a change in an open transaction, and notes in its entry how many rows it recorded.
pub(crate) fn run<T>(
    tx: &Tx<'_>,
    world: &dyn World,
    work: impl FnOnce(&Draft<'_>) -> Result<T, ArchiveError>,
) -> Result<T, ArchiveError> {
    let written = Cell::new((0, 0));
    let done = work(&Draft {
        tx,
        world,
        written: &written,
    })?;
    let (seq, rows) = written.get();
    if rows > 0 {
        let stmt = Stmt::new("UPDATE change SET row_count = $1 WHERE seq = $2");
        tx.execute(&stmt.with(rows).with(seq))?;
    }
    Ok(done)
}

impl Pen<'_> {
    /// Returns a fresh id.
    pub(crate) fn id(&self) -> Uuid {
        self.world.new_id()
    }

    /// Records a row, its values in the table's order. Blank text in an optional column is nothing.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::Value`] when a value does not fit its column.
    pub(crate) fn insert(
        &self,
        table: &'static Table,
        mut values: Vec<V>,
    ) -> Result<(), ArchiveError> {
        assert_eq!(values.len(), table.columns.len(), "table {}", table.name);
        for (column, value) in table.columns.iter().zip(&mut values) {
            fit(table, column, value)?;
        }
        let mut inserts = self.inserts.borrow_mut();
        let stmt = inserts
            .entry(table.name)
            .or_insert_with(|| rows::insert(table));
        stmt.args = values;
        self.tx.execute(stmt)?;
        let (seq, rows) = self.written.get();
        self.written.set((seq, rows + 1));
        Ok(())
    }
}

/// Checks the values of a row that is written without a pen of its own.
pub(crate) fn fitting(table: &'static Table, values: &[V]) -> Result<(), ArchiveError> {
    for (column, value) in table.columns.iter().zip(values) {
        fit(table, column, &mut value.clone())?;
    }
    Ok(())
}

fn fit(table: &Table, column: &Column, value: &mut V) -> Result<(), ArchiveError> {
    if column.optional && matches!(value, V::T(text) if text.trim().is_empty()) {
        *value = V::Null;
    }
    objection(column, value).map_or(Ok(()), |allowed| {
        Err(ArchiveError::Value {
            place: format!("table `{}`", table.name),
            column: column.name.to_owned(),
            found: shown(value),
            allowed,
        })
    })
}

/// Returns the error with the row of the file that it is about.
pub(crate) fn in_row(error: ArchiveError, source: &SourceRow) -> ArchiveError {
    match error {
        ArchiveError::Value {
            place,
            column,
            found,
            allowed,
        } => {
            let sheet = source.sheet.as_ref();
            let sheet = sheet.map_or(String::new(), |sheet| format!(" of sheet `{sheet}`"));
            ArchiveError::Value {
                place: format!("row {}{sheet}, {place}", source.row),
                column,
                found,
                allowed,
            }
        }
        other => other,
    }
}
