//! Reads the table of a study: a row a person and a column a trial, or person, trial, value.
//! Which of the two, and whether cells are labels, is said in the notes; nothing is dropped unsaid.

mod layout;
mod twice;

use plimsoll_examine::{Sheet, read_table};
use plimsoll_interpret::data::TestScale;
use plimsoll_ladder::Test;
use plimsoll_measure::study::{LongRow, Trials};

use super::cells::{self, Content};
use super::error::{CellFault, StudyError};
use layout::{Placed, long, long_columns, wide, word};
use twice::twice;

const LABELS: [&str; 4] = ["label", "level", "stage", "level reached"];

/// The values of a study with the names of people and trials.
#[derive(Debug, Clone)]
pub struct StudyTable {
    /// Values; a person's mark is the index in `people`, a trial's number its place in `trials` from 1.
    pub values: Trials,
    /// Names of the people.
    pub people: Vec<String>,
    /// Names of the trials.
    pub trials: Vec<String>,
    /// Unit of the values; empty when not known.
    pub unit: String,
    /// Where the values come from and how they were read.
    pub notes: Vec<String>,
    /// Middle age of the people, years, where known.
    pub age: Option<f64>,
}

/// Reads a study from the bytes of a CSV, TSV, XLSX or ODS file.
///
/// # Errors
///
/// [`StudyError`] with row and column of what cannot be used.
pub fn read_study(
    name: &str,
    bytes: &[u8],
    wanted: Option<&str>,
    test: Option<(&Test, Option<&TestScale>)>,
) -> Result<StudyTable, StudyError> {
    let (_, sheet) = read_table(name, bytes, wanted)?;
    let mut notes: Vec<String> = sheet
        .notes()
        .iter()
        .map(|note| match note.row {
            Some(row) => format!("row {row}: {}", note.text),
            None => note.text.clone(),
        })
        .collect();
    let (people, trials, placed, shape) = match long_columns(&sheet) {
        Some(at) => long(name, &sheet, at)?,
        None => wide(name, &sheet)?,
    };
    notes.push(shape);
    let labels = as_labels(&sheet, &placed, test);
    if labels && test.is_none() {
        return Err(StudyError::Labels {
            file: name.to_owned(),
            row: sheet.header_row(),
            found: headers(&sheet),
        });
    }
    let mut rows = Vec::with_capacity(placed.len());
    let mut faults = Vec::new();
    for place in &placed {
        let content = match test {
            Some((test, scale)) if labels => cells::label(place.cell, test, scale),
            _ => cells::number(place.cell),
        };
        match content {
            Content::Missing => {}
            Content::Number(value) => rows.push(LongRow {
                person: place.person as u64,
                trial: place.trial as u32 + 1,
                value,
            }),
            Content::Fault(allowed) => faults.push(CellFault {
                row: place.row,
                column: place.column.to_owned(),
                found: place.cell.to_string().chars().take(40).collect(),
                allowed,
            }),
        }
    }
    if !faults.is_empty() {
        return Err(StudyError::Cells {
            file: name.to_owned(),
            faults,
        });
    }
    let empty = placed.len() - rows.len();
    if empty > 0 {
        notes.push(match empty {
            1 => "one cell is empty and counts as missing".to_owned(),
            n => format!("{n} cells are empty and count as missing"),
        });
    }
    if let (true, Some((test, _))) = (labels, test) {
        notes.push(format!("cells were read as labels of {}", test.id()));
    }
    twice(name, &sheet, &placed, &people, &trials)?;
    let unit = test.map_or("", |(_, scale)| scale.map_or("m", |s| s.unit.as_str()));
    Ok(StudyTable {
        values: Trials::long(&rows)?,
        people,
        trials,
        unit: unit.to_owned(),
        notes,
        age: None,
    })
}

/// Whether cells are labels: a header says so, or with a test all are labels and not all are values.
fn as_labels(
    sheet: &Sheet,
    placed: &[Placed<'_>],
    test: Option<(&Test, Option<&TestScale>)>,
) -> bool {
    let said = |p: &Placed<'_>| LABELS.contains(&word(p.column).as_str());
    if !placed.is_empty() && placed.iter().all(said) {
        return true;
    }
    let Some((test, scale)) = test else {
        return false;
    };
    let unit_said = sheet
        .columns()
        .iter()
        .any(|c| c.header().contains(['(', '[']));
    let filled = placed.iter().filter(|p| !p.cell.is_empty());
    let on_ladder = filled
        .filter(|p| {
            matches!(cells::label(p.cell, test, scale), Content::Number(_))
                && p.cell.to_string().contains(['.', ','])
        })
        .count();
    let filled = placed.iter().filter(|p| !p.cell.is_empty()).count();
    !unit_said && filled > 0 && on_ladder * 2 > filled
}

fn headers(sheet: &Sheet) -> String {
    let found: Vec<&str> = sheet
        .columns()
        .iter()
        .map(|c| c.header())
        .take(12)
        .collect();
    found.join(", ")
}

fn columns(name: &str, sheet: &Sheet, allowed: &'static str, next: &'static str) -> StudyError {
    StudyError::Columns {
        file: name.to_owned(),
        row: sheet.header_row(),
        found: headers(sheet),
        allowed,
        next,
    }
}
