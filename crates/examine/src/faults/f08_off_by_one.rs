//! Fault 8: one bout off throughout: the announced bout was written instead of the completed one.
//! Detection: labels (or counts) ahead of or behind the other columns, always the same way.
//! One row that is one bout off is fault 2 and held: it says nothing about a habit.

use super::code::Code;
use super::f02_label_distance_disagree::together;
use super::finding::Draft;
use super::ladder_phase::{Diagnosed, SHEET_ROWS, TELL_EACH, header};
use super::state::{Group, State};
use crate::diagnose::RowFault;
use crate::header::Field;

/// A whole sheet of which the labels run ahead (`slot` 1) or behind (`slot` 2).
pub(super) fn sheet(state: &mut State<'_>, group: &Group, table: usize, slot: usize) {
    let case = state.case;
    let Some(id) = case.table(table).map(|t| t.id.clone()) else {
        return;
    };
    let rows: Vec<usize> = group.evidence.rows.iter().map(|r| *r as usize).collect();
    let Some(first) = rows.first().copied() else {
        return;
    };
    let n = group.evidence.exact_rows(table, slot);
    let judged = group.evidence.rows_with(2);
    let way = if slot == 1 {
        "one bout ahead of"
    } else {
        "one bout behind"
    };
    let cause = if slot == 1 {
        "the announced bout was written; the completed one is one less"
    } else {
        "the bout before the last completed one was written"
    };
    state.report(Draft {
        code: Code::OffByOne,
        rows,
        column: header(state, Field::Label),
        what: format!("in {n} of {judged} rows the label is {way} the rest of the row on `{id}`"),
        found: together(state, first),
        allowed: format!("the last completed bout, `{}` in this row", shifted(state, first, table, slot)),
        suggestion: format!(
            "probably {cause}, or a table with another first stage was used; ask who wrote the sheet, then correct the column"
        ),
        probability: None,
    });
}

fn shifted(state: &State<'_>, row: usize, table: usize, slot: usize) -> String {
    let by = if slot == 1 { -1 } else { 1 };
    let crate::cell::LabelReading::Label(label) = state.case.label(row) else {
        return String::new();
    };
    state
        .case
        .table(table)
        .and_then(|t| {
            let bout = t.by_label(&label.text)? as i64 + by;
            t.rung(usize::try_from(bout).ok()?).map(|r| r.label.clone())
        })
        .unwrap_or_else(|| "the start".to_owned())
}

/// Rows one bout off the same way, three or more; returns the diagnoses that are left.
pub(super) fn rows(state: &mut State<'_>, bad: Vec<Diagnosed>) -> Vec<Diagnosed> {
    let way = |d: &Diagnosed| match d.fault {
        RowFault::OneOff(field, by, _) => Some((field, by)),
        _ => None,
    };
    let count = |by: i32| {
        bad.iter()
            .filter(|d| way(d).is_some_and(|w| w.1 == by))
            .count()
    };
    let (ahead, behind) = (count(1), count(-1));
    let (by, n, against) = if ahead >= behind {
        (1, ahead, behind)
    } else {
        (-1, behind, ahead)
    };
    if n < SHEET_ROWS || against * 4 > n {
        return bad;
    }
    let (same, left): (Vec<Diagnosed>, Vec<Diagnosed>) = bad
        .into_iter()
        .partition(|d| way(d).is_some_and(|w| w.1 == by));
    let who = by_assessor(state, &same);
    if same.len() > TELL_EACH {
        tell(state, &same, by, &who);
    } else {
        for d in same {
            tell(state, &[d], by, &who);
        }
    }
    left
}

fn tell(state: &mut State<'_>, same: &[Diagnosed], by: i32, who: &str) {
    let Some(first) = same.first() else { return };
    let RowFault::OneOff(field, _, bout) = first.fault else {
        return;
    };
    let Some((id, rung)) = state
        .case
        .table(first.table)
        .and_then(|t| Some((t.id.clone(), t.rung(bout)?.clone())))
    else {
        return;
    };
    let way = if by > 0 { "ahead of" } else { "behind" };
    let draft = Draft {
        code: Code::OffByOne,
        rows: same.iter().map(|d| d.row).collect(),
        column: header(state, field),
        what: format!(
            "one bout {way} the rest of the row on `{id}`, the same way in several rows{who}"
        ),
        found: together(state, first.row),
        allowed: format!("the last completed bout, `{}` in this row", rung.label),
        suggestion: "ask whether the announced bout was written instead of the completed one"
            .to_owned(),
        probability: None,
    };
    state.report(draft);
}

/// Names the one assessor of all these rows, when there is a column and only one name.
fn by_assessor(state: &State<'_>, same: &[Diagnosed]) -> String {
    if !state.case.mapping.has(Field::Assessor) {
        return String::new();
    }
    let mut names: Vec<String> = same
        .iter()
        .map(|d| state.case.cell(Field::Assessor, d.row).to_string())
        .collect();
    names.sort();
    names.dedup();
    match names.as_slice() {
        [only] if !only.is_empty() => format!(", all recorded by {only}"),
        _ => String::new(),
    }
}
