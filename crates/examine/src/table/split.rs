//! Splits delimited text into records and counts rows the way a spreadsheet does.
//! Blank lines count as rows; a line break inside quotation marks does not. One cell stays bounded.

use std::io::{self, BufRead};

use crate::limits::{MAX_CELL_BYTES, MAX_COLUMNS, MAX_QUOTED_LINES};

/// What stops a record from being read.
#[derive(Debug)]
pub(crate) enum SplitError {
    /// The file could not be read further.
    Io(io::Error),
    /// A quotation mark that never closes: row and column from 1.
    OpenQuote { row: u32, column: usize },
    /// More columns than allowed, in this row.
    TooWide,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum State {
    /// Before the first byte of a cell.
    Start,
    /// Inside a cell without quotation marks, or after its closing mark.
    Plain,
    /// Between quotation marks.
    Quoted,
    /// After a mark that either closes the cell or is the first of two.
    Mark,
}

/// A reader of records.
pub(crate) struct Splitter<R> {
    input: R,
    delimiter: u8,
    row: u32,
    swallow_line_feed: bool,
    ended: bool,
    /// Cells that were cut because they were too long.
    pub cut_cells: u64,
}

/// One record: cells end to end in one text, with the end of each.
#[derive(Debug, Default)]
pub(crate) struct Record {
    text: Vec<u8>,
    ends: Vec<usize>,
    /// Cells up to and including this one have been counted as cut.
    counted: usize,
}

impl Record {
    /// Returns the cells; bytes are UTF-8 as long as the input is.
    pub fn cells(&self) -> impl Iterator<Item = std::borrow::Cow<'_, str>> {
        let mut start = 0;
        self.ends.iter().map(move |end| {
            let cell = self.text.get(start..*end).unwrap_or_default();
            start = *end;
            String::from_utf8_lossy(cell)
        })
    }

    fn clear(&mut self) {
        self.text.clear();
        self.ends.clear();
        self.counted = 0;
    }

    fn cell_start(&self) -> usize {
        self.ends.last().copied().unwrap_or(0)
    }
}

impl<R: BufRead> Splitter<R> {
    /// Starts at the first row.
    pub const fn new(input: R, delimiter: u8) -> Self {
        Self {
            input,
            delimiter,
            row: 0,
            swallow_line_feed: false,
            ended: false,
            cut_cells: 0,
        }
    }

    /// Gives the input back.
    pub fn into_inner(self) -> R {
        self.input
    }

    /// Reads the next record and returns its row from 1, or nothing at the end.
    pub fn next(&mut self, record: &mut Record) -> Result<Option<u32>, SplitError> {
        record.clear();
        if self.ended {
            return Ok(None);
        }
        self.row += 1;
        let mut state = State::Start;
        let mut quoted_lines = 0_u32;
        let mut any = false;
        loop {
            let block = self.input.fill_buf().map_err(SplitError::Io)?;
            if block.is_empty() {
                self.ended = true;
                if state == State::Quoted {
                    return Err(self.open_quote(record));
                }
                if !any {
                    return Ok(None);
                }
                record.ends.push(record.text.len());
                return Ok(Some(self.row));
            }
            let mut used = 0;
            let mut done = false;
            for byte in block.iter().copied() {
                used += 1;
                if std::mem::take(&mut self.swallow_line_feed) && byte == b'\n' {
                    continue;
                }
                any = true;
                let in_quotes = state == State::Quoted;
                match (state, byte) {
                    (State::Start, b'"') => state = State::Quoted,
                    (State::Quoted, b'"') => state = State::Mark,
                    (State::Mark, b'"') => {
                        push(record, byte, &mut self.cut_cells);
                        state = State::Quoted;
                    }
                    (_, b'\r' | b'\n') if !in_quotes => {
                        self.swallow_line_feed = byte == b'\r';
                        done = true;
                        break;
                    }
                    (_, _) if byte == self.delimiter && !in_quotes => {
                        record.ends.push(record.text.len());
                        if record.ends.len() >= MAX_COLUMNS {
                            return Err(SplitError::TooWide);
                        }
                        state = State::Start;
                    }
                    (_, _) => {
                        if in_quotes && byte == b'\n' {
                            quoted_lines += 1;
                        }
                        if quoted_lines > MAX_QUOTED_LINES {
                            let column = record.ends.len() + 1;
                            return Err(SplitError::OpenQuote {
                                row: self.row,
                                column,
                            });
                        }
                        push(record, byte, &mut self.cut_cells);
                        if !in_quotes {
                            state = State::Plain;
                        }
                    }
                }
            }
            self.input.consume(used);
            if done {
                record.ends.push(record.text.len());
                return Ok(Some(self.row));
            }
        }
    }

