//! The rows of a mixed model as cells under headers, from a sheet or made out of the archive.
//! Reads nothing into a cell; what a column is used for decides that.

use plimsoll_examine::{Cell, read_table};

use super::error::MixedError;

/// A column of cells.
#[derive(Debug, Clone)]
pub(super) struct TableColumn {
    pub(super) header: String,
    pub(super) cells: Vec<Cell>,
}

/// Rows under headers.
#[derive(Debug, Clone)]
pub struct MixedTable {
    /// The file, or where the rows come from.
    pub(super) name: String,
    /// Where the headers stand, for messages.
    pub(super) place: String,
    pub(super) columns: Vec<TableColumn>,
    /// The row a spreadsheet shows, or the number of the row in the archive's table.
    pub(super) rows: Vec<u32>,
    /// What the rows are called, when not by their numbers.
    pub(super) names: Vec<String>,
    /// How the table was read.
    pub notes: Vec<String>,
    /// Unit of the outcome when its header does not say.
    pub(super) unit: String,
}

impl MixedTable {
    /// Returns the headers.
    pub fn headers(&self) -> impl Iterator<Item = &str> {
        self.columns.iter().map(|c| c.header.as_str())
    }

    /// Returns what a row is called.
    pub(super) fn row_name(&self, row: usize) -> String {
        let named = self.names.get(row).cloned();
        named.unwrap_or_else(|| format!("row {}", self.rows[row]))
    }

    /// Returns whether there is such a column.
    pub(super) fn has(&self, wanted: &str) -> bool {
        self.column(wanted).is_ok()
    }

    /// Finds a column by its header, as written or but for case, spaces and a unit in brackets.
    pub(super) fn column(&self, wanted: &str) -> Result<&TableColumn, MixedError> {
        let plain = |text: &str| {
            let text = text.split(['(', '[']).next().unwrap_or(text);
            text.trim().to_lowercase().replace(' ', "_")
        };
        let exact = self.columns.iter().find(|c| c.header == wanted);
        let near = || {
            let name = plain(wanted);
            let mut all = self.columns.iter().filter(|c| plain(&c.header) == name);
            all.next().filter(|_| all.next().is_none())
        };
        exact.or_else(near).ok_or_else(|| MixedError::NoColumn {
            place: self.place.clone(),
            wanted: wanted.to_owned(),
            found: self
                .headers()
                .take(20)
                .map(|h| format!("`{h}`"))
                .collect::<Vec<_>>()
                .join(", "),
        })
    }
}

/// Returns the unit that stands in brackets in a header.
pub(super) fn unit_of(header: &str) -> Option<&str> {
    let (_, after) = header.split_once(['(', '['])?;
    let unit = after.trim_end().strip_suffix([')', ']'])?.trim();
    (!unit.is_empty()).then_some(unit)
}

/// Reads the rows out of the bytes of a CSV, TSV, XLSX or ODS file.
///
/// # Errors
///
/// [`MixedError`] when the bytes are no table.
pub fn read_mixed(
    name: &str,
    bytes: &[u8],
    wanted: Option<&str>,
) -> Result<MixedTable, MixedError> {
    let (_, sheet) = read_table(name, bytes, wanted)?;
    let notes = sheet.notes().iter().map(|note| match note.row {
        Some(row) => format!("row {row}: {}", note.text),
        None => note.text.clone(),
    });
    Ok(MixedTable {
        name: name.to_owned(),
        place: format!("`{name}`, row {} (header)", sheet.header_row()),
        notes: notes.collect(),
        columns: sheet
            .columns()
            .iter()
            .map(|c| TableColumn {
                header: c.header().to_owned(),
                cells: c.iter().cloned().collect(),
            })
            .collect(),
        names: Vec::new(),
        rows: (0..sheet.rows()).map(|row| sheet.number(row)).collect(),
        unit: String::new(),
    })
}
