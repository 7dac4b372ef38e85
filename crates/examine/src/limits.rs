//! The sizes beyond which a file is refused instead of read, each with its reason.
//! Only constants. No source: chosen so that the largest files of the job fit several times over.

/// Largest text file, bytes: a national survey of a million pupils takes about 100 MiB.
pub const MAX_TEXT_BYTES: u64 = 512 << 20;
/// Largest workbook file, bytes, as it lies on disk (compressed).
pub const MAX_WORKBOOK_BYTES: u64 = 64 << 20;
/// Largest workbook once unpacked, bytes, all parts together: stops a file that unpacks without end.
pub const MAX_UNPACKED_BYTES: u64 = 512 << 20;
/// Most parts inside a workbook.
pub const MAX_PARTS: usize = 4_096;
/// Most rows of data in one sheet.
pub const MAX_ROWS: usize = 1_000_000;
/// Most columns in one sheet.
pub const MAX_COLUMNS: usize = 256;
/// Most cells in one sheet: a cell costs four bytes and the text it does not share.
pub const MAX_CELLS: usize = 30_000_000;
/// Longest cell, bytes; what is longer is cut, and a note says so.
pub const MAX_CELL_BYTES: usize = 4_096;
/// Most bytes of different cell texts in one sheet.
pub const MAX_TEXT_KEPT: usize = 256 << 20;
/// Most lines inside one quoted cell before the quotation mark counts as never closed.
pub const MAX_QUOTED_LINES: u32 = 64;
/// Rows looked at to find the header, the separator and the right sheet.
pub const LOOK_AHEAD_ROWS: usize = 60;
/// Most findings listed for one code; the rest is counted.
pub const MAX_LISTED_PER_CODE: usize = 50;
/// Most remarks about the file itself; the rest is counted.
pub const MAX_NOTES: usize = 50;
