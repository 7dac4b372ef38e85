//! Fault 2: a label that disagrees with its distance, count, time or speed.
//! Detection: recompute on the ladder; for a whole sheet, the ladder that reconciles most rows.
//! A row one bout apart is held like any other: it is never settled silently.

use super::code::Code;
use super::finding::Draft;
use super::ladder_phase::{Diagnosed, chance, header, written};
use super::state::{Group, State};
use crate::cell::LabelReading;
use crate::forensics::LadderVerdict;
use crate::header::Field;
use crate::rungs::metres;

/// One row whose columns disagree; `bout` is what the others say.
pub(super) fn row(state: &mut State<'_>, d: &Diagnosed, field: Field, bout: Option<usize>) {
    let case = state.case;
    let Some(table) = case.table(d.table) else {
        return;
    };
    let expected = expected(state, d, field);
    let mut suggestion = match bout.and_then(|b| table.rung(b)) {
        Some(rung) if field == Field::Label => format!(
            "`{}` would agree with the rest; otherwise correct the other column",
            rung.label
        ),
        Some(rung) => {
            format!(
                "with label `{}` it would be {}",
                rung.label,
                value_at(state, d.table, field, bout)
            )
        }
        None => "look at the original sheet and correct the column that is wrong".to_owned(),
    };
    if let Some(others) = reconciled_on(state, d.row, d.table) {
        suggestion = format!("{suggestion}; the row would be consistent on {others}");
    }
    let probability = bout.and_then(|b| chance(state, d.row, d.table, b));
    let draft = Draft {
        code: Code::LabelDistanceDisagree,
        rows: vec![d.row],
        column: header(state, field),
        what: format!("the columns of the row disagree on `{}`", table.id),
        found: together(state, d.row),
        allowed: expected,
        suggestion,
        probability,
    };
    state.report(draft);
}

/// One row that is one bout apart.
pub(super) fn one_off(state: &mut State<'_>, d: &Diagnosed, field: Field, by: i32, bout: usize) {
    let case = state.case;
    let Some(table) = case.table(d.table) else {
        return;
    };
    let Some(rung) = table.rung(bout) else { return };
    let way = if by > 0 { "ahead of" } else { "behind" };
    let draft = Draft {
        code: Code::LabelDistanceDisagree,
        rows: vec![d.row],
        column: header(state, field),
        what: format!("one bout {way} the rest of the row on `{}`", table.id),
        found: together(state, d.row),
        allowed: expected(state, d, field),
        suggestion: format!(
            "ask whether the announced or the completed bout was written; the other columns say `{}` ({} m)",
            rung.label,
            metres(rung.distance_m)
        ),
        probability: chance(state, d.row, d.table, bout),
    };
    state.report(draft);
}

/// A whole sheet that another ladder reconciles.
pub(super) fn sheet(state: &mut State<'_>, group: &Group, table: usize, other: usize, fits: usize) {
    let case = state.case;
    let (Some(here), Some(there)) = (case.table(table), case.table(other)) else {
        return;
    };
    let judged = group.evidence.rows_with(2);
    let rows: Vec<usize> = group.evidence.rows.iter().map(|r| *r as usize).collect();
    let Some(first) = first_disagreeing(group, table) else {
        return;
    };
    let posterior = group.conclusion.posterior.get(other).copied();
    state.report(Draft {
        code: Code::LabelDistanceDisagree,
        rows,
        column: header(state, Field::Label),
        what: format!("labels and distances of most rows disagree on `{}`", here.id),
        found: format!("{} in row {}", together(state, first), case.number(first)),
        allowed: format!("rows that agree on `{}`; {} of {judged} do", here.id, group.evidence.exact_rows(table, 0)),
        suggestion: format!(
            "the table of another ladder was used: `{}` reconciles {fits} of {judged} rows; import them as `{}`",
            there.id, there.id
        ),
        probability: posterior,
    });
}

