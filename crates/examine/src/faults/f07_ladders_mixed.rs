//! Fault 7: two tests in one column, because the staff changed the test in mid-file.
//! Detection: a switch point (`forensics::switch`), or rows that agree exactly on another ladder.

use super::code::Code;
use super::f02_label_distance_disagree::together;
use super::finding::Draft;
use super::ladder_phase::{Diagnosed, SHEET_ROWS, header, rows};
use super::state::{Group, State};
use crate::forensics::Switch;
use crate::header::Field;

/// A switch in mid-file: told at its row. Rows before it are read against the first ladder.
pub(super) fn switch(state: &mut State<'_>, group: &Group, switch: &Switch) {
    let case = state.case;
    let (Some(from), Some(to)) = (case.table(switch.from), case.table(switch.to)) else {
        return;
    };
    let after: Vec<usize> = group
        .order
        .iter()
        .skip(switch.at)
        .filter_map(|i| group.evidence.rows.get(*i))
        .map(|r| *r as usize)
        .collect();
    let Some(first) = group
        .order
        .get(switch.at)
        .and_then(|i| group.evidence.rows.get(*i))
        .map(|r| *r as usize)
    else {
        return;
    };
    let since = case
        .day(first)
        .map(|d| format!(" ({d})"))
        .unwrap_or_default();
    let (from_id, to_id) = (from.id.clone(), to.id.clone());
    let mut second = vec![false; group.evidence.rows.len()];
    for i in group.order.iter().skip(switch.at) {
        if let Some(flag) = second.get_mut(*i) {
            *flag = true;
        }
    }
    let pick = |i: usize| {
        if second.get(i).copied().unwrap_or(false) {
            switch.to
        } else {
            switch.from
        }
    };
    rows(state, group, pick);
    state.report(Draft {
        code: Code::LaddersMixed,
        rows: after,
        column: header(state, Field::Label),
        what: format!(
            "from row {}{since} on the rows are those of another ladder",
            case.number(first)
        ),
        found: format!(
            "`{from_id}` before and `{to_id}` from there ({})",
            together(state, first)
        ),
        allowed: "one ladder, or a column that names the test of each row".to_owned(),
        suggestion: format!("import the rows before as `{from_id}` and these as `{to_id}`"),
        probability: Some(switch.at_posterior),
    });
}

/// Rows that agree exactly on one other ladder; returns the diagnoses that are left.
pub(super) fn interleaved(
    state: &mut State<'_>,
    group: &Group,
    bad: Vec<Diagnosed>,
) -> Vec<Diagnosed> {
    let evidence = &group.evidence;
    let Some(table) = bad.first().map(|d| d.table) else {
        return bad;
    };
    if group.conclusion.switch.is_some() {
        return bad;
    }
    let mut best: Option<(usize, usize)> = None;
    for other in (0..evidence.ladders()).filter(|o| *o != table) {
        let n = bad
            .iter()
            .filter(|d| evidence.columns(d.index) >= 2 && evidence.is_exact(d.index, other))
            .count();
        if n >= SHEET_ROWS && best.is_none_or(|b| n > b.1) {
            best = Some((other, n));
        }
    }
    let Some((other, n)) = best else { return bad };
    // A few coincidences among many other errors are not a second test.
    if n * 5 < bad.len() * 3 {
        return bad;
    }
    let (theirs, left): (Vec<Diagnosed>, Vec<Diagnosed>) = bad
        .into_iter()
        .partition(|d| evidence.columns(d.index) >= 2 && evidence.is_exact(d.index, other));
    let case = state.case;
    let (Some(here), Some(there)) = (case.table(table), case.table(other)) else {
        return left;
    };
    let (here, there) = (here.id.clone(), there.id.clone());
    let Some(first) = theirs.first().map(|d| d.row) else {
        return left;
    };
    state.report(Draft {
        code: Code::LaddersMixed,
        rows: theirs.iter().map(|d| d.row).collect(),
        column: header(state, Field::Label),
        what: format!("{n} rows are those of another ladder than the rest"),
        found: format!(
            "`{there}` among rows of `{here}` ({})",
            together(state, first)
        ),
        allowed: "one ladder, or a column that names the test of each row".to_owned(),
        suggestion: format!("import these rows as `{there}`, or check which test these people ran"),
        probability: None,
    });
    left
}