    const fn open_quote(&self, record: &Record) -> SplitError {
        SplitError::OpenQuote {
            row: self.row,
            column: record.ends.len() + 1,
        }
    }
}

/// Adds a byte to the open cell, or counts the cell once as cut when it is full.
fn push(record: &mut Record, byte: u8, cut_cells: &mut u64) {
    if record.text.len() - record.cell_start() < MAX_CELL_BYTES {
        record.text.push(byte);
    } else if record.counted <= record.ends.len() {
        record.counted = record.ends.len() + 1;
        *cut_cells += 1;
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn split(text: &str) -> Vec<(u32, Vec<String>)> {
        let mut splitter = Splitter::new(text.as_bytes(), b',');
        let mut record = Record::default();
        let mut rows = Vec::new();
        while let Some(row) = splitter.next(&mut record).expect("quotes close") {
            rows.push((row, record.cells().map(|c| c.into_owned()).collect()));
        }
        rows
    }

    #[test]
    fn rows_are_counted_as_a_spreadsheet_shows_them() {
        let rows = split("a,b\r\n\r\n\"x\ny\",2\r\n3,4");
        let numbers: Vec<u32> = rows.iter().map(|r| r.0).collect();
        assert_eq!(numbers, [1, 2, 3, 4]);
        assert_eq!(rows[2].1, ["x\ny", "2"]);
        assert_eq!(rows[3].1, ["3", "4"]);
    }

    #[test]
    fn a_quotation_mark_that_never_closes_is_named() {
        let mut splitter = Splitter::new(&b"a,b\n1,\"x\n2,y\n"[..], b',');
        let mut record = Record::default();
        assert!(matches!(splitter.next(&mut record), Ok(Some(1))));
        let error = splitter.next(&mut record);
        assert!(matches!(
            error,
            Err(SplitError::OpenQuote { row: 2, column: 2 })
        ));
    }

    #[test]
    fn a_long_cell_is_cut_and_counted() {
        let text = format!("{},b\n", "x".repeat(2 * MAX_CELL_BYTES));
        let mut splitter = Splitter::new(text.as_bytes(), b',');
        let mut record = Record::default();
        splitter.next(&mut record).expect("reads").expect("one row");
        let cells: Vec<String> = record.cells().map(|c| c.into_owned()).collect();
        assert_eq!(cells[0].len(), MAX_CELL_BYTES);
        assert_eq!((cells[1].as_str(), splitter.cut_cells), ("b", 1));
    }

    proptest! {
        /// Source: the csv crate, a general-purpose reader, on text without blank lines, which it
        /// skips and this one counts.
        #[test]
        fn cells_agree_with_the_csv_crate(
            rows in prop::collection::vec(
                prop::collection::vec("[a-z0-9 ,\"\n]{0,6}", 2..5), 1..8)
        ) {
            let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
            for row in &rows {
                writer.write_record(row).expect("memory");
            }
            let text = String::from_utf8(writer.into_inner().expect("memory")).expect("UTF-8");
            let ours: Vec<Vec<String>> = split(&text).into_iter().map(|r| r.1).collect();
            let theirs: Vec<Vec<String>> = csv::ReaderBuilder::new()
                .flexible(true).has_headers(false).from_reader(text.as_bytes())
                .into_records()
                .map(|r| r.expect("csv").iter().map(str::to_owned).collect())
                .collect();
            prop_assert_eq!(ours, theirs);
        }
    }
}
