//! Puts rows into a sheet as they come: waits for the header, then sorts each row into its kind.
//! Holds back only the first rows; everything later is stored at once or noted.

use std::collections::HashMap;

use super::cell::Cell;
use super::layout::{self, Heading};
use super::sheet::{Column, Sheet};
use crate::error::ExamineError;
use crate::limits::{LOOK_AHEAD_ROWS, MAX_CELLS, MAX_COLUMNS, MAX_ROWS, MAX_TEXT_KEPT};

/// A sheet under construction.
pub(super) struct Builder<'a> {
    file: &'a str,
    heading: Heading,
    waiting: Vec<(u32, Vec<Cell>)>,
    started: bool,
    sheet: Sheet,
    lookup: Vec<HashMap<Cell, u32>>,
    headers: Vec<String>,
    text_kept: usize,
    blanks: Vec<u32>,
    last_row: u32,
}

impl<'a> Builder<'a> {
    pub fn new(file: &'a str, heading: Heading) -> Self {
        Self {
            file,
            heading,
            waiting: Vec::new(),
            started: false,
            sheet: Sheet::default(),
            lookup: Vec::new(),
            headers: Vec::new(),
            text_kept: 0,
            blanks: Vec::new(),
            last_row: 0,
        }
    }

    /// Takes the next row.
    pub fn row(&mut self, number: u32, cells: &[Cell]) -> Result<(), ExamineError> {
        if self.started {
            return self.data(number, cells);
        }
        if cells.iter().all(Cell::is_empty) {
            return Ok(());
        }
        self.waiting.push((number, cells.to_vec()));
        if self.waiting.len() >= LOOK_AHEAD_ROWS {
            self.start()
        } else {
            Ok(())
        }
    }

    /// Ends the sheet.
    pub fn finish(mut self) -> Result<Sheet, ExamineError> {
        if !self.started {
            self.start()?;
        }
        self.note_blanks();
        if self.sheet.rows() == 0 {
            return Err(ExamineError::Empty {
                file: self.file.to_owned(),
            });
        }
        Ok(self.sheet)
    }

    /// Adds a remark about the file.
    pub fn note(&mut self, row: Option<u32>, text: String) {
        self.sheet.note(row, text);
    }

    fn start(&mut self) -> Result<(), ExamineError> {
        let waiting = std::mem::take(&mut self.waiting);
        let Some((first_number, first)) = waiting.first() else {
            return Err(ExamineError::Empty {
                file: self.file.to_owned(),
            });
        };
        let header = match self.heading {
            Heading::Known => layout::find_header(&waiting),
            Heading::First => layout::first_header(&waiting),
        };
        let Some(at) = header else {
            let found: Vec<String> = first.iter().map(ToString::to_string).collect();
            return Err(ExamineError::NoHeader {
                file: self.file.to_owned(),
                looked_at: waiting.len(),
                row: *first_number,
                found: shorten(&found.join(", ")),
            });
        };
        self.started = true;
        for (i, (number, cells)) in waiting.iter().enumerate() {
            match i.cmp(&at) {
                std::cmp::Ordering::Less => {
                    let text: Vec<String> = cells
                        .iter()
                        .filter(|c| !c.is_empty())
                        .map(ToString::to_string)
                        .collect();
                    self.note(
                        Some(*number),
                        format!(
                            "above the header, not data: `{}`",
                            shorten(&text.join(", "))
                        ),
                    );
                }
                std::cmp::Ordering::Equal => self.header(*number, cells),
                std::cmp::Ordering::Greater if i == at + 1 && layout::is_units(cells) => {
                    self.units(*number, cells);
                }
                std::cmp::Ordering::Greater => self.data(*number, cells)?,
            }
        }
        Ok(())
    }

    fn header(&mut self, number: u32, cells: &[Cell]) {
        self.sheet.header_row = number;
        self.last_row = number;
        for (i, cell) in cells.iter().enumerate() {
            let text = if cell.is_empty() {
                column_name(i)
            } else {
                cell.to_string()
            };
            self.headers.push(text.clone());
            self.sheet.columns.push(Column::new(text));
            self.lookup.push(HashMap::from([(Cell::Empty, 0)]));
        }
    }

