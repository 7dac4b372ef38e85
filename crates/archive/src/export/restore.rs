//! Restoring an export to a new archive that holds exactly the same.
//! Must treat the export as hostile until read: sizes are bounded, paths stay inside, nothing half.

use std::fs;
use std::path::Path;

use super::load::Loader;
use super::manifest::{FORMAT, FORMAT_VERSION, Manifest};
use super::{DICTIONARY_FILE, MANIFEST_FILE};
use crate::db::migrate::STEPS;
use crate::digest::sha256_hex;
use crate::error::{ArchiveError, ExportFault, file};
use crate::files::{Staging, copy_file, sync_folder};
use crate::open::{Archive, USER_FOLDERS, make_database};
use crate::schema::TABLES;

/// Largest `archive.json` that is read, bytes.
const MANIFEST_LIMIT: u64 = 16 * 1024 * 1024;

/// What to do about an export that is not as it was written.
pub(super) const ALTERED: &str = "export the archive anew, or take an unaltered copy of the export";

impl Archive {
    /// Makes a new archive from an export. It holds exactly what the exported one held.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::Occupied`] when the new folder exists, [`ArchiveError::Export`] with file,
    /// row and column when the export is not as it was written, and [`ArchiveError::CheckFailed`]
    /// when what it holds does not fit together. Nothing is kept then.
    pub fn restore(export: &Path, new: &Path) -> Result<(), ArchiveError> {
        let manifest = manifest(export)?;
        let staging = Staging::beside(new)?;
        let mut loader = Loader::default();
        make_database(staging.dir(), &manifest.schema_steps, |tx| {
            for (table, entry) in TABLES.into_iter().zip(&manifest.tables) {
                loader.load(tx, table, entry, export)?;
            }
            Ok(())
        })?;
        for entry in &manifest.files {
            let to = staging.dir().join(&entry.file);
            let found = copy_file(&export.join(&entry.file), &to)?;
            if found != entry.sha256 {
                return Err(altered(&entry.file, &found, &entry.sha256));
            }
            if entry.file == DICTIONARY_FILE {
                fs::remove_file(&to).map_err(file("remove", &to))?;
            }
        }
        sync_folder(staging.dir())?;
        Self::open_reader(staging.dir())?.must_be_sound(format!("`{}`", new.display()))?;
        staging.finish()
    }
}

/// Returns the error for a file whose digest is another one.
pub(super) fn altered(name: &str, found: &str, allowed: &str) -> ArchiveError {
    ArchiveError::Export(Box::new(ExportFault {
        file: name.to_owned(),
        row: None,
        column: None,
        found: format!("content with SHA-256 {found}"),
        allowed: format!("the {allowed} of `{MANIFEST_FILE}`"),
        hint: ALTERED,
    }))
}

fn manifest(export: &Path) -> Result<Manifest, ArchiveError> {
    let path = export.join(MANIFEST_FILE);
    let refused = |found: String, allowed: String, hint| {
        ArchiveError::Export(Box::new(ExportFault {
            file: MANIFEST_FILE.to_owned(),
            row: None,
            column: None,
            found,
            allowed,
            hint,
        }))
    };
    let size = fs::metadata(&path).map_err(file("read", &path))?.len();
    if size > MANIFEST_LIMIT {
        let allowed = format!("at most {MANIFEST_LIMIT}");
        return Err(refused(format!("{size} bytes"), allowed, ALTERED));
    }
    let bytes = fs::read(&path).map_err(file("read", &path))?;
    let manifest: Manifest = serde_json::from_slice(&bytes).map_err(|error| {
        let allowed = "the manifest of an export of this program";
        refused(format!("`{error}`"), allowed.to_owned(), ALTERED)
    })?;
    if (manifest.format.as_str(), manifest.format_version) != (FORMAT, FORMAT_VERSION) {
        return Err(refused(
            format!(
                "format `{}` version {}",
                manifest.format, manifest.format_version
            ),
            format!("`{FORMAT}` version {FORMAT_VERSION}"),
            "use the build that made the export",
        ));
    }
    let known = STEPS.map(|step| (step.number, sha256_hex(step.sql.as_bytes())));
    let steps = manifest.schema_steps.iter();
    if manifest.schema_version != STEPS.len()
        || !steps
            .map(|step| (step.number, step.sha256.clone()))
            .eq(known)
    {
        return Err(refused(
            format!("schema {}", manifest.schema_version),
            format!("schema {} of this build", STEPS.len()),
            "restore it with the build that made it, then open that archive with this build",
        ));
    }
    let tables = manifest
        .tables
        .iter()
        .map(|entry| (entry.table.clone(), entry.file.clone()));
    let wanted = TABLES.map(|table| (table.name.to_owned(), format!("{}.csv", table.name)));
    if !tables.eq(wanted) {
        let allowed = format!("the tables {}", TABLES.map(|table| table.name).join(", "));
        return Err(refused(
            "another list of tables".to_owned(),
            allowed,
            ALTERED,
        ));
    }
    if let Some(entry) = manifest.files.iter().find(|entry| !is_inside(&entry.file)) {
        let folders = USER_FOLDERS.map(|folder| format!("{folder}/…")).join(", ");
        return Err(refused(
            format!("the file `{}`", entry.file.escape_debug()),
            format!("{DICTIONARY_FILE}, {folders}"),
            ALTERED,
        ));
    }
    Ok(manifest)
}

/// Returns whether a path of the manifest stays inside the folders for the user's own files.
fn is_inside(name: &str) -> bool {
    let mut parts = name.split('/');
    let first = parts.next().unwrap_or_default();
    name == DICTIONARY_FILE
        || USER_FOLDERS.contains(&first)
            && name.contains('/')
            && parts.all(|part| {
                !part.is_empty() && part != "." && part != ".." && !part.contains(['\\', ':', '\0'])
            })
}

#[cfg(test)]
mod tests {
    use super::is_inside;

    #[test]
    fn paths_that_leave_the_users_folders_are_refused() {
        for good in [
            "data-dictionary.csv",
            "definitions/own.toml",
            "references/a/b.csv",
        ] {
            assert!(is_inside(good), "{good}");
        }
        for bad in [
            "",
            "definitions",
            "definitions/",
            "definitions/../plimsoll.db",
            "/etc/passwd",
            "plimsoll.db",
            "definitions/./x",
            "references//x",
            "definitions/..\\x",
            "c:/x",
        ] {
            assert!(!is_inside(bad), "{bad}");
        }
    }
}