/// A whole sheet that no ladder reconciles.
pub(super) fn no_ladder(state: &mut State<'_>, group: &Group, nearest: usize) {
    let case = state.case;
    let Some(table) = case.table(nearest) else {
        return;
    };
    let rows: Vec<usize> = group.evidence.rows.iter().map(|r| *r as usize).collect();
    let Some(first) = rows.first().copied() else {
        return;
    };
    let explained = match &group.conclusion.verdict {
        LadderVerdict::NoneFits { explained, .. } => (explained * 100.0).round(),
        _ => 0.0,
    };
    state.report(Draft {
        code: Code::LabelDistanceDisagree,
        rows,
        column: header(state, Field::Label),
        what: "no known ladder reconciles most rows".to_owned(),
        found: format!("{} in row {}", together(state, first), case.number(first)),
        allowed: format!(
            "rows that agree on a known ladder; the nearest, `{}`, explains {explained} %",
            table.id
        ),
        suggestion: "say which test was run, or add its definition".to_owned(),
        probability: None,
    });
}

fn first_disagreeing(group: &Group, table: usize) -> Option<usize> {
    let rows = group.evidence.rows.iter().enumerate();
    rows.clone()
        .find(|(i, _)| group.evidence.columns(*i) >= 2 && !group.evidence.is_exact(*i, table))
        .or_else(|| rows.clone().next())
        .map(|(_, r)| *r as usize)
}

/// Writes the result columns of a row: `label `14.3`, distance `600``.
pub(super) fn together(state: &State<'_>, row: usize) -> String {
    let mut parts: Vec<String> = Vec::new();
    if matches!(state.case.label(row), LabelReading::Label(_)) {
        parts.push(format!("label {}", written(state, Field::Label, row)));
    }
    for field in [
        Field::Distance,
        Field::Bouts,
        Field::Shuttles,
        Field::Time,
        Field::Speed,
    ] {
        if !state.case.cell(field, row).is_empty() {
            parts.push(format!("{} {}", field.as_str(), written(state, field, row)));
        }
    }
    parts.join(", ")
}

/// Says what a column should hold for the label of the row.
fn expected(state: &State<'_>, d: &Diagnosed, _field: Field) -> String {
    let case = state.case;
    let Some(table) = case.table(d.table) else {
        return String::new();
    };
    let LabelReading::Label(label) = case.label(d.row) else {
        return format!("values that belong to one bout of `{}`", table.id);
    };
    match table
        .by_label(&label.text)
        .and_then(|b| table.rung(b).map(|r| (b, r)))
    {
        Some((bout, rung)) => format!(
            "`{}` on `{}` is bout {}, {} m, {} s, {} km/h",
            rung.label,
            table.id,
            bout + 1,
            metres(rung.distance_m),
            rung.finish_s.round(),
            rung.speed_kmh
        ),
        None => format!("a label of `{}`", table.id),
    }
}

fn value_at(state: &State<'_>, table: usize, field: Field, bout: Option<usize>) -> String {
    let rung = bout.and_then(|b| state.case.table(table)?.rung(b));
    match (rung, field, bout) {
        (Some(r), Field::Distance, _) => format!("{} m", metres(r.distance_m)),
        (Some(r), Field::Time, _) => format!("{} s", r.finish_s.round()),
        (Some(r), Field::Speed, _) => format!("{} km/h", r.speed_kmh),
        (Some(_), _, Some(b)) => format!("bout {}", b + 1),
        _ => "another value".to_owned(),
    }
}

/// Names the other ladders on which every column of a row agrees.
fn reconciled_on(state: &State<'_>, row: usize, table: usize) -> Option<String> {
    let seen = state.case.observed(row);
    let ids: Vec<String> = state
        .case
        .ladders
        .tables
        .iter()
        .enumerate()
        .filter(|(i, _)| *i != table)
        .filter(|(_, t)| {
            matches!(
                crate::diagnose::diagnose(t, &seen),
                crate::diagnose::RowFault::Fine(Some(_))
            )
        })
        .map(|(_, t)| format!("`{}`", t.id))
        .collect();
    (!ids.is_empty()).then(|| ids.join(", "))
}
