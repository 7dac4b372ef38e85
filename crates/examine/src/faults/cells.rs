//! Cells that cannot be read as what their column holds, unknown reasons, unknown tests, no person.
//! Not in the catalogue of errors: without these the catalogue could not be applied.

use std::collections::HashMap;

use plimsoll_judge::StopReason;

use super::code::Code;
use super::finding::Draft;
use super::state::State;
use crate::cell::{
    self, CountReading, DateReading, DistanceReading, LabelReading, SpeedReading, TimeReading,
};
use crate::header::Field;
use crate::table::Cell;

/// What each column may hold.
const ALLOWED: [(Field, &str); 11] = [
    (Field::Label, "a label such as `14.3`"),
    (Field::Stage, "a whole number"),
    (Field::BoutInStage, "a whole number"),
    (Field::Distance, "a distance such as `560` or `560 m`"),
    (Field::Bouts, "a whole number"),
    (Field::Shuttles, "a whole number"),
    (Field::Time, "a time such as `16:20` or `980 s`"),
    (Field::Speed, "a speed such as `14.5`"),
    (Field::Date, "a date such as `2026-04-05` or `05/04/2026`"),
    (
        Field::BirthDate,
        "a date such as `2012-04-05` or `05/04/2012`",
    ),
    (Field::Attempt, "a whole number, `first` or `best`"),
];

pub(super) fn run(state: &mut State<'_>) {
    for (field, allowed) in ALLOWED {
        if state.case.mapping.has(field) {
            unreadable(state, field, allowed);
        }
    }
    reasons(state);
    tests(state);
    absences(state);
    persons(state);
}

fn is_unreadable(field: Field, cell: &Cell) -> bool {
    match field {
        Field::Label => cell::label(cell) == LabelReading::Unreadable,
        Field::Distance => cell::distance(cell) == DistanceReading::Unreadable,
        Field::Time => cell::time(cell) == TimeReading::Unreadable,
        Field::Speed => cell::speed(cell) == SpeedReading::Unreadable,
        Field::Date | Field::BirthDate => cell::date(cell) == DateReading::Unreadable,
        // `first` and `best` are read where attempts are compared.
        Field::Attempt => matches!(cell, Cell::Fault(_) | Cell::Bool(_) | Cell::Date(..)),
        _ => cell::count(cell) == CountReading::Unreadable,
    }
}

fn unreadable(state: &mut State<'_>, field: Field, allowed: &str) {
    let case = state.case;
    let Some(column) = case
        .mapping
        .index_of(field)
        .and_then(|i| case.sheet.columns().get(i))
    else {
        return;
    };
    let bad: Vec<bool> = column
        .kinds()
        .iter()
        .map(|c| is_unreadable(field, c))
        .collect();
    for row in 0..case.rows() {
        if !bad
            .get(column.kind_at(row) as usize)
            .copied()
            .unwrap_or(false)
        {
            continue;
        }
        let suggestion = match column.cell(row) {
            Cell::Fault(_) => "the spreadsheet could not compute this cell; type the value",
            _ => "look at the original sheet and type what it says, or empty the cell",
        };
        state.report(Draft {
            code: Code::CellUnreadable,
            rows: vec![row],
            column: column.header().to_owned(),
            what: format!("cannot be read as a {}", field.as_str().replace('_', " ")),
            found: case.written(field, row),
            allowed: allowed.to_owned(),
            suggestion: suggestion.to_owned(),
            probability: None,
        });
    }
}

