//! Reads the cells of an XLSX workbook, row by row, keeping what kind each cell is.
//! Never builds the rectangle between the first and the last cell, which a hostile file can make huge.

use std::io::Cursor;
use std::panic::{AssertUnwindSafe, catch_unwind};

use calamine::{DataRef, Reader, SheetType, SheetVisible, Xlsx};
use jiff::civil::Date;

use super::cell::{Cell, Num};
use super::{RowSink, Sheets};
use crate::error::ExamineError;
use crate::limits::MAX_COLUMNS;

/// An open XLSX workbook.
pub(crate) struct XlsxSheets<'a> {
    file: &'a str,
    book: Xlsx<Cursor<&'a [u8]>>,
}

impl<'a> XlsxSheets<'a> {
    /// Opens the workbook.
    pub fn open(file: &'a str, bytes: &'a [u8]) -> Result<Self, ExamineError> {
        let book = guarded(file, || {
            Xlsx::new(Cursor::new(bytes)).map_err(|e| e.to_string())
        })?;
        Ok(Self { file, book })
    }
}

impl Sheets for XlsxSheets<'_> {
    fn names(&self) -> Vec<(String, bool)> {
        self.book
            .sheets_metadata()
            .iter()
            .filter(|sheet| sheet.typ == SheetType::WorkSheet)
            .map(|sheet| (sheet.name.clone(), sheet.visible == SheetVisible::Visible))
            .collect()
    }

    fn merged(&mut self, name: &str) -> Vec<(u32, u32)> {
        let book = &mut self.book;
        let merged = guarded(self.file, || {
            book.merge_cells_by_sheet_name(name)
                .map_err(|e| e.to_string())
        });
        merged
            .unwrap_or_default()
            .into_iter()
            .filter(|area| area.end.0 > area.start.0)
            .map(|area| (area.start.0.saturating_add(1), area.end.0.saturating_add(1)))
            .collect()
    }

    fn read(
        &mut self,
        name: &str,
        limit: usize,
        sink: &mut RowSink<'_>,
    ) -> Result<(), ExamineError> {
        let (file, book) = (self.file, &mut self.book);
        let mut reader = guarded(file, || {
            book.worksheet_cells_reader(name).map_err(|e| e.to_string())
        })?;
        let mut row: Vec<Cell> = Vec::new();
        let mut at: Option<u32> = None;
        let mut rows = 0;
        loop {
            let next = guarded(file, || {
                let cell = reader.next_cell().map_err(|e| e.to_string())?;
                Ok(cell.map(|cell| (cell.get_position(), convert(cell.get_value()))))
            })?;
            let Some(((r, c), cell)) = next else { break };
            let r = r.saturating_add(1);
            if at != Some(r) {
                if let Some(number) = at {
                    rows += 1;
                    sink(number, &row)?;
                    if rows >= limit {
                        return Ok(());
                    }
                }
                row.clear();
                // Rows go down; a file that jumps back up is told off here.
                if at.is_some_and(|before| r < before) {
                    return Err(broken(file, format!("row {r} comes after a later row")));
                }
                at = Some(r);
            }
            let c = c as usize;
            if cell.is_empty() {
                continue;
            }
            if c >= MAX_COLUMNS {
                return Err(super::too_wide(file));
            }
            if row.len() <= c {
                row.resize(c + 1, Cell::Empty);
            }
            if let Some(place) = row.get_mut(c) {
                *place = cell;
            }
        }
        if let Some(number) = at {
            sink(number, &row)?;
        }
        Ok(())
    }
}

fn broken(file: &str, why: String) -> ExamineError {
    ExamineError::BrokenWorkbook {
        file: file.to_owned(),
        why,
    }
}

/// Runs the workbook reader and turns a panic inside it into an error, since its input is hostile.
fn guarded<T>(file: &str, work: impl FnOnce() -> Result<T, String>) -> Result<T, ExamineError> {
    match catch_unwind(AssertUnwindSafe(work)) {
        Ok(result) => result.map_err(|why| broken(file, why)),
        Err(_) => Err(broken(file, "its parts contradict each other".to_owned())),
    }
}

fn convert(data: &DataRef<'_>) -> Cell {
    match data {
        DataRef::Int(value) => Cell::number(*value as f64),
        DataRef::Float(value) => Cell::number(*value),
        DataRef::String(text) => super::text_cell(text),
        DataRef::SharedString(text) => super::text_cell(text),
        DataRef::Bool(truth) => Cell::Bool(*truth),
        DataRef::DateTime(stamp) if stamp.is_duration() => {
            Cell::Duration(Num::new(stamp.as_f64() * 86_400.0))
        }
        DataRef::DateTime(stamp) => {
            let serial = stamp.as_f64();
            if (0.0..1.0).contains(&serial) {
                return Cell::Duration(Num::new((serial * 86_400.0 * 1e3).round() / 1e3));
            }
            let (y, m, d, hour, minute, second, milli) = stamp.to_ymd_hms_milli();
            let date = Date::new(
                i16::try_from(y).unwrap_or(1900),
                i8::try_from(m).unwrap_or(1),
                i8::try_from(d).unwrap_or(1),
            );
            let time = f64::from(hour) * 3_600.0
                + f64::from(minute) * 60.0
                + f64::from(second)
                + f64::from(milli) / 1e3;
            match date {
                Ok(date) => Cell::Date(date, (time > 0.0).then(|| Num::new(time))),
                Err(_) => Cell::number(serial),
            }
        }
        DataRef::DateTimeIso(text) => super::iso_cell(text),
        DataRef::DurationIso(text) => super::iso_duration(text),
        DataRef::Error(error) => Cell::Fault(error.to_string().into()),
        DataRef::Empty => Cell::Empty,
    }
}
