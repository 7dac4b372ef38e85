//! The rows a reference is fitted to: age and value, or counts in bins of both.
//! Refuses what is not a number and names the cell; drops nothing unsaid.

use plimsoll_examine::{Sheet, read_table};
use plimsoll_measure::growth::{Cell as Bin, Row, Sample};

use crate::study::cells::{Content, number};
use crate::study::{CellFault, StudyError};

const BINS: [&str; 5] = ["age_from", "age_to", "lower", "upper", "count"];

/// Which columns hold what.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Columns {
    /// Header of the age, years.
    pub age: String,
    /// Header of the value.
    pub value: String,
    /// Whether the rows are counts in bins: age_from, age_to, lower, upper, count.
    pub binned: bool,
}

impl Default for Columns {
    fn default() -> Self {
        Self {
            age: "age".to_owned(),
            value: "value".to_owned(),
            binned: false,
        }
    }
}

/// A sample with the points for drawing.
#[derive(Debug, Clone)]
pub struct ReferenceSample {
    /// What is fitted.
    pub sample: Sample,
    /// Age and value a person; empty for bins.
    pub points: Vec<(f64, f64)>,
    /// How the file was read.
    pub notes: Vec<String>,
    /// SHA-256 of the file.
    pub sha256: String,
}

/// Reads a sample from the bytes of a CSV, TSV, XLSX or ODS file.
///
/// # Errors
///
/// [`StudyError`] with row and column of what cannot be used.
pub fn read_sample(
    name: &str,
    bytes: &[u8],
    wanted: Option<&str>,
    columns: &Columns,
) -> Result<ReferenceSample, StudyError> {
    let (facts, sheet) = read_table(name, bytes, wanted)?;
    let mut notes: Vec<String> = sheet.notes().iter().map(|n| n.text.clone()).collect();
    let mut points = Vec::new();
    let sample = if columns.binned {
        let cells = read(name, &sheet, BINS, [false, false, true, true, false])?;
        let bins: Vec<Bin> = cells
            .iter()
            .map(|&[from, to, lower, upper, count]| Bin {
                age: (from.unwrap_or(f64::NAN), to.unwrap_or(f64::NAN)),
                lower: lower.unwrap_or(0.0),
                upper: upper.unwrap_or(f64::INFINITY),
                count: count.unwrap_or(f64::NAN),
            })
            .collect();
        notes.push(format!("read as {} bins of age and value", bins.len()));
        Sample::from_cells(&bins)?
    } else {
        let wanted = [columns.age.as_str(), columns.value.as_str()];
        let cells = read(name, &sheet, wanted, [true, true])?;
        let all = cells.len();
        points = cells
            .iter()
            .filter_map(|&[age, value]| age.zip(value))
            .collect();
        if points.len() < all {
            notes.push(format!(
                "{} rows lack an age or a value and are left out",
                all - points.len()
            ));
        }
        let rows: Vec<Row> = points
            .iter()
            .map(|&(age, value)| Row::new(age, value))
            .collect();
        Sample::from_rows(&rows)?
    };
    Ok(ReferenceSample {
        sample,
        points,
        notes,
        sha256: facts.sha256,
    })
}

/// Reads the named columns; where `may_lack` is set a cell may be empty.
fn read<const N: usize>(
    name: &str,
    sheet: &Sheet,
    wanted: [&str; N],
    may_lack: [bool; N],
) -> Result<Vec<[Option<f64>; N]>, StudyError> {
    let plain = |text: &str| {
        let text = text.split(['(', '[']).next().unwrap_or(text);
        text.trim().to_lowercase().replace(' ', "_")
    };
    let mut at = [0; N];
    for (place, header) in at.iter_mut().zip(wanted) {
        let exact = sheet.columns().iter().position(|c| c.header() == header);
        let near = || {
            sheet
                .columns()
                .iter()
                .position(|c| plain(c.header()) == plain(header))
        };
        let Some(found) = exact.or_else(near) else {
            let headers: Vec<&str> = sheet.columns().iter().map(|c| c.header()).collect();
            return Err(StudyError::Columns {
                file: name.to_owned(),
                row: sheet.header_row(),
                found: format!("{}, no column `{header}`", headers.join(", ")),
                allowed: if N == BINS.len() {
                    "age_from, age_to, lower, upper and count for bins"
                } else {
                    "a column of ages in years and one of values"
                },
                next: "name the columns with --age-column and --value-column, or say --binned",
            });
        };
        *place = found;
    }
    let mut faults = Vec::new();
    let mut rows = Vec::with_capacity(sheet.rows());
    for row in 0..sheet.rows() {
        let mut values = [None; N];
        for (i, value) in values.iter_mut().enumerate() {
            let column = &sheet.columns()[at[i]];
            let allowed = match number(column.cell(row)) {
                Content::Number(found) => {
                    *value = Some(found);
                    continue;
                }
                Content::Missing if may_lack[i] => continue,
                Content::Missing => "a number in every row of a bin".to_owned(),
                Content::Fault(allowed) => allowed,
            };
            faults.push(CellFault {
                row: sheet.number(row),
                column: column.header().to_owned(),
                found: column.cell(row).to_string().chars().take(40).collect(),
                allowed,
            });
        }
        rows.push(values);
    }
    if faults.is_empty() {
        return Ok(rows);
    }
    Err(StudyError::Cells {
        file: name.to_owned(),
        faults,
    })
}
