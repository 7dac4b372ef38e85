//! The TOML header beside each table: what it is, where it comes from, how it was seen.
//! Holds no numbers of a population; those are in the table.

use serde::{Deserialize, Serialize};

use super::table::MAX_BYTES;
use crate::InterpretError;
use crate::equations::Equation;

/// The newest header format this build reads.
const FORMAT: u32 = 1;

/// Whether data came with the program or from the user's own folder.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// Compiled in.
    BuiltIn,
    /// From the user.
    User,
}

/// Where a population or a study comes from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Provenance {
    /// Short id, unique within its kind.
    pub id: String,
    /// What it is, in a few words.
    pub title: String,
    /// Citation.
    pub source: String,
    /// Digital object identifier, if known.
    pub doi: Option<String>,
    /// Year of publication, if known.
    pub year: Option<i32>,
    /// Licence or copyright as far as known.
    pub licence: String,
    /// What was opened of the source.
    pub read: String,
    /// A remark on the whole, if any.
    pub note: Option<String>,
    /// Built in or the user's.
    pub origin: Origin,
}

/// A header as the file holds it.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Header {
    pub format: u32,
    pub kind: String,
    pub id: String,
    pub title: String,
    pub source: Option<String>,
    pub doi: Option<String>,
    pub year: Option<i32>,
    pub licence: Option<String>,
    pub read: Option<String>,
    pub note: Option<String>,
    pub rows: Option<usize>,
    #[serde(default)]
    pub equation: Vec<Equation>,
}

impl Header {
    /// Reads a header and checks its format.
    pub fn parse(file: &str, text: &str) -> Result<Self, InterpretError> {
        if text.len() > MAX_BYTES {
            return Err(InterpretError::TooLarge {
                file: file.to_owned(),
                what: "bytes",
                found: text.len(),
                allowed: MAX_BYTES,
            });
        }
        let header: Self = toml::from_str(text).map_err(|error| InterpretError::Header {
            file: file.to_owned(),
            found: error.to_string().replace('\n', " "),
        })?;
        if header.format != FORMAT {
            return Err(InterpretError::HeaderField {
                file: file.to_owned(),
                field: "format",
                found: header.format.to_string(),
                allowed: FORMAT.to_string(),
            });
        }
        Ok(header)
    }

    /// Returns the provenance, which a population or study must have.
    pub fn provenance(&self, file: &str, origin: Origin) -> Result<Provenance, InterpretError> {
        let need = |field: &'static str, value: &Option<String>| {
            value
                .clone()
                .filter(|text| !text.trim().is_empty())
                .ok_or_else(|| InterpretError::HeaderField {
                    file: file.to_owned(),
                    field,
                    found: String::new(),
                    allowed: "a text: every number has a source and a licence".to_owned(),
                })
        };
        Ok(Provenance {
            id: self.id.clone(),
            title: self.title.clone(),
            source: need("source", &self.source)?,
            doi: self.doi.clone(),
            year: self.year,
            licence: need("licence", &self.licence)?,
            read: need("read", &self.read)?,
            note: self.note.clone(),
            origin,
        })
    }
}
