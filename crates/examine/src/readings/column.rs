//! One field read once for each different cell, and looked up by row.

use crate::header::{Field, Mapping};
use crate::table::{Cell, Sheet};

/// The readings of one field.
pub(crate) struct Read<T> {
    kinds: Vec<T>,
    place: Place,
}

enum Place {
    /// The rows are those of a column of the sheet.
    Column(usize),
    /// The rows are kept here, for a field made from two columns.
    Own(Vec<u32>),
}

impl<T> Read<T> {
    /// Reads the column that holds a field.
    pub fn of(
        sheet: &Sheet,
        mapping: &Mapping,
        field: Field,
        read: impl Fn(&Cell) -> T,
    ) -> Option<Self> {
        Self::at_column(sheet, mapping.index_of(field)?, read)
    }

    /// Reads a column by its index.
    pub fn at_column(sheet: &Sheet, index: usize, read: impl Fn(&Cell) -> T) -> Option<Self> {
        let kinds = sheet
            .columns()
            .get(index)?
            .kinds()
            .iter()
            .map(read)
            .collect();
        Some(Self {
            kinds,
            place: Place::Column(index),
        })
    }

    /// Makes a field from readings and the reading of each row.
    pub const fn own(kinds: Vec<T>, rows: Vec<u32>) -> Self {
        Self {
            kinds,
            place: Place::Own(rows),
        }
    }

    /// Returns which of the different readings stands in a row.
    pub fn kind(&self, sheet: &Sheet, row: usize) -> u32 {
        match &self.place {
            Place::Column(index) => sheet.columns().get(*index).map_or(0, |c| c.kind_at(row)),
            Place::Own(rows) => rows.get(row).copied().unwrap_or(0),
        }
    }

    /// Returns the reading of a row.
    pub fn at(&self, sheet: &Sheet, row: usize) -> Option<&T> {
        self.kinds.get(self.kind(sheet, row) as usize)
    }

    /// Returns the different readings.
    pub fn kinds(&self) -> &[T] {
        &self.kinds
    }
}
