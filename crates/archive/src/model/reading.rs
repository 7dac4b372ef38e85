//! Reading a row column by column, in the table's order.
//! Must not guess: a value that does not fit its column is damage, and is named.

use jiff::civil::{Date, Time};
use uuid::Uuid;

use crate::db::{Row, V};
use crate::error::ArchiveError;
use crate::schema::{Table, objection, shown};
use crate::words::Word;

/// A row being read, from its first column to its last.
pub(crate) struct Reading {
    table: &'static Table,
    values: std::vec::IntoIter<V>,
    at: usize,
}

impl Reading {
    /// Returns a reading of a row that holds the table's columns in order.
    pub(crate) fn new(table: &'static Table, row: Row) -> Self {
        Self {
            table,
            values: row.into_iter(),
            at: 0,
        }
    }

    fn next<T>(
        &mut self,
        convert: impl FnOnce(&V) -> Option<T>,
    ) -> Result<Option<T>, ArchiveError> {
        let column = &self.table.columns[self.at];
        let value = self.values.next().unwrap_or(V::Null);
        self.at += 1;
        if value == V::Null && column.optional {
            return Ok(None);
        }
        convert(&value)
            .map(Some)
            .ok_or_else(|| ArchiveError::Damaged {
                table: self.table.name,
                column: column.name.to_owned(),
                found: shown(&value),
                allowed: objection(column, &value).unwrap_or_else(|| "another value".to_owned()),
            })
    }

    fn required<T>(&mut self, found: Option<T>) -> Result<T, ArchiveError> {
        let column = &self.table.columns[self.at - 1];
        found.ok_or_else(|| ArchiveError::Damaged {
            table: self.table.name,
            column: column.name.to_owned(),
            found: "nothing".to_owned(),
            allowed: "a value".to_owned(),
        })
    }

    /// Returns text, or nothing where the column is empty.
    pub(crate) fn opt_text(&mut self) -> Result<Option<String>, ArchiveError> {
        self.next(|value| match value {
            V::T(text) => Some(text.clone()),
            _ => None,
        })
    }

    /// Returns text.
    pub(crate) fn text(&mut self) -> Result<String, ArchiveError> {
        let found = self.opt_text()?;
        self.required(found)
    }

    /// Returns a whole number, or nothing where the column is empty.
    pub(crate) fn opt_int<T: TryFrom<i64>>(&mut self) -> Result<Option<T>, ArchiveError> {
        self.next(|value| match value {
            V::I(number) => T::try_from(*number).ok(),
            _ => None,
        })
    }

    /// Returns a whole number.
    pub(crate) fn int<T: TryFrom<i64>>(&mut self) -> Result<T, ArchiveError> {
        let found = self.opt_int()?;
        self.required(found)
    }

    /// Returns a number, or nothing where the column is empty.
    pub(crate) fn opt_real(&mut self) -> Result<Option<f64>, ArchiveError> {
        self.next(|value| match value {
            V::F(number) => Some(*number),
            _ => None,
        })
    }

    /// Returns yes or no, or nothing where the column is empty.
    pub(crate) fn opt_flag(&mut self) -> Result<Option<bool>, ArchiveError> {
        self.next(|value| match value {
            V::I(0) => Some(false),
            V::I(1) => Some(true),
            _ => None,
        })
    }

    /// Returns yes or no.
    pub(crate) fn flag(&mut self) -> Result<bool, ArchiveError> {
        let found = self.opt_flag()?;
        self.required(found)
    }

    fn parsed<T>(
        &mut self,
        parse: impl FnOnce(&str) -> Option<T>,
    ) -> Result<Option<T>, ArchiveError> {
        self.next(|value| match value {
            V::T(text) => parse(text),
            _ => None,
        })
    }

    /// Returns a date, or nothing where the column is empty.
    pub(crate) fn opt_date(&mut self) -> Result<Option<Date>, ArchiveError> {
        self.parsed(|text| text.parse().ok())
    }

    /// Returns a date.
    pub(crate) fn date(&mut self) -> Result<Date, ArchiveError> {
        let found = self.opt_date()?;
        self.required(found)
    }

    /// Returns a time of day, or nothing where the column is empty.
    pub(crate) fn opt_time(&mut self) -> Result<Option<Time>, ArchiveError> {
        self.parsed(|text| text.parse().ok())
    }

    /// Returns JSON, or nothing where the column is empty.
    pub(crate) fn opt_json(&mut self) -> Result<Option<serde_json::Value>, ArchiveError> {
        self.parsed(|text| serde_json::from_str(text).ok())
    }

    /// Returns JSON.
    pub(crate) fn json(&mut self) -> Result<serde_json::Value, ArchiveError> {
        let found = self.opt_json()?;
        self.required(found)
    }

    /// Returns an id, or nothing where the column is empty.
    pub(crate) fn opt_id<T>(
        &mut self,
        make: impl FnOnce(Uuid) -> T,
    ) -> Result<Option<T>, ArchiveError> {
        self.parsed(|text| Uuid::try_parse(text).ok().map(make))
    }

    /// Returns an id.
    pub(crate) fn id<T>(&mut self, make: impl FnOnce(Uuid) -> T) -> Result<T, ArchiveError> {
        let found = self.opt_id(make)?;
        self.required(found)
    }

    /// Returns a word's value, or nothing where the column is empty.
    pub(crate) fn opt_word<T: Word>(&mut self) -> Result<Option<T>, ArchiveError> {
        self.parsed(T::from_word)
    }

    /// Returns what a word stands for.
    pub(crate) fn word_as<T>(
        &mut self,
        parse: impl FnOnce(&str) -> Option<T>,
    ) -> Result<T, ArchiveError> {
        let found = self.parsed(parse)?;
        self.required(found)
    }
}