    /// Joins a row of units to the headers above it.
    fn units(&mut self, number: u32, cells: &[Cell]) {
        self.last_row = number;
        for (i, cell) in cells.iter().enumerate().filter(|(_, c)| !c.is_empty()) {
            if let Some(header) = self.headers.get(i) {
                let unit = cell.to_string();
                let unit = unit.trim_matches(['(', ')', '[', ']']);
                let joined = format!("{header} ({unit})");
                if let Some(column) = self.sheet.columns.get_mut(i) {
                    *column = Column::new(joined);
                }
            }
        }
        self.note(
            Some(number),
            "units under the header, joined to it".to_owned(),
        );
    }

    fn data(&mut self, number: u32, cells: &[Cell]) -> Result<(), ExamineError> {
        if cells.iter().all(Cell::is_empty) {
            return Ok(());
        }
        if layout::is_repeat(&self.headers, cells) {
            self.note(Some(number), "the header again, not data".to_owned());
            self.last_row = number;
            return Ok(());
        }
        if let Some(word) = layout::totals_word(cells) {
            self.note(
                Some(number),
                format!("a row of totals (`{word}`), not data"),
            );
            self.last_row = number;
            return Ok(());
        }
        for blank in self.last_row.saturating_add(1)..number {
            if self.blanks.len() < 1_000 {
                self.blanks.push(blank);
            }
        }
        self.last_row = number;
        self.store(number, cells)
    }

    fn store(&mut self, number: u32, cells: &[Cell]) -> Result<(), ExamineError> {
        if cells.len() > MAX_COLUMNS {
            return Err(super::too_wide(self.file));
        }
        let rows = self.sheet.numbers.len();
        while self.sheet.columns.len() < cells.len() {
            // A row longer than the header: its cells get a column of their own.
            let name = column_name(self.sheet.columns.len());
            self.note(
                Some(number),
                format!("longer than the header; column {name} has no heading"),
            );
            let mut column = Column::new(name.clone());
            for _ in 0..rows {
                column.push(0);
            }
            self.sheet.columns.push(column);
            self.headers.push(name);
            self.lookup.push(HashMap::from([(Cell::Empty, 0)]));
        }
        self.check_size(rows + 1)?;
        self.sheet.numbers.push(number);
        for (i, column) in self.sheet.columns.iter_mut().enumerate() {
            let cell = cells.get(i).unwrap_or(&Cell::Empty);
            let Some(lookup) = self.lookup.get_mut(i) else {
                continue;
            };
            let kind = match lookup.get(cell) {
                Some(kind) => *kind,
                None => {
                    self.text_kept += 2 * cell.text_bytes();
                    let kind = column.add_kind(cell.clone());
                    lookup.insert(cell.clone(), kind);
                    kind
                }
            };
            column.push(kind);
        }
        Ok(())
    }

    fn check_size(&self, rows: usize) -> Result<(), ExamineError> {
        let cells = rows.saturating_mul(self.sheet.columns.len());
        let (found, allowed, unit) = if rows > MAX_ROWS {
            (rows, MAX_ROWS, "rows")
        } else if cells > MAX_CELLS {
            (cells, MAX_CELLS, "cells")
        } else if self.text_kept > MAX_TEXT_KEPT {
            (self.text_kept, MAX_TEXT_KEPT, "bytes of text")
        } else {
            return Ok(());
        };
        Err(ExamineError::TooLarge {
            file: self.file.to_owned(),
            found: found as u64,
            allowed: allowed as u64,
            unit,
            advice: "split it, or delete columns that are not needed",
        })
    }

    fn note_blanks(&mut self) {
        let blanks = super::RowSet::of(std::mem::take(&mut self.blanks));
        if let Some(first) = blanks.first() {
            let (text, plural) = if blanks.count() == 1 {
                ("row", "is")
            } else {
                ("rows", "are")
            };
            self.note(
                Some(first),
                format!(
                    "{text} {} between the data {plural} blank",
                    shorten(&blanks.to_string())
                ),
            );
        }
    }
}

/// Returns the letter a spreadsheet gives a column counted from 0.
fn column_name(index: usize) -> String {
    let mut name = String::new();
    let mut n = index + 1;
    while n > 0 {
        let letter = (n - 1) % 26;
        name.insert(0, char::from(b'A' + letter as u8));
        n = (n - 1) / 26;
    }
    name
}

fn shorten(text: &str) -> String {
    const LONGEST: usize = 80;
    if text.chars().count() <= LONGEST {
        return text.to_owned();
    }
    let mut short: String = text.chars().take(LONGEST).collect();
    short.push('…');
    short
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn column_letters() {
        assert_eq!(
            (column_name(0), column_name(25), column_name(26)),
            ("A".into(), "Z".into(), "AA".into())
        );
    }
}
