//! The cells that a model uses, as numbers and labels; rows that lack one are left out and named.
//! A cell that holds something else is a fault with its place; nothing is guessed.

use std::collections::{BTreeMap, BTreeSet};

use plimsoll_examine::Cell;

use super::error::MixedError;
use super::table::MixedTable;
use crate::study::CellFault;
use crate::study::cells::{Content, number};

/// A row that was left out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Dropped {
    /// The row a spreadsheet shows.
    pub row: u32,
    /// What the row is called: its number, or the person and the day.
    pub name: String,
    /// The columns in which it has no value.
    pub columns: Vec<String>,
}

/// Which columns are read, by header.
#[derive(Debug, Clone, Default)]
pub(super) struct Needs {
    pub(super) numbers: BTreeSet<String>,
    pub(super) labels: BTreeSet<String>,
    /// Columns whose numbers must be above 0, with the reason.
    pub(super) above_zero: BTreeMap<String, &'static str>,
}

/// What was read, one value a row that was kept.
#[derive(Debug, Clone, Default)]
pub(super) struct Rows {
    pub(super) numbers: BTreeMap<String, Vec<f64>>,
    pub(super) labels: BTreeMap<String, Vec<String>>,
    pub(super) rows: Vec<u32>,
    pub(super) dropped: Vec<Dropped>,
}

impl Rows {
    /// Returns the numbers of a column that was asked for.
    pub(super) fn of(&self, header: &str) -> &[f64] {
        self.numbers.get(header).map_or(&[], Vec::as_slice)
    }

    /// Returns the labels of a column that was asked for.
    pub(super) fn labels_of(&self, header: &str) -> &[String] {
        self.labels.get(header).map_or(&[], Vec::as_slice)
    }
}

/// Longest piece of a cell that is shown.
const SHOWN: usize = 40;

fn fault(table: &MixedTable, row: usize, header: &str, cell: &Cell, allowed: String) -> CellFault {
    CellFault {
        row: table.rows[row],
        column: header.to_owned(),
        found: cell.to_string().chars().take(SHOWN).collect(),
        allowed,
    }
}

/// One cell as a number of the model.
fn read_number(cell: &Cell, above_zero: Option<&&'static str>) -> Content {
    match (number(cell), above_zero) {
        (Content::Number(value), Some(why)) if value <= 0.0 => {
            Content::Fault(format!("a number above 0, {why}"))
        }
        (Content::Fault(allowed), _) if matches!(cell, Cell::Text(_)) => Content::Fault(format!(
            "{allowed} (words are read only in a column of categories or of groups)"
        )),
        (content, _) => content,
    }
}

/// Reads the columns that are needed.
pub(super) fn read(table: &MixedTable, needs: &Needs) -> Result<Rows, MixedError> {
    let mut faults: Vec<(usize, CellFault)> = Vec::new();
    let mut lacking: BTreeMap<usize, Vec<String>> = BTreeMap::new();
    let mut numbers: BTreeMap<String, Vec<Option<f64>>> = BTreeMap::new();
    let mut labels: BTreeMap<String, Vec<Option<String>>> = BTreeMap::new();
    for header in &needs.numbers {
        let column = table.column(header)?;
        let read = column.cells.iter().enumerate().map(|(row, cell)| {
            match read_number(cell, needs.above_zero.get(header)) {
                Content::Number(value) => return Some(value),
                Content::Missing => lacking.entry(row).or_default().push(header.clone()),
                Content::Fault(allowed) => {
                    faults.push((row, fault(table, row, header, cell, allowed)));
                }
            }
            None
        });
        numbers.insert(header.clone(), read.collect());
    }
    for header in &needs.labels {
        let column = table.column(header)?;
        let read = column.cells.iter().enumerate().map(|(row, cell)| {
            if let Cell::Fault(_) = cell {
                let allowed = "a name or number, or nothing when it is not known".to_owned();
                faults.push((row, fault(table, row, header, cell, allowed)));
            } else if matches!(number(cell), Content::Missing) {
                lacking.entry(row).or_default().push(header.clone());
            } else {
                return Some(cell.to_string());
            }
            None
        });
        labels.insert(header.clone(), read.collect());
    }
    if !faults.is_empty() {
        faults.sort_by_key(|(row, _)| *row);
        return Err(MixedError::Cells {
            file: table.name.clone(),
            faults: faults.into_iter().map(|(_, f)| f).collect(),
        });
    }
    let kept: Vec<usize> = (0..table.rows.len())
        .filter(|row| !lacking.contains_key(row))
        .collect();
    fn pick<T: Clone>(all: &[Option<T>], kept: &[usize]) -> Vec<T> {
        kept.iter().filter_map(|&row| all[row].clone()).collect()
    }
    Ok(Rows {
        numbers: numbers
            .iter()
            .map(|(h, all)| (h.clone(), pick(all, &kept)))
            .collect(),
        labels: labels
            .iter()
            .map(|(h, all)| (h.clone(), pick(all, &kept)))
            .collect(),
        rows: kept.iter().map(|&row| table.rows[row]).collect(),
        dropped: lacking
            .into_iter()
            .map(|(row, columns)| Dropped {
                row: table.rows[row],
                name: table.row_name(row),
                columns,
            })
            .collect(),
    })
}
