//! The archive as a folder: creating it, opening it for reading or for writing, one writer at a time.
//! Must not read the clock; the writer's world supplies time and ids.

mod lock;
mod make;

use std::fs::{self, File};
use std::ops::Deref;
use std::path::{Path, PathBuf};

use lock::lock;
pub(crate) use make::make_database;

use crate::db::migrate::{self, STEPS};
use crate::db::{Access, Db, DbCause, DbError, Lite};
use crate::error::{ArchiveError, file};
use crate::pen::{self, Draft};
use crate::rows;
use crate::schema::{ABOUT, TABLES};
use crate::world::World;

/// The database within the archive's folder.
pub(crate) const DB_FILE: &str = "plimsoll.db";
/// Folders for the user's own files.
pub(crate) const USER_FOLDERS: [&str; 2] = ["definitions", "references"];

/// An archive open for reading. Others may write to it meanwhile.
pub struct Archive {
    dir: PathBuf,
    pub(crate) db: Db,
}

/// An archive open for writing; there is at most one, over all processes.
pub struct Writer {
    archive: Archive,
    world: Box<dyn World>,
    /// Holds the lock until it is dropped, even when the process is killed.
    _lock: File,
}

impl Archive {
    /// Makes an archive in a folder and opens it for writing.
    ///
    /// The folder is made when it is not there; other files in it stay as they are.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::AlreadyAnArchive`] when there is one.
    pub fn create(
        dir: impl Into<PathBuf>,
        world: impl World + 'static,
    ) -> Result<Writer, ArchiveError> {
        let dir = dir.into();
        fs::create_dir_all(&dir).map_err(file("make", &dir))?;
        let lock = lock(&dir, &world)?;
        if dir.join(DB_FILE).exists() {
            return Err(ArchiveError::AlreadyAnArchive { path: dir });
        }
        let made = make_database(&dir, &world.now_ms(), |tx| {
            for (key, value) in [
                ("archive_id", world.new_id().hyphenated().to_string()),
                ("created_at_ms", world.now_ms().to_string()),
            ] {
                let mut stmt = rows::insert(&ABOUT);
                stmt.args = vec![key.into(), value.into()];
                tx.execute(&stmt)?;
            }
            Ok(())
        });
        made?;
        Self::writer(dir, Box::new(world), lock)
    }

    /// Opens an archive for writing, and brings its schema up to date.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::NoArchive`], [`ArchiveError::WriterBusy`] when another process writes, and
    /// [`ArchiveError::NewerSchema`] when a newer build wrote it.
    pub fn open_writer(
        dir: impl Into<PathBuf>,
        world: impl World + 'static,
    ) -> Result<Writer, ArchiveError> {
        let dir = dir.into();
        if !dir.join(DB_FILE).is_file() {
            return Err(ArchiveError::NoArchive { path: dir });
        }
        let lock = lock(&dir, &world)?;
        Self::writer(dir, Box::new(world), lock)
    }

    fn writer(dir: PathBuf, world: Box<dyn World>, lock: File) -> Result<Writer, ArchiveError> {
        let mut db = Db::new(Lite::open(&dir.join(DB_FILE), Access::Write)?);
        if db.read(migrate::applied)?.is_none() {
            return Err(foreign().into());
        }
        let now = world.now_ms();
        migrate::bring_up_to_date(&mut db, &STEPS, |_| now)?;
        Ok(Writer {
            archive: Self { dir, db },
            world,
            _lock: lock,
        })
    }

    /// Opens an archive for reading. A writer may be at work meanwhile; every question is answered
    /// from one state, before or after its changes.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::NoArchive`], [`ArchiveError::OlderSchema`], and
    /// [`ArchiveError::UnreadableSchema`] when a newer build removed what this one reads.
    pub fn open_reader(dir: impl Into<PathBuf>) -> Result<Self, ArchiveError> {
        let dir = dir.into();
        if !dir.join(DB_FILE).is_file() {
            return Err(ArchiveError::NoArchive { path: dir });
        }
        let db = Db::new(Lite::open(&dir.join(DB_FILE), Access::Read)?);
        db.read(|tx| {
            let applied = migrate::applied(tx)?.ok_or_else(foreign)?;
            let found = migrate::compare(&applied, &STEPS)?;
            let known = STEPS.len();
            if found < known {
                return Err(ArchiveError::OlderSchema { found, known });
            }
            for table in TABLES {
                let live = tx.columns(table.name)?;
                let missing = table
                    .columns
                    .iter()
                    .find(|column| !live.iter().any(|live| live.name == column.name));
                if let Some(column) = missing {
                    return Err(ArchiveError::UnreadableSchema {
                        found,
                        table: table.name,
                        column: column.name,
                    });
                }
            }
            Ok(())
        })?;
        Ok(Self { dir, db })
    }

    /// Returns the archive's folder.
    pub fn dir(&self) -> &Path {
        &self.dir
    }

    /// Returns the folder for the user's own test definitions.
    pub fn definitions_dir(&self) -> PathBuf {
        self.dir.join(USER_FOLDERS[0])
    }

    /// Returns the folder for the user's own references.
    pub fn references_dir(&self) -> PathBuf {
        self.dir.join(USER_FOLDERS[1])
    }
}

impl Writer {
    /// Returns a writer on an engine that a test has prepared.
    #[cfg(test)]
    pub(crate) fn on(dir: PathBuf, db: Db, world: Box<dyn World>) -> Self {
        let lock = File::open(dir.join(DB_FILE)).expect("the database is there");
        Self {
            archive: Archive { dir, db },
            world,
            _lock: lock,
        }
    }

    /// Runs a change in one transaction: all of it is recorded, or nothing.
    pub(crate) fn draft<T>(
        &mut self,
        work: impl FnOnce(&Draft<'_>) -> Result<T, ArchiveError>,
    ) -> Result<T, ArchiveError> {
        let world = self.world.as_ref();
        self.archive.db.write(|tx| pen::run(tx, world, work))
    }
}

impl Deref for Writer {
    type Target = Archive;

    fn deref(&self) -> &Archive {
        &self.archive
    }
}

fn foreign() -> DbError {
    DbError {
        cause: DbCause::NotADatabase,
        message: "no table schema_step".to_owned(),
    }
}
