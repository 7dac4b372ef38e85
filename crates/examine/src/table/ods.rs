//! Reads the cells of an OpenDocument sheet, row by row, keeping what kind each cell is.
//! Repeats are bounded while reading: the format lets a few bytes stand for millions of cells.

use std::io::{BufReader, Cursor, Read};

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use zip::ZipArchive;

use super::cell::Cell;
use super::{RowSink, Sheets};
use crate::error::ExamineError;
use crate::limits::{MAX_CELL_BYTES, MAX_COLUMNS};

/// An open OpenDocument workbook.
pub(crate) struct OdsSheets<'a> {
    file: &'a str,
    bytes: &'a [u8],
    names: Vec<String>,
}

impl<'a> OdsSheets<'a> {
    /// Opens the workbook and lists its sheets.
    pub fn open(file: &'a str, bytes: &'a [u8]) -> Result<Self, ExamineError> {
        let mut sheets = Self {
            file,
            bytes,
            names: Vec::new(),
        };
        let mut names = Vec::new();
        sheets.with_content(|reader, buffer| {
            loop {
                buffer.clear();
                match reader.read_event_into(buffer).map_err(|e| e.to_string())? {
                    Event::Start(e) if e.name().as_ref() == "table:table" => {
                        names.push(attribute(&e, "table:name").unwrap_or_default());
                    }
                    Event::Eof => return Ok(()),
                    _ => {}
                }
            }
        })?;
        sheets.names = names;
        Ok(sheets)
    }

    fn with_content(
        &self,
        work: impl FnOnce(&mut Reader<BufReader<&mut dyn Read>>, &mut Vec<u8>) -> Result<(), String>,
    ) -> Result<(), ExamineError> {
        let broken = |why: String| ExamineError::BrokenWorkbook {
            file: self.file.to_owned(),
            why,
        };
        let mut archive =
            ZipArchive::new(Cursor::new(self.bytes)).map_err(|e| broken(e.to_string()))?;
        let mut part = archive
            .by_name("content.xml")
            .map_err(|e| broken(e.to_string()))?;
        let input: &mut dyn Read = &mut part;
        let mut reader = Reader::from_reader(BufReader::new(input));
        reader.config_mut().expand_empty_elements = true;
        reader.config_mut().check_end_names = false;
        work(&mut reader, &mut Vec::new()).map_err(broken)
    }
}

impl Sheets for OdsSheets<'_> {
    fn names(&self) -> Vec<(String, bool)> {
        self.names.iter().map(|name| (name.clone(), true)).collect()
    }

    fn merged(&mut self, _name: &str) -> Vec<(u32, u32)> {
        Vec::new()
    }

    fn read(
        &mut self,
        name: &str,
        limit: usize,
        sink: &mut RowSink<'_>,
    ) -> Result<(), ExamineError> {
        let mut failed = None;
        let mut walk = Walk::default();
        self.with_content(|reader, buffer| {
            walk.run(
                reader,
                buffer,
                name,
                limit,
                &mut |row, cells| match sink(row, cells) {
                    Ok(()) => true,
                    Err(error) => {
                        failed = Some(error);
                        false
                    }
                },
            )
        })?;
        if walk.too_wide {
            return Err(super::too_wide(self.file));
        }
        failed.map_or(Ok(()), Err)
    }
}

/// The place in the document while it is read.
#[derive(Default)]
struct Walk {
    inside: bool,
    row: u64,
    row_repeat: u64,
    cells: Vec<Cell>,
    /// Empty cells not yet put down, since most rows end in thousands of them.
    gap: usize,
    cell: Option<OpenCell>,
    skip_depth: u32,
    rows: usize,
    too_wide: bool,
}

/// A cell whose content is still being read.
struct OpenCell {
    repeat: usize,
    value: Option<Cell>,
    text: String,
    paragraphs: u32,
}

impl Walk {
    fn run(
        &mut self,
        reader: &mut Reader<BufReader<&mut dyn Read>>,
        buffer: &mut Vec<u8>,
        name: &str,
        limit: usize,
        sink: &mut dyn FnMut(u32, &[Cell]) -> bool,
    ) -> Result<(), String> {
        loop {
            buffer.clear();
            match reader.read_event_into(buffer).map_err(|e| e.to_string())? {
                Event::Eof => return Ok(()),
                Event::Start(e) => self.open(&e, name),
                Event::Text(text) if self.skip_depth == 0 => {
                    if let Some(cell) = &mut self.cell {
                        push_text(&mut cell.text, &text.xml10_content());
                    }
                }
                Event::GeneralRef(entity) if self.skip_depth == 0 => {
                    if let Some(cell) = &mut self.cell {
                        push_text(&mut cell.text, &entity_text(&entity));
                    }
                }
                Event::End(e) => match e.name().as_ref() {
                    "office:annotation" => self.skip_depth = self.skip_depth.saturating_sub(1),
                    "table:table-cell" | "table:covered-table-cell" => self.close_cell(),
                    "table:table-row" if self.inside && !self.close_row(limit, sink) => {
                        return Ok(());
                    }
                    "table:table" if self.inside => return Ok(()),
                    _ => {}
                },
                _ => {}
            }
            if self.too_wide {
                return Ok(());
            }
        }
    }

