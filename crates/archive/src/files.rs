//! Folders that appear whole or not at all, and copies of the user's own files.
//! Must never overwrite: what exists is left alone.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use crate::digest::Digesting;
use crate::error::{ArchiveError, file};
use crate::open::USER_FOLDERS;

/// A folder being filled beside its final place; gone again unless it is finished.
pub(crate) struct Staging {
    target: PathBuf,
    partial: PathBuf,
    finished: bool,
}

impl Staging {
    /// Makes the folder `NAME.partial` beside the final place.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::Occupied`] when the final place is taken.
    pub(crate) fn beside(target: &Path) -> Result<Self, ArchiveError> {
        if fs::symlink_metadata(target).is_ok() {
            return Err(ArchiveError::Occupied {
                path: target.to_owned(),
            });
        }
        let name = target.file_name().ok_or_else(|| ArchiveError::Occupied {
            path: target.to_owned(),
        })?;
        let mut partial = name.to_owned();
        partial.push(".partial");
        let partial = target.with_file_name(partial);
        if partial.exists() {
            fs::remove_dir_all(&partial).map_err(file("remove", &partial))?;
        }
        fs::create_dir_all(&partial).map_err(file("make", &partial))?;
        Ok(Self {
            target: target.to_owned(),
            partial,
            finished: false,
        })
    }

    /// Returns the folder to fill.
    pub(crate) fn dir(&self) -> &Path {
        &self.partial
    }

    /// Gives the folder its final name.
    pub(crate) fn finish(mut self) -> Result<(), ArchiveError> {
        sync_folder(&self.partial)?;
        fs::rename(&self.partial, &self.target).map_err(file("rename", &self.partial))?;
        self.finished = true;
        match self.target.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => sync_folder(parent),
            _ => sync_folder(Path::new(".")),
        }
    }
}

impl Drop for Staging {
    fn drop(&mut self) {
        if !self.finished {
            // Best effort: the error that led here matters more.
            let _ = fs::remove_dir_all(&self.partial);
        }
    }
}

/// Writes a file and waits until it is on the disk.
pub(crate) fn write_synced(path: &Path, bytes: &[u8]) -> Result<(), ArchiveError> {
    fs::write(path, bytes).map_err(file("write", path))?;
    sync_file(path)
}

/// Waits until a file is on the disk.
pub(crate) fn sync_file(path: &Path) -> Result<(), ArchiveError> {
    let opened = File::options().write(true).open(path);
    opened
        .and_then(|opened| opened.sync_all())
        .map_err(file("write", path))
}

/// Waits until the names in a folder are on the disk, where the system can.
pub(crate) fn sync_folder(dir: &Path) -> Result<(), ArchiveError> {
    if cfg!(unix) {
        File::open(dir)
            .and_then(|opened| opened.sync_all())
            .map_err(file("write", dir))?;
    }
    Ok(())
}

/// Returns the user's own files, as paths from the archive's folder with `/` between, sorted.
pub(crate) fn user_files(dir: &Path) -> Result<Vec<String>, ArchiveError> {
    let mut found = Vec::new();
    for folder in USER_FOLDERS {
        if dir.join(folder).is_dir() {
            walk(dir, folder, &mut found)?;
        }
    }
    found.sort_unstable();
    Ok(found)
}

fn walk(dir: &Path, folder: &str, found: &mut Vec<String>) -> Result<(), ArchiveError> {
    let path = dir.join(folder);
    for entry in fs::read_dir(&path).map_err(file("read", &path))? {
        let entry = entry.map_err(file("read", &path))?;
        let refused = |why: &str| io::Error::new(io::ErrorKind::InvalidInput, why.to_owned());
        let name = entry.file_name();
        let name = name
            .to_str()
            .ok_or_else(|| file("copy", entry.path())(refused("its name is not valid text")))?;
        let below = format!("{folder}/{name}");
        let kind = entry.file_type().map_err(file("read", entry.path()))?;
        if kind.is_dir() {
            walk(dir, &below, found)?;
        } else if kind.is_file() {
            found.push(below);
        } else {
            let why = refused("it is neither a file nor a folder");
            return Err(file("copy", entry.path())(why));
        }
    }
    Ok(())
}

/// Copies the user's own files from one folder to another, each waited for.
pub(crate) fn copy_user_files(from: &Path, to: &Path) -> Result<(), ArchiveError> {
    for folder in USER_FOLDERS.map(|folder| to.join(folder)) {
        fs::create_dir_all(&folder).map_err(file("make", &folder))?;
    }
    for name in user_files(from)? {
        copy_file(&from.join(&name), &to.join(&name))?;
    }
    Ok(())
}

/// Copies a file, its folder made when it is not there; returns its SHA-256.
pub(crate) fn copy_file(from: &Path, to: &Path) -> Result<String, ArchiveError> {
    if let Some(parent) = to.parent() {
        fs::create_dir_all(parent).map_err(file("make", parent))?;
    }
    let mut source = File::open(from).map_err(file("read", from))?;
    let target = File::create(to).map_err(file("make", to))?;
    let mut passing = Digesting::new(target);
    io::copy(&mut source, &mut passing).map_err(file("copy", from))?;
    let (target, sha256) = passing.finish();
    target.sync_all().map_err(file("write", to))?;
    Ok(sha256)
}
