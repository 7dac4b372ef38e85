//! Where things are on this machine: the archive folder and the user's own definitions.

use std::path::{Path, PathBuf};

use plimsoll_ladder::Catalogue;

use crate::failure::Failure;

/// Most files a folder of definitions or references may hold.
const MOST_FILES: usize = 500;
/// Largest file of a definition or a reference, in bytes.
const LARGEST: u64 = 4 << 20;

/// Returns the archive folder: the one named, or the per-user data folder.
pub fn archive_folder(named: Option<&Path>) -> Result<PathBuf, Failure> {
    if let Some(folder) = named {
        return Ok(folder.to_owned());
    }
    directories::ProjectDirs::from("", "", "plimsoll")
        .map(|d| d.data_dir().join("archive"))
        .ok_or_else(|| {
            Failure::new("this machine names no home folder for the archive")
                .hint("say where it is with --archive DIR")
        })
}

/// Returns the built-in tests with those of the archive folder and of a named folder beside them.
pub fn catalogue(archive: Option<&Path>, named: Option<&Path>) -> Result<Catalogue, Failure> {
    let mut files = Vec::new();
    if let Ok(folder) = archive_folder(archive) {
        files.extend(texts(&folder.join("definitions"), &["toml"], false)?);
    }
    if let Some(folder) = named {
        files.extend(texts(folder, &["toml"], true)?);
    }
    Catalogue::with_user_files(&files).map_err(|e| {
        Failure::new(e).hint("correct the file, or move it out of the folder of definitions")
    })
}

/// Returns name and text of each file in a folder with one of the endings, by name.
/// A folder that is not there holds no files, unless it was named on purpose.
pub fn texts(
    folder: &Path,
    endings: &[&str],
    must_exist: bool,
) -> Result<Vec<(String, String)>, Failure> {
    if !folder.is_dir() && !must_exist {
        return Ok(Vec::new());
    }
    let at = |e: std::io::Error| {
        Failure::new(format!("{}: {e}", folder.display())).hint("name a folder that can be read")
    };
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder)
        .map_err(at)?
        .filter_map(|entry| entry.ok().map(|e| e.path()))
        .filter(|p| {
            p.extension()
                .and_then(|e| e.to_str())
                .is_some_and(|e| endings.contains(&e))
        })
        .collect();
    paths.sort();
    if paths.len() > MOST_FILES {
        return Err(Failure::new(format!(
            "{}: {} files; allowed are {MOST_FILES}",
            folder.display(),
            paths.len()
        ))
        .hint("is this the right folder?"));
    }
    paths
        .into_iter()
        .map(|p| Ok((p.display().to_string(), read_small(&p)?)))
        .collect()
}

/// Returns the text of a file of at most a few megabytes.
fn read_small(path: &Path) -> Result<String, Failure> {
    let at = |e: String| Failure::new(format!("{}: {e}", path.display()));
    let size = std::fs::metadata(path)
        .map_err(|e| at(e.to_string()))?
        .len();
    if size > LARGEST {
        return Err(
            at(format!("{size} bytes; allowed are {LARGEST}")).hint("is this the right file?")
        );
    }
    std::fs::read_to_string(path).map_err(|e| at(e.to_string()).hint("save it as text in UTF-8"))
}
