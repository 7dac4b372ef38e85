//! Cells, headers and widths of one sheet.
//! Must not accept a formula: text goes in as text whatever it begins with.

use rust_xlsxwriter::{Color, Format, FormatAlign, FormatBorder, Worksheet, XlsxError};

/// Longest text a cell of the format can hold, characters.
const CELL_LIMIT: usize = 32_767;

/// Height of a line, points.
const LINE: f64 = 15.0;
/// Most lines a row grows to: the format ends at 409 points.
const MOST_LINES: usize = 26;

/// One cell.
pub enum Cell {
    /// A text, also when it looks like a number or a formula.
    Text(String),
    /// A number in its column's decimals; missing or not finite gives an empty cell.
    Number(Option<f64>),
    /// A number in decimals of its own.
    Amount(Option<f64>, usize),
}

impl Cell {
    /// Returns a text cell.
    pub fn text(text: impl Into<String>) -> Self {
        Self::Text(text.into())
    }
}

/// The few cell styles in use.
pub struct Styles {
    head: Format,
    text: Format,
    numbers: [Format; 4],
}

impl Styles {
    /// Returns the styles.
    pub fn new() -> Self {
        let base = || Format::new().set_align(FormatAlign::Top);
        Self {
            head: base()
                .set_bold()
                .set_text_wrap()
                .set_border_bottom(FormatBorder::Medium)
                .set_background_color(Color::RGB(0xED_E6_D8)),
            text: base().set_text_wrap().set_num_format("@"),
            numbers: ["0", "0.0", "0.00", "0.000"].map(|f| base().set_num_format(f)),
        }
    }
}

/// A column: header, width in characters, decimals for its numbers.
pub struct Column {
    head: String,
    width: f64,
    decimals: usize,
}

/// Returns a column.
pub fn col(head: impl Into<String>, width: f64, decimals: usize) -> Column {
    Column {
        head: head.into(),
        width,
        decimals,
    }
}

/// Writes a table with a frozen header, and returns the row after it.
pub fn table(
    sheet: &mut Worksheet,
    styles: &Styles,
    columns: &[Column],
    rows: impl IntoIterator<Item = Vec<Cell>>,
) -> Result<u32, XlsxError> {
    for (i, column) in (0u16..).zip(columns) {
        sheet.set_column_width(i, column.width)?;
        sheet.write_string_with_format(0, i, &column.head, &styles.head)?;
    }
    sheet.set_freeze_panes(1, 0)?;
    let lines = columns.iter().map(|c| lines_of(&c.head, c.width)).max();
    sheet.set_row_height(0, LINE * lines.unwrap_or(1) as f64 + 2.0)?;
    let mut at = 1;
    for row in rows {
        let lines = row.iter().zip(columns).map(|(cell, column)| match cell {
            Cell::Text(text) => lines_of(text, column.width),
            Cell::Number(_) | Cell::Amount(..) => 1,
        });
        let lines = lines.max().unwrap_or(1).min(MOST_LINES);
        sheet.set_row_height(at, LINE * lines as f64)?;
        for ((i, cell), column) in (0u16..).zip(row).zip(columns) {
            write(sheet, styles, (at, i), cell, column.decimals)?;
        }
        at += 1;
    }
    sheet.set_landscape();
    sheet.set_print_fit_to_pages(1, 0);
    sheet.set_repeat_rows(0, 0)?;
    Ok(at)
}

fn write(
    sheet: &mut Worksheet,
    styles: &Styles,
    (row, column): (u32, u16),
    cell: Cell,
    decimals: usize,
) -> Result<(), XlsxError> {
    let (value, decimals) = match cell {
        Cell::Number(value) => (value, decimals),
        Cell::Amount(value, decimals) => (value, decimals),
        Cell::Text(text) if text.is_empty() => return Ok(()),
        Cell::Text(text) => {
            sheet.write_string_with_format(row, column, fit(text), &styles.text)?;
            return Ok(());
        }
    };
    if let Some(value) = value.filter(|v| v.is_finite()) {
        let format = &styles.numbers[decimals.min(3)];
        sheet.write_number_with_format(row, column, value, format)?;
    }
    Ok(())
}

/// Estimates how many lines a text takes in a column: some programs do not fit rows by themselves.
fn lines_of(text: &str, width: f64) -> usize {
    let units: usize = text
        .chars()
        .map(|c| if u32::from(c) < 0x1100 { 1 } else { 2 })
        .sum();
    let fit = (width * 0.9).max(1.0);
    ((units as f64 / fit).ceil() as usize).max(1)
}

/// Cuts what no cell can hold and says so with "…".
fn fit(text: String) -> String {
    if text.encode_utf16().count() <= CELL_LIMIT {
        return text;
    }
    let mut left = CELL_LIMIT - 1;
    let mut out: String = text
        .chars()
        .take_while(|c| {
            let needed = c.len_utf16();
            let fits = needed <= left;
            left = left.saturating_sub(needed);
            fits
        })
        .collect();
    out.push('…');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_longer_than_a_cell_is_cut_visibly() {
        let cut = fit("😀".repeat(40_000));
        assert!(cut.encode_utf16().count() <= CELL_LIMIT && cut.ends_with('…'));
        assert_eq!(fit("14.10".to_owned()), "14.10");
    }
}
