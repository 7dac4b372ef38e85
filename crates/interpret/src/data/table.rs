//! A CSV table with known columns, read cell by cell with worded faults.
//! Bounded in size; rows are numbered as a spreadsheet shows them.

use std::collections::BTreeMap;

use crate::{Confidence, InterpretError, SexGroup};

/// Largest file that is read, bytes.
pub(crate) const MAX_BYTES: usize = 4 * 1024 * 1024;
/// Most rows that are read.
const MAX_ROWS: usize = 50_000;

/// A table in memory.
pub(crate) struct Table<'a> {
    file: &'a str,
    columns: BTreeMap<String, usize>,
    records: Vec<csv::StringRecord>,
}

/// One row of a table.
#[derive(Clone, Copy)]
pub(crate) struct Row<'a> {
    table: &'a Table<'a>,
    index: usize,
}

impl<'a> Table<'a> {
    /// Reads a table that has exactly the columns in `allowed`, in any order; those in
    /// `optional` may be left out.
    pub fn parse(
        file: &'a str,
        text: &str,
        needed: &[&str],
        optional: &[&str],
    ) -> Result<Self, InterpretError> {
        let large = |what, found, allowed| InterpretError::TooLarge {
            file: file.to_owned(),
            what,
            found,
            allowed,
        };
        if text.len() > MAX_BYTES {
            return Err(large("bytes", text.len(), MAX_BYTES));
        }
        let broken = |error: csv::Error| InterpretError::Table {
            file: file.to_owned(),
            found: error.to_string(),
        };
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let mut reader = csv::ReaderBuilder::new()
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let head = reader.headers().map_err(broken)?.clone();
        let allowed = || [needed, optional].concat().join(", ");
        let column = |problem, name: &str| InterpretError::Column {
            file: file.to_owned(),
            problem,
            column: name.to_owned(),
            allowed: allowed(),
        };
        let mut columns = BTreeMap::new();
        for (index, name) in head.iter().enumerate() {
            if !needed.contains(&name) && !optional.contains(&name) {
                return Err(column("unknown", name));
            }
            if columns.insert(name.to_owned(), index).is_some() {
                return Err(column("repeated", name));
            }
        }
        if let Some(missing) = needed.iter().find(|name| !columns.contains_key(**name)) {
            return Err(column("missing", missing));
        }
        let mut records = Vec::new();
        for record in reader.records() {
            records.push(record.map_err(broken)?);
            if records.len() > MAX_ROWS {
                return Err(large("rows", records.len(), MAX_ROWS));
            }
        }
        Ok(Self {
            file,
            columns,
            records,
        })
    }

    /// Returns the rows in the order of the file.
    pub fn rows(&'a self) -> impl Iterator<Item = Row<'a>> {
        (0..self.records.len()).map(move |index| Row { table: self, index })
    }
}

impl Row<'_> {
    /// Returns a cell; empty when the column is left out.
    pub fn text(&self, column: &str) -> &str {
        let record = &self.table.records[self.index];
        self.table
            .columns
            .get(column)
            .and_then(|&at| record.get(at))
            .unwrap_or("")
    }

    /// Returns a cell that must hold something.
    pub fn needed(&self, column: &str) -> Result<String, InterpretError> {
        match self.text(column) {
            "" => Err(self.fault(column, "a text")),
            text => Ok(text.to_owned()),
        }
    }

    /// Returns a finite number, or none for an empty cell.
    pub fn number(&self, column: &str) -> Result<Option<f64>, InterpretError> {
        match self.text(column) {
            "" => Ok(None),
            text => match text.parse::<f64>() {
                Ok(value) if value.is_finite() => Ok(Some(value)),
                _ => Err(self.fault(column, "a number with a decimal point, or nothing")),
            },
        }
    }

    /// Returns a number that must be there.
    pub fn needed_number(&self, column: &str) -> Result<f64, InterpretError> {
        self.number(column)?
            .ok_or_else(|| self.fault(column, "a number: this row needs it"))
    }

    /// Returns a number above 0, or none for an empty cell.
    pub fn positive(&self, column: &str) -> Result<Option<f64>, InterpretError> {
        match self.number(column)? {
            Some(value) if value <= 0.0 => Err(self.fault(column, "a number above 0")),
            other => Ok(other),
        }
    }

    /// Returns a count, or none for an empty cell.
    pub fn count(&self, column: &str) -> Result<Option<u32>, InterpretError> {
        match self.text(column) {
            "" => Ok(None),
            text => text
                .parse()
                .map(Some)
                .map_err(|_| self.fault(column, "a whole number")),
        }
    }

    /// Returns a lower and an upper age, which must rise.
    pub fn ages(&self) -> Result<(Option<f64>, Option<f64>), InterpretError> {
        let (min, max) = (self.number("age_min")?, self.number("age_max")?);
        if let (Some(a), Some(b)) = (min, max)
            && a > b
        {
            return Err(self.fault("age_max", "an age not below age_min"));
        }
        Ok((min, max))
    }

    /// Returns the group in the column `sex`.
    pub fn sex(&self) -> Result<SexGroup, InterpretError> {
        SexGroup::parse(self.text("sex")).ok_or_else(|| self.fault("sex", "M, F, M+F or nothing"))
    }

    /// Returns the tag in the column `confidence`.
    pub fn confidence(&self) -> Result<Confidence, InterpretError> {
        self.text("confidence")
            .parse()
            .map_err(|()| self.fault("confidence", &Confidence::allowed()))
    }

    /// Returns a fault of a cell.
    pub fn fault(&self, column: &str, allowed: &str) -> InterpretError {
        InterpretError::Cell {
            file: self.table.file.to_owned(),
            row: self.index + 2,
            column: column.to_owned(),
            found: self.text(column).chars().take(80).collect(),
            allowed: allowed.to_owned(),
        }
    }
}
