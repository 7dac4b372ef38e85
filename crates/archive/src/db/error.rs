//! What can go wrong below the seam, in words a person can act on.
//! Must not name an engine's own error types.

/// The sorts of database failure a person can do something about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DbCause {
    /// No space is left on the disk.
    Full,
    /// Another process holds the database for too long.
    Busy,
    /// The disk or the file system failed.
    Io,
    /// The file is damaged.
    Damaged,
    /// The file is not a database.
    NotADatabase,
    /// The file or its folder cannot be opened or written.
    Denied,
    /// A rule of the schema refused a row.
    Rule,
    /// Anything else: a fault of this program.
    Other,
}

impl DbCause {
    const fn in_words(self) -> &'static str {
        match self {
            Self::Full => {
                "the disk is full; nothing of this change was recorded; free some space, then try \
                 again"
            }
            Self::Busy => {
                "another process kept the database busy; nothing of this change was recorded; try \
                 again when it has ended"
            }
            Self::Io => {
                "the disk failed; nothing of this change was recorded; check the disk, then run \
                 the archive check"
            }
            Self::Damaged => {
                "the database file is damaged; keep a copy of it, then restore the last backup or \
                 export"
            }
            Self::NotADatabase => {
                "the file is not an archive database; name the folder of an archive, or restore a \
                 backup"
            }
            Self::Denied => {
                "the database cannot be opened or written here; check that the folder exists and \
                 may be written (a reader needs that too), or copy the archive to a folder that \
                 may"
            }
            Self::Rule => {
                "a rule of the schema refused a row; nothing of this change was recorded; this is \
                 a fault of the program, please report it"
            }
            Self::Other => {
                "the database refused; nothing of this change was recorded; this is a fault of \
                 the program, please report it"
            }
        }
    }
}

/// A failure below the database seam.
#[derive(Debug, Clone, thiserror::Error)]
#[error("{} (the database says: {message})", cause.in_words())]
pub struct DbError {
    /// What sort of failure it is.
    pub cause: DbCause,
    /// The engine's own words.
    pub message: String,
}
