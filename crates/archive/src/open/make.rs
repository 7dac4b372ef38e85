//! Making the database of a new archive.
//! Must never show half a database: it gets its name last.

use std::fs;
use std::path::Path;

use super::{DB_FILE, USER_FOLDERS};
use crate::db::migrate::{Applied, STEPS, bring_up_to_date};
use crate::db::{Access, Db, Lite, Tx};
use crate::error::{ArchiveError, file};
use crate::files::sync_folder;

/// The database while it is being made.
const NEW_FILE: &str = "plimsoll.db.new";

/// Makes the database under another name and renames it, so that half a database is never seen.
pub(crate) fn make_database(
    dir: &Path,
    at_ms: &dyn StepTimes,
    fill: impl FnOnce(&Tx<'_>) -> Result<(), ArchiveError>,
) -> Result<(), ArchiveError> {
    for folder in USER_FOLDERS.map(|folder| dir.join(folder)) {
        fs::create_dir_all(&folder).map_err(file("make", &folder))?;
    }
    let new = dir.join(NEW_FILE);
    for leftover in ["", "-wal", "-shm"].map(|end| dir.join(format!("{NEW_FILE}{end}"))) {
        if leftover.exists() {
            fs::remove_file(&leftover).map_err(file("remove", &leftover))?;
        }
    }
    {
        let mut db = Db::new(Lite::open(&new, Access::Create)?);
        bring_up_to_date(&mut db, &STEPS, |step| at_ms.applied_at_ms(step))?;
        db.write(fill)?;
    }
    let target = dir.join(DB_FILE);
    fs::rename(&new, &target).map_err(file("rename", &new))?;
    sync_folder(dir)
}

/// When each schema step was applied.
pub(crate) trait StepTimes {
    /// Returns the time of a step, milliseconds since 1970-01-01 UTC.
    fn applied_at_ms(&self, step: i64) -> i64;
}

impl StepTimes for i64 {
    fn applied_at_ms(&self, _step: i64) -> i64 {
        *self
    }
}

impl StepTimes for Vec<Applied> {
    fn applied_at_ms(&self, step: i64) -> i64 {
        let found = self.iter().find(|applied| applied.number == step);
        found.map_or(0, |applied| applied.applied_at_ms)
    }
}
