//! Reads a sheet from text or a workbook into columns, and says what was taken for what.
//! Cells keep their kind. Rows that are not data (titles, blanks, repeated headers, totals) are noted.

mod build;
mod cell;
mod decode;
mod delimiter;
mod guard;
mod layout;
mod ods;
mod open;
mod rows;
mod sheet;
mod sniff;
mod split;
mod text;
mod xlsx;

pub use cell::{Cell, Num};
pub(crate) use layout::Heading;
pub use open::{FileFacts, read_table};
pub use rows::RowSet;
pub use sheet::{Column, Note, Sheet};

pub(crate) use open::{open_bytes, open_path};

use crate::error::ExamineError;
use crate::limits::MAX_COLUMNS;

/// Takes rows as they are read: the row a spreadsheet shows, and its cells.
pub(crate) type RowSink<'a> = dyn FnMut(u32, &[Cell]) -> Result<(), ExamineError> + 'a;

/// A workbook whose sheets can be read one at a time.
pub(crate) trait Sheets {
    /// Returns the name of each sheet and whether it is shown.
    fn names(&self) -> Vec<(String, bool)>;
    /// Returns the first and last row of each merged area that spans rows.
    fn merged(&mut self, name: &str) -> Vec<(u32, u32)>;
    /// Reads at most `limit` rows that are not empty.
    fn read(
        &mut self,
        name: &str,
        limit: usize,
        sink: &mut RowSink<'_>,
    ) -> Result<(), ExamineError>;
}

/// The error for a row with too many columns.
fn too_wide(file: &str) -> ExamineError {
    ExamineError::TooLarge {
        file: file.to_owned(),
        found: MAX_COLUMNS as u64 + 1,
        allowed: MAX_COLUMNS as u64,
        unit: "columns",
        advice: "delete the columns that are not needed, or check the separator",
    }
}

/// Makes a text cell no longer than allowed.
fn text_cell(text: &str) -> Cell {
    let mut end = text.len().min(crate::limits::MAX_CELL_BYTES);
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    Cell::text(text.get(..end).unwrap_or_default())
}

/// Makes a date cell from `2026-05-04` or `2026-05-04T10:20:00`; other text stays text.
fn iso_cell(text: &str) -> Cell {
    let (date, time) = text.split_once(['T', ' ']).unwrap_or((text, ""));
    let Ok(date) = date.parse::<jiff::civil::Date>() else {
        return text_cell(text);
    };
    let seconds = time
        .trim_end_matches('Z')
        .split(':')
        .try_fold(0.0, |sum, part| part.parse::<f64>().map(|v| sum * 60.0 + v));
    match seconds {
        Ok(seconds) if seconds > 0.0 && time.split(':').count() == 3 => {
            Cell::Date(date, Some(Num::new(seconds)))
        }
        _ => Cell::Date(date, None),
    }
}

/// Makes a duration cell from `PT0H16M20S`; other text stays text.
fn iso_duration(text: &str) -> Cell {
    let Some(rest) = text.trim().strip_prefix("PT") else {
        return text_cell(text);
    };
    let mut seconds = 0.0;
    let mut number = String::new();
    for c in rest.chars() {
        let factor = match c {
            'H' => 3_600.0,
            'M' => 60.0,
            'S' => 1.0,
            _ => {
                number.push(if c == ',' { '.' } else { c });
                continue;
            }
        };
        match number.parse::<f64>() {
            Ok(value) if value.is_finite() => seconds += value * factor,
            _ => return text_cell(text),
        }
        number.clear();
    }
    Cell::Duration(Num::new(seconds))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn typed_text_of_workbooks() {
        assert_eq!(iso_duration("PT00H16M20S"), Cell::Duration(Num::new(980.0)));
        assert_eq!(iso_cell("2026-05-04").to_string(), "2026-05-04");
        assert_eq!(
            iso_cell("2026-05-04T10:00:30").to_string(),
            "2026-05-04 10:00:30"
        );
        assert_eq!(iso_cell("5.4"), Cell::text("5.4"));
        assert_eq!(iso_duration("PTxS"), Cell::text("PTxS"));
    }
}
