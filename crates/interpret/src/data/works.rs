//! The works cited, with what was opened of each.
//! Sources: `references/bibliography`.

use serde::Serialize;

use super::table::Table;
use crate::InterpretError;

/// A cited work.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Work {
    /// Short key: first author and year.
    pub key: String,
    /// Citation.
    pub citation: String,
    /// Digital object identifier, empty when unknown.
    pub doi: String,
    /// Licence or copyright, empty when unknown.
    pub licence: String,
    /// What was opened of it.
    pub read: String,
}

/// Reads the table of works.
pub(crate) fn works(file: &str, text: &str) -> Result<Vec<Work>, InterpretError> {
    let table = Table::parse(
        file,
        text,
        &["key", "citation", "doi", "licence", "read"],
        &[],
    )?;
    table
        .rows()
        .map(|row| {
            Ok(Work {
                key: row.needed("key")?,
                citation: row.needed("citation")?,
                doi: row.text("doi").to_owned(),
                licence: row.text("licence").to_owned(),
                read: row.needed("read")?,
            })
        })
        .collect()
}
