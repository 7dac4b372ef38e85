//! Reads delimited text: decodes, finds the separator, splits, and hands rows on as text cells.
//! Streams: no more than one block and one record are held at a time.

use std::io::{Read, Seek, SeekFrom};

use encoding_rs::Encoding;

use super::build::Builder;
use super::cell::Cell;
use super::decode::Decoding;
use super::layout::Heading;
use super::sheet::Sheet;
use super::split::{Record, SplitError, Splitter};
use super::{delimiter, text_cell, too_wide};
use crate::error::ExamineError;
use crate::limits::{MAX_CELL_BYTES, MAX_QUOTED_LINES};

/// Bytes of text looked at to find the separator.
const SAMPLE: u64 = 64 << 10;

/// Reads text and returns the sheet and its separator.
pub(super) fn read(
    file: &str,
    mut input: impl Read + Seek,
    encoding: &'static Encoding,
    heading: Heading,
) -> Result<(Sheet, u8), ExamineError> {
    let io = |source| ExamineError::Read {
        file: file.to_owned(),
        source,
    };
    input.seek(SeekFrom::Start(0)).map_err(io)?;
    let mut sample = Vec::new();
    Decoding::new(&mut input, encoding)
        .take(SAMPLE)
        .read_to_end(&mut sample)
        .map_err(io)?;
    let sample = String::from_utf8_lossy(&sample);
    let separator = delimiter::find(&sample);
    let has_declaration = delimiter::declared(&sample).is_some();
    input.seek(SeekFrom::Start(0)).map_err(io)?;

    let mut splitter = Splitter::new(Decoding::new(input, encoding), separator);
    let mut builder = Builder::new(file, heading);
    let mut record = Record::default();
    let mut cells: Vec<Cell> = Vec::new();
    // A line `sep=;` is not shown by a spreadsheet, so the rows below it count from 1.
    let mut hidden = 0;
    loop {
        let row = match splitter.next(&mut record) {
            Ok(None) => break,
            Ok(Some(1)) if has_declaration => {
                hidden = 1;
                continue;
            }
            Ok(Some(row)) => row - hidden,
            Err(SplitError::Io(source)) => return Err(io(source)),
            Err(SplitError::TooWide) => return Err(too_wide(file)),
            Err(SplitError::OpenQuote { row, column }) => {
                return Err(ExamineError::OpenQuote {
                    file: file.to_owned(),
                    row: row - hidden,
                    column,
                    allowed: MAX_QUOTED_LINES,
                });
            }
        };
        cells.clear();
        cells.extend(record.cells().map(|cell| text_cell(&cell)));
        while cells.last().is_some_and(Cell::is_empty) {
            cells.pop();
        }
        builder.row(row, &cells)?;
    }
    if splitter.cut_cells > 0 {
        let n = splitter.cut_cells;
        builder.note(
            None,
            format!("{n} cells longer than {MAX_CELL_BYTES} bytes were cut"),
        );
    }
    let broken = splitter.into_inner().broken_blocks;
    if broken > 0 {
        let name = encoding.name();
        builder.note(
            None,
            format!("some characters are not {name}; they show as \u{fffd}"),
        );
    }
    Ok((builder.finish()?, separator))
}
