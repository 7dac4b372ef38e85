//! Undo and redo of changes: a flag on the change decides whether its rows are in force.
//! Must refuse to leave a row in force that builds on one that is not.

mod obstacles;

use crate::db::{Stmt, Tx};
use crate::error::ArchiveError;
use crate::id::ImportId;
use crate::journal::imports;
use crate::model::{Change, ChangeKind};
use crate::open::Writer;
use crate::pen::Draft;
use crate::rows;
use crate::schema::CHANGE;

impl Writer {
    /// Undoes a change: its rows stay and are no longer in force. [`Writer::redo_change`] takes
    /// that back.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::Needed`] when later changes build on it, [`ArchiveError::NothingToDo`] when
    /// it is undone already or is itself an undo, and [`ArchiveError::NotFound`].
    pub fn undo_change(&mut self, seq: i64) -> Result<(), ArchiveError> {
        self.draft(|draft| undo(draft, seq))
    }

    /// Puts an undone change in force again.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::CannotRedo`] when something changed meanwhile that it does not go with,
    /// [`ArchiveError::NothingToDo`] when it is not undone, and [`ArchiveError::NotFound`].
    pub fn redo_change(&mut self, seq: i64) -> Result<(), ArchiveError> {
        self.draft(|draft| redo(draft, seq))
    }

    /// Undoes an import, as [`Writer::undo_change`] does.
    ///
    /// # Errors
    ///
    /// As [`Writer::undo_change`].
    pub fn undo_import(&mut self, id: ImportId) -> Result<(), ArchiveError> {
        self.draft(|draft| undo(draft, change_of(draft.tx, id)?))
    }

    /// Puts an undone import in force again, as [`Writer::redo_change`] does.
    ///
    /// # Errors
    ///
    /// As [`Writer::redo_change`].
    pub fn redo_import(&mut self, id: ImportId) -> Result<(), ArchiveError> {
        self.draft(|draft| redo(draft, change_of(draft.tx, id)?))
    }
}

pub(crate) use obstacles::references;

/// Undoes a change.
pub(crate) fn undo(draft: &Draft<'_>, seq: i64) -> Result<(), ArchiveError> {
    let change = change(draft.tx, seq)?;
    let state = match change {
        Change { undone: true, .. } => Some("is undone already"),
        Change {
            target: Some(_), ..
        } => Some("is an undo or redo itself; redo or undo the change it is about"),
        _ => None,
    };
    if let Some(state) = state {
        return Err(nothing(change, state));
    }
    let blocked_by = obstacles::builders(draft.tx, seq)?;
    if !blocked_by.is_empty() {
        return Err(ArchiveError::Needed {
            change: seq,
            summary: change.summary,
            blocked_by,
        });
    }
    set_undone(draft, &change, true)
}

/// Puts a change in force again.
pub(crate) fn redo(draft: &Draft<'_>, seq: i64) -> Result<(), ArchiveError> {
    let change = change(draft.tx, seq)?;
    if !change.undone {
        return Err(nothing(change, "is not undone"));
    }
    let blocked_by = obstacles::to_redo(draft.tx, seq)?;
    if !blocked_by.is_empty() {
        return Err(ArchiveError::CannotRedo {
            change: seq,
            summary: change.summary,
            blocked_by,
        });
    }
    set_undone(draft, &change, false)
}

fn set_undone(draft: &Draft<'_>, change: &Change, undone: bool) -> Result<(), ArchiveError> {
    let (kind, done) = if undone {
        (ChangeKind::Undo, "undone")
    } else {
        (ChangeKind::Redo, "redone")
    };
    let summary = format!("change {} {done}: {}", change.seq, change.summary);
    let pen = draft.begin_about(kind, &summary, Some(change.seq))?;
    let stmt = Stmt::new("UPDATE change SET undone = $1 WHERE seq = $2");
    pen.tx.execute(&stmt.with(undone).with(change.seq))?;
    Ok(())
}

fn nothing(change: Change, state: &'static str) -> ArchiveError {
    ArchiveError::NothingToDo {
        change: change.seq,
        summary: change.summary,
        state,
    }
}

fn change_of(tx: &Tx<'_>, id: ImportId) -> Result<i64, ArchiveError> {
    let found = imports(tx)?.into_iter().find(|import| import.id == id);
    found
        .map(|import| import.change)
        .ok_or_else(|| ArchiveError::NotFound {
            what: "import",
            found: id.to_string(),
            hint: "list the imports to see their ids",
        })
}

fn change(tx: &Tx<'_>, seq: i64) -> Result<Change, ArchiveError> {
    let found = rows::one(tx, &rows::by_key(&CHANGE, seq.into()), Change::from_row)?;
    found.ok_or_else(|| ArchiveError::NotFound {
        what: "change",
        found: seq.to_string(),
        hint: "read the journal to see their numbers",
    })
}
