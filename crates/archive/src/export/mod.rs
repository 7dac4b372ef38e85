//! Export: a folder of CSV tables, a data dictionary and `archive.json`, and the way back.
//! Must be readable without this program: `docs/formats/export.md` says how.

mod load;
mod manifest;
mod restore;
mod write;

/// The manifest of an export.
pub(crate) const MANIFEST_FILE: &str = "archive.json";
/// The data dictionary of an export.
pub(crate) const DICTIONARY_FILE: &str = "data-dictionary.csv";
