//! Where things are on this machine: the archive folder and the user's own definitions.

use std::path::{Path, PathBuf};

use plimsoll_archive::{Archive, ArchiveError, Writer};
use plimsoll_ladder::Catalogue;

use crate::failure::Failure;
use crate::world::Machine;

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
pub fn read_small(path: &Path) -> Result<String, Failure> {
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

/// What every command about people and results needs: where the archive is and who acts.
#[derive(Debug, Clone)]
pub struct Session {
    /// Whether to print documents for programs.
    pub json: bool,
    /// The archive folder named on the command line.
    pub archive: Option<PathBuf>,
    /// The name under which changes are recorded.
    pub who: Option<String>,
}

impl Session {
    /// Returns the archive folder.
    pub fn folder(&self) -> Result<PathBuf, Failure> {
        archive_folder(self.archive.as_deref())
    }

    /// Opens the archive for reading.
    pub fn read(&self) -> Result<Archive, Failure> {
        Ok(Archive::open_reader(self.folder()?)?)
    }

    /// Opens the archive for writing.
    pub fn write(&self) -> Result<Writer, Failure> {
        Ok(Archive::open_writer(
            self.folder()?,
            Machine::acting_as(self.who.as_deref()),
        )?)
    }

    /// Makes a new archive.
    pub fn create(&self) -> Result<Writer, Failure> {
        Ok(Archive::create(
            self.folder()?,
            Machine::acting_as(self.who.as_deref()),
        )?)
    }

    /// Opens the archive for writing, making it when there is none yet.
    pub fn write_or_create(&self) -> Result<Writer, Failure> {
        let machine = Machine::acting_as(self.who.as_deref());
        match Archive::open_writer(self.folder()?, machine) {
            Err(ArchiveError::NoArchive { .. }) => self.create(),
            other => Ok(other?),
        }
    }
}

impl From<ArchiveError> for Failure {
    fn from(error: ArchiveError) -> Self {
        Self::new(error)
    }
}

/// Makes a folder and those above it.
pub fn make_folder(folder: &Path) -> Result<(), Failure> {
    std::fs::create_dir_all(folder).map_err(|e| {
        Failure::new(format!("{}: {e}", folder.display())).hint("name a folder that can be made")
    })
}

/// Writes a file whole: beside its place first, then renamed into it, so that none is half written.
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let at = |e: std::io::Error| {
        Failure::new(format!("{}: {e}", path.display())).hint("check the folder and the free space")
    };
    let name = path.file_name().and_then(|n| n.to_str()).unwrap_or("file");
    let beside = path.with_file_name(format!(".{name}.part"));
    std::fs::write(&beside, bytes).map_err(at)?;
    std::fs::rename(&beside, path).map_err(at)
}

/// Returns the font files of a folder, by name.
pub fn font_files(folder: &Path) -> Result<Vec<Vec<u8>>, Failure> {
    /// Largest font file, in bytes.
    const LARGEST_FONT: u64 = 64 << 20;
    let at = |e: std::io::Error| Failure::new(format!("{}: {e}", folder.display()));
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder)
        .map_err(at)?
        .filter_map(|entry| entry.ok().map(|e| e.path()))
        .filter(|p| {
            let ending = p
                .extension()
                .and_then(|e| e.to_str())
                .map(str::to_lowercase);
            matches!(ending.as_deref(), Some("ttf" | "otf" | "ttc"))
        })
        .collect();
    paths.sort();
    paths
        .into_iter()
        .filter(|p| std::fs::metadata(p).is_ok_and(|m| m.len() <= LARGEST_FONT))
        .map(|p| std::fs::read(&p).map_err(at))
        .collect()
}

/// Returns the facts of the trade with the user's own references beside them.
pub fn facts(archive: Option<&Path>) -> Result<plimsoll_interpret::Catalogue, Failure> {
    let mut facts = plimsoll_interpret::Catalogue::built_in().map_err(Failure::new)?;
    let folder = archive_folder(archive)?.join("references");
    let files = texts(&folder, &["toml", "csv"], false)?;
    if !files.is_empty() {
        facts
            .add(files.iter().map(|(n, t)| (n.as_str(), t.as_str())))
            .map_err(|e| Failure::new(e).hint(format!("the file is in {}", folder.display())))?;
    }
    Ok(facts)
}