    fn open(&mut self, e: &BytesStart<'_>, name: &str) {
        match e.name().as_ref() {
            "table:table" => {
                self.inside = attribute(e, "table:name").unwrap_or_default() == name;
            }
            "table:table-row" if self.inside => {
                self.cells.clear();
                self.gap = 0;
                self.row_repeat = repeat(e, "table:number-rows-repeated");
            }
            "table:table-cell" | "table:covered-table-cell" if self.inside => {
                let repeat = repeat(e, "table:number-columns-repeated");
                self.cell = Some(OpenCell {
                    repeat: usize::try_from(repeat).unwrap_or(usize::MAX),
                    value: value(e),
                    text: String::new(),
                    paragraphs: 0,
                });
            }
            "office:annotation" => self.skip_depth += 1,
            "text:p" if self.skip_depth == 0 => {
                if let Some(cell) = &mut self.cell {
                    cell.paragraphs += 1;
                    if cell.paragraphs > 1 {
                        push_text(&mut cell.text, "\n");
                    }
                }
            }
            "text:s" | "text:tab" | "text:line-break" => {
                if let Some(cell) = &mut self.cell {
                    push_text(&mut cell.text, " ");
                }
            }
            _ => {}
        }
    }

    fn close_cell(&mut self) {
        let Some(open) = self.cell.take() else { return };
        let cell = open.value.unwrap_or_else(|| super::text_cell(&open.text));
        if cell.is_empty() {
            self.gap = self.gap.saturating_add(open.repeat);
            return;
        }
        let end = self
            .cells
            .len()
            .saturating_add(self.gap)
            .saturating_add(open.repeat);
        if end > MAX_COLUMNS {
            self.too_wide = true;
            return;
        }
        self.cells.resize(self.cells.len() + self.gap, Cell::Empty);
        self.gap = 0;
        self.cells.resize(end, cell);
    }

    /// Hands the row on and returns whether to go on. Repeated empty rows only move the count.
    fn close_row(&mut self, limit: usize, sink: &mut dyn FnMut(u32, &[Cell]) -> bool) -> bool {
        let first = self.row + 1;
        self.row = self.row.saturating_add(self.row_repeat);
        if self.cells.is_empty() {
            return true;
        }
        for number in first..=self.row {
            let Ok(number) = u32::try_from(number) else {
                return false;
            };
            if self.rows >= limit || !sink(number, &self.cells) {
                return false;
            }
            self.rows += 1;
        }
        true
    }
}

fn repeat(e: &BytesStart<'_>, name: &str) -> u64 {
    attribute(e, name)
        .and_then(|text| text.trim().parse().ok())
        .unwrap_or(1)
        .max(1)
}

fn push_text(text: &mut String, more: &str) {
    if text.len() + more.len() <= MAX_CELL_BYTES {
        text.push_str(more);
    }
}

fn attribute(e: &BytesStart<'_>, name: &str) -> Option<String> {
    let found = e
        .attributes()
        .with_checks(false)
        .flatten()
        .find(|a| a.key.as_ref() == name)?;
    let raw = found.value.as_ref();
    Some(quick_xml::escape::unescape(raw).map_or_else(|_| raw.to_owned(), |text| text.into_owned()))
}

fn entity_text(entity: &str) -> String {
    let wrapped = format!("&{entity};");
    quick_xml::escape::unescape(&wrapped)
        .map(|text| text.into_owned())
        .unwrap_or_default()
}

/// Returns the typed value of a cell, or nothing when its text is the value.
fn value(e: &BytesStart<'_>) -> Option<Cell> {
    let kind = attribute(e, "office:value-type")?;
    match kind.as_str() {
        "float" | "percentage" | "currency" => attribute(e, "office:value")?
            .trim()
            .parse()
            .ok()
            .map(Cell::number),
        "date" => Some(super::iso_cell(&attribute(e, "office:date-value")?)),
        "time" => Some(super::iso_duration(&attribute(e, "office:time-value")?)),
        "boolean" => Some(Cell::Bool(attribute(e, "office:boolean-value")? == "true")),
        "string" => attribute(e, "office:string-value").map(|text| super::text_cell(&text)),
        _ => None,
    }
}
