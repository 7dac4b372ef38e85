//! A sheet in columns. Each different cell is kept once, so a large file takes four bytes a cell.
//! Only data rows are here; what else was in the file is in the notes.

use serde::Serialize;

use super::cell::Cell;

/// One column.
#[derive(Debug, Clone, Default)]
pub struct Column {
    header: String,
    kinds: Vec<Cell>,
    cells: Vec<u32>,
}

impl Column {
    pub(super) fn new(header: String) -> Self {
        Self {
            header,
            kinds: vec![Cell::Empty],
            cells: Vec::new(),
        }
    }

    pub(super) fn push(&mut self, kind: u32) {
        self.cells.push(kind);
    }

    pub(super) fn add_kind(&mut self, cell: Cell) -> u32 {
        self.kinds.push(cell);
        (self.kinds.len() - 1) as u32
    }

    /// Returns the header as written.
    pub fn header(&self) -> &str {
        &self.header
    }

    /// Returns the different cells of the column; the first is the empty one.
    pub fn kinds(&self) -> &[Cell] {
        &self.kinds
    }

    /// Returns which of [`Self::kinds`] stands in a data row, counted from 0.
    pub fn kind_at(&self, row: usize) -> u32 {
        self.cells.get(row).copied().unwrap_or(0)
    }

    /// Returns the cell in a data row, counted from 0.
    pub fn cell(&self, row: usize) -> &Cell {
        self.kinds
            .get(self.kind_at(row) as usize)
            .unwrap_or(&Cell::Empty)
    }

    /// Returns the cells from the first data row to the last.
    pub fn iter(&self) -> impl Iterator<Item = &Cell> {
        (0..self.cells.len()).map(|row| self.cell(row))
    }
}

/// A remark about the file itself; nothing a person must settle.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Note {
    /// The row it is about, when it is about one.
    pub row: Option<u32>,
    /// The sentence.
    pub text: String,
}

/// A sheet in columns.
#[derive(Debug, Clone, Default)]
pub struct Sheet {
    pub(super) columns: Vec<Column>,
    pub(super) numbers: Vec<u32>,
    pub(super) header_row: u32,
    pub(super) notes: Vec<Note>,
    pub(super) more_notes: usize,
}

impl Sheet {
    /// Returns the columns in sheet order.
    pub fn columns(&self) -> &[Column] {
        &self.columns
    }

    /// Returns how many data rows there are.
    pub fn rows(&self) -> usize {
        self.numbers.len()
    }

    /// Returns the row a spreadsheet shows for a data row counted from 0.
    pub fn number(&self, row: usize) -> u32 {
        self.numbers.get(row).copied().unwrap_or(0)
    }

    /// Returns the row of the header.
    pub const fn header_row(&self) -> u32 {
        self.header_row
    }

    /// Returns remarks about the file.
    pub fn notes(&self) -> &[Note] {
        &self.notes
    }

    /// Returns how many further remarks were not kept.
    pub const fn more_notes(&self) -> usize {
        self.more_notes
    }

    pub(super) fn note(&mut self, row: Option<u32>, text: String) {
        if self.notes.len() < crate::limits::MAX_NOTES {
            self.notes.push(Note { row, text });
        } else {
            self.more_notes += 1;
        }
    }
}
