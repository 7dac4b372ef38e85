//! Opens a file: says what it is, chooses the sheet that looks most like results, reads it.
//! The only place that touches the disk, and only the path the caller gives.

use std::fs::File;
use std::io::{BufReader, Cursor, Read, Seek, SeekFrom};
use std::path::Path;

use serde::Serialize;

use super::build::Builder;
use super::cell::Cell;
use super::guard::{self, Workbook};
use super::layout::{self, Heading};
use super::ods::OdsSheets;
use super::sheet::Sheet;
use super::sniff::{self, Kind};
use super::xlsx::XlsxSheets;
use super::{Sheets, text};
use crate::error::ExamineError;
use crate::limits::{LOOK_AHEAD_ROWS, MAX_TEXT_BYTES, MAX_WORKBOOK_BYTES};

/// What was found out about the file before its cells were read.
#[derive(Debug, Clone, Serialize)]
pub struct FileFacts {
    /// Name given by the caller.
    pub name: String,
    /// SHA-256 of its bytes, hexadecimal.
    pub sha256: String,
    /// `text`, `xlsx` or `ods`.
    pub format: &'static str,
    /// Encoding of text, such as `UTF-8`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub encoding: Option<&'static str>,
    /// Separator of text: `comma`, `semicolon`, `tab` or `bar`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub separator: Option<&'static str>,
    /// The sheet read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sheet: Option<String>,
}

/// Opens a file on disk.
pub(crate) fn open_path(
    path: &Path,
    wanted: Option<&str>,
    heading: Heading,
) -> Result<(FileFacts, Sheet), ExamineError> {
    let name = path
        .file_name()
        .unwrap_or(path.as_os_str())
        .to_string_lossy()
        .into_owned();
    let io = |source| ExamineError::Read {
        file: name.clone(),
        source,
    };
    let file = File::open(path).map_err(io)?;
    open(&name, BufReader::new(file), wanted, heading)
}

/// Opens bytes already in memory.
pub(crate) fn open_bytes(
    name: &str,
    bytes: &[u8],
    wanted: Option<&str>,
    heading: Heading,
) -> Result<(FileFacts, Sheet), ExamineError> {
    open(name, Cursor::new(bytes), wanted, heading)
}

fn open(
    name: &str,
    mut input: impl Read + Seek,
    wanted: Option<&str>,
    heading: Heading,
) -> Result<(FileFacts, Sheet), ExamineError> {
    let io = |source| ExamineError::Read {
        file: name.to_owned(),
        source,
    };
    let sniffed = sniff::sniff(&mut input, MAX_TEXT_BYTES).map_err(io)?;
    if sniffed.bytes == 0 {
        return Err(ExamineError::Empty {
            file: name.to_owned(),
        });
    }
    let too_large = |allowed: u64| ExamineError::TooLarge {
        file: name.to_owned(),
        found: sniffed.bytes,
        allowed,
        unit: "bytes",
        advice: "split it, or delete columns that are not needed",
    };
    if sniffed.bytes > MAX_TEXT_BYTES {
        return Err(too_large(MAX_TEXT_BYTES));
    }
    let mut facts = FileFacts {
        name: name.to_owned(),
        sha256: sniffed.sha256.clone(),
        format: "text",
        encoding: None,
        separator: None,
        sheet: None,
    };
    match sniffed.kind {
        Kind::Other(what) => Err(ExamineError::NotASheet {
            file: name.to_owned(),
            found: what.to_owned(),
        }),
        Kind::Text(encoding, _) => {
            let (sheet, separator) = text::read(name, input, encoding, heading)?;
            facts.encoding = Some(encoding.name());
            facts.separator = Some(match separator {
                b';' => "semicolon",
                b'\t' => "tab",
                b'|' => "bar",
                _ => "comma",
            });
            Ok((facts, sheet))
        }
        Kind::Package if sniffed.bytes > MAX_WORKBOOK_BYTES => Err(too_large(MAX_WORKBOOK_BYTES)),
        Kind::Package => {
            input.seek(SeekFrom::Start(0)).map_err(io)?;
            let mut bytes = Vec::new();
            input.read_to_end(&mut bytes).map_err(io)?;
            let (format, (sheet_name, sheet)) = match guard::check(name, &bytes)? {
                Workbook::Xlsx => (
                    "xlsx",
                    from_workbook(name, XlsxSheets::open(name, &bytes)?, wanted, heading)?,
                ),
                Workbook::Ods => (
                    "ods",
                    from_workbook(name, OdsSheets::open(name, &bytes)?, wanted, heading)?,
                ),
            };
            facts.format = format;
            facts.sheet = Some(sheet_name);
            Ok((facts, sheet))
        }
    }
}

