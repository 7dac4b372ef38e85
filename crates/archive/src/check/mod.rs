//! The archive check: everything the archive promises about itself, looked at row by row.
//! Must only read; a finding is a sentence that names the table and the row.

mod chains;
mod imports;
mod journal;
mod values;

use std::fmt;

use crate::db::{DbCause, DbError};
use crate::error::ArchiveError;
use crate::open::Archive;

/// Something that is not as it should be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CheckFinding {
    /// The table; `database` when it is about the file.
    pub table: &'static str,
    /// The key of the row, where it is about one.
    pub row: Option<String>,
    /// What is wrong, in words.
    pub text: String,
}

impl fmt::Display for CheckFinding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.row {
            Some(row) => write!(f, "{}, row {row}: {}", self.table, self.text),
            None => write!(f, "{}: {}", self.table, self.text),
        }
    }
}

/// The findings so far.
#[derive(Debug, Default)]
struct Found(Vec<CheckFinding>);

impl Found {
    fn row(&mut self, table: &'static str, row: impl fmt::Display, text: impl Into<String>) {
        self.0.push(CheckFinding {
            table,
            row: Some(row.to_string()),
            text: text.into(),
        });
    }

    fn whole(&mut self, table: &'static str, text: impl Into<String>) {
        self.0.push(CheckFinding {
            table,
            row: None,
            text: text.into(),
        });
    }
}

impl Archive {
    /// Checks the whole archive; no finding means that it is sound.
    ///
    /// Looked at in three steps, each only when the one before found nothing: the database's own
    /// check of its pages and references; every value, reference and digest; and what must fit
    /// together: the journal, the counts of the imports, versions and merges.
    ///
    /// # Errors
    ///
    /// Only when the archive cannot be read at all.
    pub fn check(&self) -> Result<Vec<CheckFinding>, ArchiveError> {
        let mut found = Found::default();
        match self.db.complaints() {
            Ok(lines) => lines
                .into_iter()
                .for_each(|line| found.whole("database", line)),
            Err(DbError {
                cause: DbCause::Damaged,
                message,
            }) => found.whole("database", message),
            Err(error) => return Err(error.into()),
        }
        if !found.0.is_empty() {
            return Ok(found.0);
        }
        self.db.read(|tx| {
            values::check(tx, &mut found)?;
            if found.0.is_empty() {
                journal::check(tx, &mut found)?;
                imports::check(tx, &mut found)?;
                chains::check(tx, &mut found)?;
            }
            Ok::<(), ArchiveError>(())
        })?;
        Ok(found.0)
    }

    /// Returns an error that names the first findings when the check of a copy finds any.
    pub(crate) fn must_be_sound(&self, what: String) -> Result<(), ArchiveError> {
        const SHOWN: usize = 5;
        let findings = self.check()?;
        if findings.is_empty() {
            return Ok(());
        }
        Err(ArchiveError::CheckFailed {
            what,
            findings: findings
                .iter()
                .take(SHOWN)
                .map(ToString::to_string)
                .collect(),
        })
    }
}
