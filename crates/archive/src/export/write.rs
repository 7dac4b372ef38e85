//! Writing an export. Rows go out sorted by key, so that the same archive gives the same bytes.
//! Must never leave half an export: the folder gets its name last.

use std::fs;
use std::path::Path;

use super::manifest::{FORMAT, FORMAT_VERSION, FileEntry, Manifest, TableEntry};
use super::{DICTIONARY_FILE, MANIFEST_FILE};
use crate::db::migrate::applied;
use crate::db::{Tx, V};
use crate::digest::{Digesting, hex, sha256_hex};
use crate::error::{ArchiveError, file};
use crate::files::{Staging, copy_file, sync_file, sync_folder, user_files, write_synced};
use crate::open::Archive;
use crate::rows;
use crate::schema::{TABLES, Table, data_dictionary};

impl Archive {
    /// Writes everything to a folder that does not exist yet: one CSV for each table, the user's
    /// own files, `data-dictionary.csv` and `archive.json`. The same archive gives the same bytes.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::Occupied`], [`ArchiveError::File`] and [`ArchiveError::Database`].
    pub fn export(&self, to: &Path) -> Result<(), ArchiveError> {
        let staging = Staging::beside(to)?;
        let dir = staging.dir();
        let mut manifest = self.db.read(|tx| {
            let schema_steps = applied(tx)?.unwrap_or_default();
            let tables = TABLES.into_iter().map(|table| table_file(tx, table, dir));
            Ok::<_, ArchiveError>(Manifest {
                format: FORMAT.to_owned(),
                format_version: FORMAT_VERSION,
                schema_version: schema_steps.len(),
                schema_steps,
                tables: tables.collect::<Result<_, _>>()?,
                files: Vec::new(),
            })
        })?;
        manifest.files.push(dictionary(dir)?);
        for name in user_files(self.dir())? {
            let sha256 = copy_file(&self.dir().join(&name), &dir.join(&name))?;
            manifest.files.push(FileEntry { file: name, sha256 });
        }
        let mut json = serde_json::to_string_pretty(&manifest)
            .expect("a manifest of texts and numbers is always JSON");
        json.push('\n');
        write_synced(&dir.join(MANIFEST_FILE), json.as_bytes())?;
        sync_folder(dir)?;
        staging.finish()
    }
}

fn table_file(tx: &Tx<'_>, table: &Table, dir: &Path) -> Result<TableEntry, ArchiveError> {
    let name = format!("{}.csv", table.name);
    let path = dir.join(&name);
    let inner = fs::File::create(&path).map_err(file("make", &path))?;
    let mut out = csv::Writer::from_writer(Digesting::new(inner));
    let failed = |error: csv::Error| file("write", &path)(error.into());
    out.write_record(table.columns.iter().map(|column| column.name))
        .map_err(failed)?;
    let mut keys: Vec<V> = tx
        .query(&rows::keys(table))?
        .into_iter()
        .filter_map(|row| row.into_iter().next())
        .collect();
    keys.sort_by(order);
    let mut rows_written = 0;
    let mut by_key = rows::by_key(table, V::Null);
    for key in keys {
        by_key.args = vec![key];
        for row in tx.query(&by_key)? {
            out.write_record(row.iter().map(cell)).map_err(failed)?;
            rows_written += 1;
        }
    }
    let passed = out
        .into_inner()
        .map_err(|error| file("write", &path)(error.into_error()))?;
    sync_file(&path)?;
    Ok(TableEntry {
        table: table.name.to_owned(),
        file: name,
        rows: rows_written,
        sha256: passed.finish().1,
    })
}

/// Orders keys: numbers by size, text by bytes.
fn order(a: &V, b: &V) -> std::cmp::Ordering {
    match (a, b) {
        (V::I(a), V::I(b)) => a.cmp(b),
        (V::T(a), V::T(b)) => a.cmp(b),
        _ => std::cmp::Ordering::Equal,
    }
}

/// Returns a value as a CSV cell; nothing recorded is an empty cell, and no text is ever empty.
fn cell(value: &V) -> String {
    match value {
        V::Null => String::new(),
        V::I(number) => number.to_string(),
        V::F(number) => number.to_string(),
        V::T(text) => text.clone(),
        V::B(bytes) => hex(bytes),
    }
}

fn dictionary(dir: &Path) -> Result<FileEntry, ArchiveError> {
    let path = dir.join(DICTIONARY_FILE);
    let mut out = csv::Writer::from_writer(Vec::new());
    for row in data_dictionary() {
        out.write_record(row)
            .map_err(|error| file("write", &path)(error.into()))?;
    }
    let bytes = out
        .into_inner()
        .map_err(|error| file("write", &path)(error.into_error()))?;
    write_synced(&path, &bytes)?;
    Ok(FileEntry {
        file: DICTIONARY_FILE.to_owned(),
        sha256: sha256_hex(&bytes),
    })
}
