//! Every way in which the archive says no: where, what was found, what was allowed, what to do.
//! Must not end a process or print; the caller shows the words.

use std::io;
use std::path::PathBuf;

use crate::db::DbError;

/// A refusal or failure of the archive. Nothing of the refused change is kept.
#[derive(Debug, thiserror::Error)]
pub enum ArchiveError {
    /// The folder holds no archive.
    #[error(
        "`{}` holds no archive (there is no plimsoll.db in it); name the folder of an archive, or \
         create one there first", path.display()
    )]
    NoArchive {
        /// The folder.
        path: PathBuf,
    },
    /// The folder already holds an archive.
    #[error(
        "`{}` already holds an archive; open that one, or name another folder", path.display()
    )]
    AlreadyAnArchive {
        /// The folder.
        path: PathBuf,
    },
    /// The place to write to is taken.
    #[error(
        "`{}` already exists and is not overwritten; name a folder that does not exist yet",
        path.display()
    )]
    Occupied {
        /// The folder.
        path: PathBuf,
    },
    /// Another process writes.
    #[error(
        "the archive `{}` is already open for writing ({holder}); close that program or wait until \
         it ends, then try again; reading works meanwhile", path.display()
    )]
    WriterBusy {
        /// The archive's folder.
        path: PathBuf,
        /// Who opened it, and when, as far as is known.
        holder: String,
    },
    /// The archive was written by a newer build.
    #[error(
        "the archive is of schema {found} and this build knows schema {known}: it was not opened \
         for writing; open it for reading, or use the newer build"
    )]
    NewerSchema {
        /// Steps the archive has.
        found: usize,
        /// Steps this build knows.
        known: usize,
    },
    /// The archive was written by an older build and is only read.
    #[error(
        "the archive is of schema {found} and this build reads schema {known}; open it once for \
         writing, which brings it up to date (make a backup first)"
    )]
    OlderSchema {
        /// Steps the archive has.
        found: usize,
        /// Steps this build knows.
        known: usize,
    },
    /// A newer archive lacks something this build reads.
    #[error(
        "the archive is of schema {found} and has no column `{column}` in `{table}`, which this \
         build reads; use the newer build"
    )]
    UnreadableSchema {
        /// Steps the archive has.
        found: usize,
        /// The table.
        table: &'static str,
        /// The column.
        column: &'static str,
    },
    /// A schema step of the archive has another text than this build's.
    #[error(
        "schema step {number} (`{name}`) of the archive is not the one this build knows; use the \
         build that made the archive, export it there and restore the export here"
    )]
    AlteredStep {
        /// The step.
        number: i64,
        /// Its name in the archive.
        name: String,
    },
    /// The file system failed.
    #[error("could not {doing} `{}`: {source}; check the folder and the free space, then try \
             again", path.display())]
    File {
        /// What was tried, as a verb.
        doing: &'static str,
        /// The file or folder.
        path: PathBuf,
        /// The system's words.
        source: io::Error,
    },
    /// The database failed.
    #[error(transparent)]
    Database(#[from] DbError),
    /// A value cannot be stored.
    #[error(
        "{place}, column `{column}`: found {found}, allowed is {allowed}; correct it and try \
             again"
    )]
    Value {
        /// The table, and the row of the file where there is one.
        place: String,
        /// The column.
        column: String,
        /// The value.
        found: String,
        /// What may be stored.
        allowed: String,
    },
    /// A stored value cannot be read.
    #[error(
        "the archive is damaged: table `{table}`, column `{column}` holds {found} instead of \
         {allowed}; run the archive check, and restore the last backup if it finds more"
    )]
    Damaged {
        /// The table.
        table: &'static str,
        /// The column.
        column: String,
        /// The value.
        found: String,
        /// What should be there.
        allowed: String,
    },
    /// Nothing has this id or name.
    #[error("there is no {what} `{found}` in the archive; {hint}")]
    NotFound {
        /// What was looked for.
        what: &'static str,
        /// The id or name.
        found: String,
        /// What to do.
        hint: &'static str,
    },
    /// A name fits several people.
    #[error("`{found}` fits {} people: {}; say which one by id", people.len(), people.join("; "))]
    Ambiguous {
        /// The name.
        found: String,
        /// Each person in words, with id.
        people: Vec<String>,
    },
    /// The same file was imported before.
    #[error(
        "`{file_name}` has the same content as `{earlier_name}`, imported {what}, \
         change {change} of the journal; undo that import first, or force this one"
    )]
    SameFile {
        /// The file.
        file_name: String,
        /// The name it had before.
        earlier_name: String,
        /// As what.
        what: String,
        /// The earlier import's number in the journal.
        change: i64,
    },
    /// The numbers of rows do not add up.
    #[error(
        "`{file_name}`: {accepted} rows accepted and {held} held are more than the {seen} rows \
         seen; this is a fault of the program, please report it"
    )]
    RowCounts {
        /// The file.
        file_name: String,
        /// Rows accepted.
        accepted: usize,
        /// Rows held back.
        held: usize,
        /// Rows seen.
        seen: u32,
    },
    /// Both ends of a merge are the same person.
    #[error("{name} ({id}) is already one person with the other; there is nothing to merge")]
    SamePerson {
        /// The called name.
        name: String,
        /// The person's id.
        id: String,
    },
    /// A row is no longer the one in force.
    #[error("{what} `{id}` is not in force: {why}; look it up again and change the one in force")]
    NotInForce {
        /// What it is.
        what: &'static str,
        /// Its id.
        id: String,
        /// What took its place.
        why: String,
    },
    /// Later changes build on the one to undo.
    #[error("change {change} ({summary}) cannot be undone: {}; undo {} first", blocked_by.join("; "),
            if blocked_by.len() == 1 { "that" } else { "those" })]
    Needed {
        /// The change to undo.
        change: i64,
        /// What it was.
        summary: String,
        /// What builds on it, in words.
        blocked_by: Vec<String>,
    },
    /// A change cannot take effect again.
    #[error("change {change} ({summary}) cannot be redone: {}", blocked_by.join("; "))]
    CannotRedo {
        /// The change to redo.
        change: i64,
        /// What it was.
        summary: String,
        /// What stands against it, with what to do, in words.
        blocked_by: Vec<String>,
    },
    /// An undo of something undone, or a redo of something in force.
    #[error("change {change} ({summary}) {state}; nothing was done")]
    NothingToDo {
        /// The change.
        change: i64,
        /// What it was.
        summary: String,
        /// Its state, in words.
        state: &'static str,
    },
    /// A copy did not pass the check.
    #[error(
        "{what} was not kept, because the check found: {}; run the archive check on the original",
        findings.join("; ")
    )]
    CheckFailed {
        /// What was written.
        what: String,
        /// The first findings, in words.
        findings: Vec<String>,
    },
    /// A file of an export cannot be restored.
    #[error(transparent)]
    Export(Box<ExportFault>),
}

/// What is wrong with an export, and where.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{file}`{}: found {found}, allowed is {allowed}; {hint}; nothing was restored",
    place(row, column)
)]
pub struct ExportFault {
    /// The file within the export.
    pub file: String,
    /// The row of the file's table, header row counted as 1.
    pub row: Option<u64>,
    /// The column.
    pub column: Option<String>,
    /// What is there.
    pub found: String,
    /// What may be there.
    pub allowed: String,
    /// What to do.
    pub hint: &'static str,
}

/// Returns ", row R, column `C`", as far as both are known.
fn place(row: &Option<u64>, column: &Option<String>) -> String {
    let row = row.map(|row| format!(", row {row}"));
    let column = column.as_ref().map(|column| format!(", column `{column}`"));
    row.unwrap_or_default() + &column.unwrap_or_default()
}

/// Turns a failure of the file system into words.
pub(crate) fn file(
    doing: &'static str,
    path: impl Into<PathBuf>,
) -> impl FnOnce(io::Error) -> ArchiveError {
    let path = path.into();
    move |source| ArchiveError::File {
        doing,
        path,
        source,
    }
}