fn reasons(state: &mut State<'_>) {
    let case = state.case;
    let Some(column) = case
        .mapping
        .index_of(Field::Reason)
        .and_then(|i| case.sheet.columns().get(i))
    else {
        return;
    };
    let words: Vec<&str> = StopReason::ALL.iter().map(|r| r.as_str()).collect();
    for row in 0..case.rows() {
        let Some(text) = column.cell(row).as_text() else {
            continue;
        };
        if text.parse::<StopReason>().is_ok() {
            continue;
        }
        if cell::is_absent(text) {
            state.set_absent(row);
            continue;
        }
        let near = nearest_reason(text);
        state.report(Draft {
            code: Code::ReasonUnknown,
            rows: vec![row],
            column: column.header().to_owned(),
            what: "names no stop reason".to_owned(),
            found: case.written(Field::Reason, row),
            allowed: words.join(", "),
            suggestion: near.map_or_else(
                || "choose one of these, or empty the cell".to_owned(),
                |r| format!("perhaps `{}`", r.as_str()),
            ),
            probability: None,
        });
    }
}

/// Returns the reason whose word is most like the text, or that the text hints at.
fn nearest_reason(text: &str) -> Option<StopReason> {
    if let Some(hint) = cell::hints_at_other_cause(text) {
        return Some(hint);
    }
    let folded = crate::header::fold(text);
    StopReason::ALL
        .into_iter()
        .map(|r| {
            (
                strsim::normalized_damerau_levenshtein(&folded, r.in_words()),
                r,
            )
        })
        .filter(|(similar, _)| *similar >= 0.6)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, r)| r)
}

fn tests(state: &mut State<'_>) {
    let case = state.case;
    let Some(column) = case
        .mapping
        .index_of(Field::Test)
        .and_then(|i| case.sheet.columns().get(i))
    else {
        return;
    };
    let mut unknown: HashMap<u32, Vec<usize>> = HashMap::new();
    for row in 0..case.rows() {
        let cell = column.cell(row);
        if !cell.is_empty() && case.ladders.find(&cell.to_string()).is_none() {
            unknown.entry(column.kind_at(row)).or_default().push(row);
        }
    }
    let mut unknown: Vec<(u32, Vec<usize>)> = unknown.into_iter().collect();
    unknown.sort_by_key(|(_, rows)| rows.first().copied());
    for (_, rows) in unknown {
        let Some(first) = rows.first().copied() else {
            continue;
        };
        let word = column.cell(first).to_string();
        let near = case.options.catalogue.nearest(&word);
        let ids: Vec<&str> = case.ladders.tests.iter().map(|t| t.id.as_str()).collect();
        state.report(Draft {
            code: Code::TestUnknown,
            rows,
            column: column.header().to_owned(),
            what: "names no known test".to_owned(),
            found: case.written(Field::Test, first),
            allowed: ids.join(", "),
            suggestion: if near.is_empty() {
                "write the id of the test".to_owned()
            } else {
                format!(
                    "perhaps {}",
                    near.iter()
                        .map(|n| format!("`{n}`"))
                        .collect::<Vec<_>>()
                        .join(" or ")
                )
            },
            probability: None,
        });
    }
}

/// Rows without any result, or with a word for absence where the result should be.
fn absences(state: &mut State<'_>) {
    if !state.case.read.values.any() {
        return;
    }
    for row in 0..state.case.rows() {
        if !state.case.has_result(row) {
            state.set_absent(row);
        }
    }
}

/// A result that belongs to nobody.
fn persons(state: &mut State<'_>) {
    let case = state.case;
    let identity: Vec<Field> = Field::ALL
        .iter()
        .copied()
        .filter(|f| f.is_identity() && case.mapping.has(*f))
        .collect();
    let Some(field) = identity.first().copied() else {
        return;
    };
    for row in 0..case.rows() {
        if case.people.at(row).is_some() || (!case.has_result(row) && case.read.values.any()) {
            continue;
        }
        state.report(Draft {
            code: Code::PersonMissing,
            rows: vec![row],
            column: case.mapping.header_of(field),
            what: "a row without a person".to_owned(),
            found: "nothing".to_owned(),
            allowed: "a name, an id or a bib".to_owned(),
            suggestion: "write who it is, or delete the row".to_owned(),
            probability: None,
        });
    }
}
