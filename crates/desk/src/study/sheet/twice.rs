//! The same person and trial twice, or a name twice: which of them holds is for a person to say.

use std::collections::BTreeMap;

use plimsoll_examine::Sheet;

use super::layout::Placed;
use crate::study::error::{CellFault, StudyError};

/// The same person and trial twice, by name.
pub(super) fn twice(
    name: &str,
    sheet: &Sheet,
    placed: &[Placed<'_>],
    people: &[String],
    trials: &[String],
) -> Result<(), StudyError> {
    let mut seen: BTreeMap<(usize, usize), u32> = BTreeMap::new();
    let mut faults = Vec::new();
    for p in placed.iter().filter(|p| !p.cell.is_empty()) {
        if let Some(first) = seen.insert((p.person, p.trial), p.row) {
            faults.push(CellFault {
                row: p.row,
                column: p.column.to_owned(),
                found: p.cell.to_string(),
                allowed: format!(
                    "one value for {} in {} (row {first} has one)",
                    people.get(p.person).map_or("", String::as_str),
                    trials.get(p.trial).map_or("", String::as_str)
                ),
            });
        }
    }
    let mut names: BTreeMap<&str, usize> = BTreeMap::new();
    for (row, who) in people.iter().enumerate() {
        if let Some(first) = names.insert(who, row) {
            faults.push(CellFault {
                row: sheet.number(row),
                column: sheet.columns()[0].header().to_owned(),
                found: who.clone(),
                allowed: format!("each name once (row {} has it)", sheet.number(first)),
            });
        }
    }
    if faults.is_empty() {
        return Ok(());
    }
    Err(StudyError::Cells {
        file: name.to_owned(),
        faults,
    })
}
