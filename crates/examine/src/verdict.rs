//! What happens to each row: accepted, corrected under a rule, held, or without a result.
//! Holding is decided by the codes of the findings alone; every row ends in exactly one of the four.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::faults::{Code, State};
use crate::table::RowSet;

/// Rows with one kind of fault.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Held {
    /// The fault.
    pub code: Code,
    /// The rows a spreadsheet shows.
    pub rows: RowSet,
    /// How many.
    pub count: usize,
}

/// What happens to the rows.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Verdicts {
    /// Rows that can be imported as they are.
    pub accepted: RowSet,
    /// Rows that can be imported with a correction that a rule allowed.
    pub corrected: RowSet,
    /// Rows held back, for each kind of fault; a row can be held for several.
    pub held: Vec<Held>,
    /// Rows that say there is no result.
    pub absent: RowSet,
    /// Rows with a finding to look at, for each kind of fault; these are not held for it.
    pub flagged: Vec<Held>,
}

/// What happens to one row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum RowVerdict {
    /// Imported as it is.
    Accepted,
    /// Imported with a correction.
    Corrected,
    /// Held back.
    Held,
    /// Says there is no result.
    Absent,
}

/// Decides each data row.
pub(crate) fn decide(state: &State<'_>) -> Vec<RowVerdict> {
    let case = state.case;
    let mut held = vec![false; case.rows()];
    for rows in state.findings.held().values() {
        for row in rows {
            if let Some(flag) = held.get_mut(*row as usize) {
                *flag = true;
            }
        }
    }
    (0..case.rows())
        .map(|row| {
            if held.get(row).copied().unwrap_or(false) {
                RowVerdict::Held
            } else if state.is_absent(row) {
                RowVerdict::Absent
            } else if state.corrected.contains_key(&row) {
                RowVerdict::Corrected
            } else {
                RowVerdict::Accepted
            }
        })
        .collect()
}

/// Sums the decisions up.
pub(crate) fn sum_up(state: &State<'_>, decided: &[RowVerdict]) -> Verdicts {
    let case = state.case;
    let rows = |want: RowVerdict| {
        let with = decided.iter().enumerate().filter(|(_, v)| **v == want);
        RowSet::of(with.map(|(row, _)| case.number(row)))
    };
    let by_code = |marks: &BTreeMap<Code, Vec<u32>>| {
        let held = marks.iter().map(|(code, rows)| {
            let rows = RowSet::of(rows.iter().map(|r| case.number(*r as usize)));
            Held {
                code: *code,
                count: rows.count(),
                rows,
            }
        });
        held.collect()
    };
    Verdicts {
        accepted: rows(RowVerdict::Accepted),
        corrected: rows(RowVerdict::Corrected),
        held: by_code(state.findings.held()),
        absent: rows(RowVerdict::Absent),
        flagged: by_code(state.findings.flagged()),
    }
}
