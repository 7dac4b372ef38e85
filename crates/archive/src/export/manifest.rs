//! `archive.json`: what an export holds, with a digest of each file.
//! Must be strict: an export is read only when every field is understood.

use serde::{Deserialize, Serialize};

use crate::db::migrate::Applied;

/// The word that marks an export.
pub(super) const FORMAT: &str = "plimsoll-export";
/// The version of the folder's layout.
pub(super) const FORMAT_VERSION: u32 = 1;

/// The manifest.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Manifest {
    /// Always [`FORMAT`].
    pub(super) format: String,
    /// The layout, from 1.
    pub(super) format_version: u32,
    /// How many schema steps the archive has.
    pub(super) schema_version: usize,
    /// The schema steps, as the archive records them.
    pub(super) schema_steps: Vec<Applied>,
    /// The tables, in the order in which they refer to each other.
    pub(super) tables: Vec<TableEntry>,
    /// The data dictionary and the user's own files.
    pub(super) files: Vec<FileEntry>,
}

/// One table of the export.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct TableEntry {
    /// The table.
    pub(super) table: String,
    /// Its file.
    pub(super) file: String,
    /// Rows, header row not counted.
    pub(super) rows: u64,
    /// SHA-256 of the file.
    pub(super) sha256: String,
}

/// One other file of the export.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FileEntry {
    /// Its path in the export, `/` between the parts.
    pub(super) file: String,
    /// SHA-256 of the file.
    pub(super) sha256: String,
}