/// Chooses a sheet and reads it.
fn from_workbook(
    file: &str,
    mut book: impl Sheets,
    wanted: Option<&str>,
    heading: Heading,
) -> Result<(String, Sheet), ExamineError> {
    let names = book.names();
    let chosen = match wanted {
        Some(wanted) => {
            if !names.iter().any(|(n, _)| n == wanted) {
                return Err(ExamineError::NoSuchSheet {
                    file: file.to_owned(),
                    found: wanted.to_owned(),
                    allowed: names.into_iter().map(|n| n.0).collect(),
                });
            }
            wanted.to_owned()
        }
        None => best_sheet(&mut book, &names)?.ok_or_else(|| ExamineError::Empty {
            file: file.to_owned(),
        })?,
    };
    let mut builder = Builder::new(file, heading);
    book.read(&chosen, usize::MAX, &mut |row, cells| {
        builder.row(row, cells)
    })?;
    for (other, shown) in names.iter().filter(|(n, _)| *n != chosen) {
        let hidden = if *shown { "" } else { " (hidden)" };
        builder.note(None, format!("sheet `{other}`{hidden} was not read"));
    }
    for (first, last) in book.merged(&chosen) {
        builder.note(
            Some(first),
            format!("rows {first}-{last} are merged; only the first holds the value"),
        );
    }
    Ok((chosen, builder.finish()?))
}

/// Returns the sheet whose first rows hold the best header, the first of equals.
fn best_sheet(
    book: &mut impl Sheets,
    names: &[(String, bool)],
) -> Result<Option<String>, ExamineError> {
    let mut best: Option<(f64, &str)> = None;
    for (name, shown) in names {
        let mut rows: Vec<Vec<Cell>> = Vec::new();
        book.read(name, LOOK_AHEAD_ROWS, &mut |_, cells| {
            rows.push(cells.to_vec());
            Ok(())
        })?;
        let header = rows
            .iter()
            .map(|r| layout::header_score(r))
            .fold(0.0, f64::max);
        let filled = rows
            .iter()
            .filter(|r| r.iter().any(|c| !c.is_empty()))
            .count();
        if filled == 0 {
            continue;
        }
        // A sheet with rows below its header beats an empty form; a hidden one comes last.
        let score =
            (header + 0.001) * if filled > 1 { 1.0 } else { 0.2 } * if *shown { 1.0 } else { 0.5 };
        if best.is_none_or(|(b, _)| score > b) {
            best = Some((score, name));
        }
    }
    Ok(best.map(|(_, name)| name.to_owned()))
}

/// Reads a table of any content from bytes: the first row with two or more cells names the columns.
/// Rows that are not data (blanks, totals, the header again) are noted, as in an examination.
///
/// # Errors
///
/// [`ExamineError`] when the bytes are no table, have no header, no rows or are too large.
pub fn read_table(
    name: &str,
    bytes: &[u8],
    sheet: Option<&str>,
) -> Result<(FileFacts, Sheet), ExamineError> {
    open_bytes(name, bytes, sheet, Heading::First)
}
