//! Fault 1: a label that the ladder does not have. It names the ladders on which it does exist.
//! Detection: membership. Without a declared test, against the ladders that fit the other rows.

use super::code::Code;
use super::finding::Draft;
use super::ladder_phase::{Diagnosed, SHEET_ROWS, chance, header};
use super::state::{Group, State};
use crate::cell::{Label, LabelReading};
use crate::diagnose::RowFault;
use crate::header::Field;
use crate::rungs::{Table, metres};

/// Other labels needed before the ladders that fit them say something about one label.
const OTHERS: usize = 5;
/// Places listed.
const PLACES: usize = 6;

/// Rows whose label is not on their ladder.
pub(super) fn rows(state: &mut State<'_>, group: &Group, list: Vec<Diagnosed>) {
    let Some(table) = list.first().map(|d| d.table) else {
        return;
    };
    let judged = group.evidence.rows.len();
    // Most labels missing, and another ladder has them all: the test is wrong, not the labels.
    if list.len() >= SHEET_ROWS && list.len() * 2 > judged {
        let fits: Vec<String> = group
            .conclusion
            .compatible
            .iter()
            .filter(|l| **l != table)
            .filter_map(|l| state.case.table(*l))
            .map(|t| format!("`{}`", t.id))
            .collect();
        if !fits.is_empty() && !group.conclusion.compatible.contains(&table) {
            wrong_test(state, &list, table, judged, &fits);
            return;
        }
    }
    for d in list {
        one(state, &d);
    }
}

fn wrong_test(
    state: &mut State<'_>,
    list: &[Diagnosed],
    table: usize,
    judged: usize,
    fits: &[String],
) {
    let Some((id, span)) = state.case.table(table).map(|t| (t.id.clone(), span(t))) else {
        return;
    };
    let Some(first) = list.first() else { return };
    let found = state.case.written_label(first.row);
    state.report(Draft {
        code: Code::LabelNotOnLadder,
        rows: list.iter().map(|d| d.row).collect(),
        column: header(state, Field::Label),
        what: format!("{} of {judged} labels are not on `{id}`", list.len()),
        found,
        allowed: span,
        suggestion: format!(
            "another test was run: {} have all these labels",
            fits.join(", ")
        ),
        probability: None,
    });
}

fn one(state: &mut State<'_>, d: &Diagnosed) {
    let case = state.case;
    let LabelReading::Label(label) = case.label(d.row) else {
        return;
    };
    let Some(table) = case.table(d.table) else {
        return;
    };
    let mut suggestions: Vec<String> = Vec::new();
    let mut probability = None;
    if let RowFault::NotOnLadder(Some(bout)) = d.fault
        && let Some(rung) = table.rung(bout)
    {
        suggestions.push(format!(
            "the other columns say `{}` ({} m)",
            rung.label,
            metres(rung.distance_m)
        ));
        probability = chance(state, d.row, d.table, bout);
    } else if let Some(rung) = speed_stage(table, label) {
        suggestions.push(format!("if it is a speed in km/h, the label is `{rung}`"));
    }
    suggestions.push(elsewhere(state, label));
    let draft = Draft {
        code: Code::LabelNotOnLadder,
        rows: vec![d.row],
        column: header(state, Field::Label),
        what: format!("the label is not on `{}`", table.id),
        found: case.written_label(d.row),
        allowed: stage_or_span(table, label),
        suggestion: suggestions.join("; "),
        probability,
    };
    state.report(draft);
}

/// Labels of a file without a declared test, against the ladders that fit the others.
pub(super) fn undeclared(state: &mut State<'_>, group: &Group) {
    let case = state.case;
    let labelled: Vec<usize> = group
        .evidence
        .rows
        .iter()
        .map(|r| *r as usize)
        .filter(|r| matches!(case.label(*r), LabelReading::Label(_)))
        .collect();
    if labelled.is_empty() {
        return;
    }
    let known: Vec<&Table> = group
        .conclusion
        .compatible
        .iter()
        .filter_map(|l| case.table(*l))
        .collect();
    for row in &labelled {
        let LabelReading::Label(label) = case.label(*row) else {
            continue;
        };
        let nowhere = case.ladders.where_label(&label.text).is_empty();
        let not_here = labelled.len() > OTHERS
            && !known.is_empty()
            && known.iter().all(|t| t.by_label(&label.text).is_none());
        if !nowhere && !not_here {
            continue;
        }
        let ids: Vec<String> = known
            .iter()
            .take(PLACES)
            .map(|t| format!("`{}`", t.id))
            .collect();
        let what = if nowhere {
            "the label is on no known ladder".to_owned()
        } else {
            format!(
                "the label is not on a ladder that fits the other rows ({})",
                ids.join(", ")
            )
        };
        let allowed = known.first().map_or_else(
            || "a label of a known ladder".to_owned(),
            |t| stage_or_span(t, label),
        );
        state.report(Draft {
            code: Code::LabelNotOnLadder,
            rows: vec![*row],
            column: header(state, Field::Label),
            what,
            found: case.written_label(*row),
            allowed,
            suggestion: elsewhere(state, label),
            probability: None,
        });
    }
}

/// Says where a label exists.
pub(super) fn elsewhere(state: &State<'_>, label: &Label) -> String {
    let places = state.case.ladders.where_label(&label.text);
    if places.is_empty() {
        return format!(
            "`{}` is on no known ladder: look for a typing error",
            label.text
        );
    }
    let more = places.len().saturating_sub(PLACES);
    let listed: Vec<String> = places.into_iter().take(PLACES).collect();
    let more = if more > 0 {
        format!(" and {more} more")
    } else {
        String::new()
    };
    format!("`{}` exists on {}{more}", label.text, listed.join(", "))
}

/// Says which labels the stage of a label has, or which labels the ladder has.
fn stage_or_span(table: &Table, label: &Label) -> String {
    let stage = label.stage.to_string();
    let of_stage: Vec<&str> = table
        .rungs
        .iter()
        .filter(|r| r.label.split('.').next() == Some(stage.as_str()))
        .map(|r| r.label.as_str())
        .collect();
    match (of_stage.first(), of_stage.last()) {
        (Some(a), Some(z)) if a != z => {
            format!("`{a}` to `{z}` in stage {stage} of `{}`", table.id)
        }
        (Some(a), _) => format!("`{a}` in stage {stage} of `{}`", table.id),
        _ => span(table),
    }
}

fn span(table: &Table) -> String {
    let (first, last) = table.label_span();
    format!("`{first}` to `{last}` on `{}`", table.id)
}

/// Returns the last label at a speed that a label could be.
fn speed_stage(table: &Table, label: &Label) -> Option<String> {
    let kmh: f64 = label.text.parse().ok()?;
    let rung = table
        .rungs
        .iter()
        .rev()
        .find(|r| (r.speed_kmh - kmh).abs() < 1e-6)?;
    (label.bout.is_some()).then(|| rung.label.clone())
}
