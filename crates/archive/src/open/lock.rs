//! The writer's lock: one writer at a time, over all processes.
//! Must not be a file whose mere presence counts: the system holds the lock.

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{Read as _, Write as _};
use std::path::Path;

use crate::error::{ArchiveError, file};
use crate::world::World;

/// The file whose lock a writer holds.
const LOCK_FILE: &str = "writer.lock";

/// Takes the writer's lock, which the system lets go when the process ends in whatever way.
pub(super) fn lock(dir: &Path, world: &dyn World) -> Result<File, ArchiveError> {
    let path = dir.join(LOCK_FILE);
    let mut lock = OpenOptions::new()
        .read(true)
        .write(true)
        .create(true)
        .truncate(false)
        .open(&path)
        .map_err(file("open", &path))?;
    match lock.try_lock() {
        Ok(()) => {}
        Err(TryLockError::WouldBlock) => {
            let mut holder = String::new();
            let read = lock.read_to_string(&mut holder);
            let known = read.is_ok() && !holder.trim().is_empty();
            return Err(ArchiveError::WriterBusy {
                path: dir.to_owned(),
                holder: if known {
                    holder.trim().to_owned()
                } else {
                    "by whom is not known".to_owned()
                },
            });
        }
        Err(TryLockError::Error(error)) => return Err(file("lock", &path)(error)),
    }
    let since = jiff::Timestamp::from_millisecond(world.now_ms())
        .map_or_else(|_| String::new(), |at| format!(" since {at}"));
    lock.set_len(0)
        .and_then(|()| write!(lock, "by {}{since}", world.who()))
        .map_err(file("write", &path))?;
    Ok(lock)
}
