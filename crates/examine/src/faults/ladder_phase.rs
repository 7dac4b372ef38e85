//! Reads each group of rows against its ladder: first the sheet as a whole, then row by row.
//! A fault of the whole sheet (another ladder, one bout off, a switch) is told once, not on every row.

use std::borrow::Cow;
use std::collections::HashMap;

use super::state::{Group, Place, State};
use super::{
    f01_label_not_on_ladder as f01, f02_label_distance_disagree as f02,
    f03_trailing_zero_lost as f03, f04_label_became_date as f04, f05_distance_not_a_step as f05,
    f06_unit_mixed as f06, f07_ladders_mixed as f07, f08_off_by_one as f08,
    f09_bouts_per_stage_differ as f09, f15_outside_own_history as f15,
};
use crate::cell::LabelReading;
use crate::diagnose::{RowFault, diagnose};
use crate::forensics::{LadderVerdict, is_sibling};
use crate::header::Field;

/// Fewest rows for a fault of the whole sheet.
pub(super) const SHEET_ROWS: usize = 3;
/// A fault that shows in no more rows than this is told row by row.
pub(super) const TELL_EACH: usize = 5;

/// A row with what is wrong with it.
pub(super) struct Diagnosed {
    /// Data row.
    pub row: usize,
    /// Index among the weighed rows.
    pub index: usize,
    /// Ladder it was read against.
    pub table: usize,
    /// What is wrong.
    pub fault: RowFault,
}

pub(super) fn run(state: &mut State<'_>) {
    let groups = std::mem::take(&mut state.groups);
    for group in &groups {
        one_group(state, group);
    }
    state.groups = groups;
    f04::run(state);
}

fn one_group(state: &mut State<'_>, group: &Group) {
    let evidence = &group.evidence;
    if evidence.rows.is_empty() {
        return;
    }
    let judged = evidence.rows_with(2);
    if let Some(table) = group.declared {
        let fits = evidence.exact_rows(table, 0);
        if judged >= SHEET_ROWS && fits * 2 < judged && whole_sheet(state, group, table, judged) {
            return;
        }
        match &group.conclusion.switch {
            Some(switch) if switch.from == table || switch.to == table => {
                f07::switch(state, group, switch);
            }
            _ => rows(state, group, |_| table),
        }
        return;
    }
    if let Some(switch) = &group.conclusion.switch {
        f07::switch(state, group, switch);
        return;
    }
    if let Some(table) = group.conclusion.table {
        if group.conclusion.offset != 0 && judged >= SHEET_ROWS {
            let n = group.evidence.exact_rows(table, group.conclusion.offset);
            if !f09::implied(state, group, Some(table), n + 2) {
                f08::sheet(state, group, table, group.conclusion.offset);
            }
            return;
        }
        rows(state, group, |_| table);
        return;
    }
    if let LadderVerdict::NoneFits { .. } = &group.conclusion.verdict {
        nothing_fits(state, group, judged);
        return;
    }
    undeclared(state, group);
}

/// Looks for a fault of the whole sheet and returns whether it told one.
fn whole_sheet(state: &mut State<'_>, group: &Group, table: usize, judged: usize) -> bool {
    let evidence = &group.evidence;
    let most = |n: usize| n >= SHEET_ROWS && n * 5 >= judged * 4;
    for slot in [1, 2] {
        let n = evidence.exact_rows(table, slot);
        if most(n) {
            // A table of its own that explains clearly more rows is the better explanation.
            if !f09::implied(state, group, Some(table), n + 2) {
                f08::sheet(state, group, table, slot);
            }
            return true;
        }
    }
    let mut best: Option<(usize, usize)> = None;
    for other in (0..evidence.ladders()).filter(|o| *o != table) {
        let n = evidence.exact_rows(other, 0);
        if most(n) && best.is_none_or(|b| n > b.1) {
            best = Some((other, n));
        }
    }
    if let Some((other, n)) = best {
        let sibling = match (state.case.table(table), state.case.table(other)) {
            (Some(a), Some(b)) => is_sibling(a, b),
            _ => false,
        };
        if sibling {
            f09::sheet(state, group, table, other, n);
        } else {
            f02::sheet(state, group, table, other, n);
        }
        return true;
    }
    if let Some(switch) = &group.conclusion.switch
        && (switch.from == table || switch.to == table)
    {
        return false;
    }
    f09::implied(state, group, Some(table), 0)
}

fn nothing_fits(state: &mut State<'_>, group: &Group, judged: usize) {
    // The likeliest ladder may explain the rows by another unit or lost zeros.
    let nearest = argmax(&group.conclusion.posterior);
    let diagnosed = diagnose_rows(state, group, |_| nearest);
    let explained = diagnosed
        .iter()
        .filter(|d| {
            matches!(
                d.fault,
                RowFault::Fine(_) | RowFault::ZeroLost(_) | RowFault::OtherUnit(..)
            ) && group.evidence.columns(d.index) >= 2
        })
        .count();
    if judged > 0 && explained * 5 >= judged * 4 {
        tell(state, group, diagnosed);
        return;
    }
    if f09::implied(state, group, None, 0) {
        return;
    }
    if judged >= SHEET_ROWS {
        f02::no_ladder(state, group, nearest);
    } else {
        tell(state, group, diagnosed);
    }
}

/// One column, no test named: membership and steps only.
fn undeclared(state: &mut State<'_>, group: &Group) {
    f06::distances_alone(state, group);
    f01::undeclared(state, group);
    f05::undeclared(state, group);
}

/// Reads every row against a ladder and tells what is wrong.
pub(super) fn rows(state: &mut State<'_>, group: &Group, table: impl Fn(usize) -> usize) {
    let diagnosed = diagnose_rows(state, group, table);
    tell(state, group, diagnosed);
}

fn diagnose_rows(
    state: &State<'_>,
    group: &Group,
    table: impl Fn(usize) -> usize,
) -> Vec<Diagnosed> {
    let mut known: HashMap<(u32, usize), RowFault> = HashMap::new();
    let mut list = Vec::with_capacity(group.evidence.rows.len());
    for (index, row) in group.evidence.rows.iter().enumerate() {
        let row = *row as usize;
        let at = table(index);
        let key = (group.evidence.kind_of(index), at);
        let fault = match known.get(&key) {
            Some(fault) => fault.clone(),
            None => {
                let fault = state.case.table(at).map_or(RowFault::Nothing, |t| {
                    diagnose(t, &state.case.observed(row))
                });
                known.insert(key, fault.clone());
                fault
            }
        };
        list.push(Diagnosed {
            row,
            index,
            table: at,
            fault,
        });
    }
    list
}

/// Tells what is wrong with rows, each under the fault it belongs to.
fn tell(state: &mut State<'_>, group: &Group, diagnosed: Vec<Diagnosed>) {
    for d in &diagnosed {
        if let RowFault::Fine(Some(bout)) = d.fault {
            state.set_place(
                d.row,
                Place {
                    table: d.table,
                    bouts: bout as u32 + 1,
                },
            );
        }
    }
    let bad: Vec<Diagnosed> = diagnosed
        .into_iter()
        .filter(|d| !matches!(d.fault, RowFault::Fine(_) | RowFault::Nothing))
        .collect();
    if bad.is_empty() {
        return;
    }
    let bad = f07::interleaved(state, group, bad);
    let bad = f08::rows(state, bad);
    let mut absent_labels: Vec<Diagnosed> = Vec::new();
    let mut units: Vec<Diagnosed> = Vec::new();
    for d in bad {
        match d.fault {
            RowFault::NotOnLadder(_) => absent_labels.push(d),
            RowFault::ZeroLost(bout) => f03::row(state, &d, bout),
            RowFault::OtherUnit(..) => units.push(d),
            RowFault::NotAStep(below, above) => f05::row(state, &d, below, above),
            RowFault::BeyondEnd(field) => f15::beyond_end(state, &d, field),
            RowFault::OneOff(field, by, bout) => f02::one_off(state, &d, field, by, bout),
            RowFault::Disagree(field, bout) => f02::row(state, &d, field, bout),
            RowFault::Fine(_) | RowFault::Nothing => {}
        }
    }
    f01::rows(state, group, absent_labels);
    f06::rows(state, units);
}

/// The ladders to read a lone label against: the declared one, the one that fits the sheet, or all that
/// the sheet does not exclude, the first of the catalogue first.
pub(super) fn ladders_of<'s>(state: &'s State<'_>, row: usize) -> Cow<'s, [usize]> {
    if let Some(table) = state.case.declared_table(row) {
        return Cow::Owned(vec![table]);
    }
    let group = state.groups.iter().find(|g| g.test == state.case.test(row));
    match group.map(|g| &g.conclusion) {
        Some(conclusion) => match conclusion.table {
            Some(table) => Cow::Owned(vec![table]),
            None => Cow::Borrowed(&conclusion.compatible),
        },
        None => Cow::Borrowed(&[]),
    }
}

/// The ladder and bout of a row; a label alone is read on the first ladder that fits the sheet.
pub(super) fn likely_bout(state: &State<'_>, row: usize) -> Option<(usize, usize)> {
    if let Some(place) = state.place(row) {
        return Some((place.table, (place.bouts as usize).checked_sub(1)?));
    }
    let LabelReading::Label(label) = state.case.label(row) else {
        return None;
    };
    let ladder = ladders_of(state, row).first().copied()?;
    let bout = state.case.table(ladder)?.by_label(&label.text)?;
    Some((ladder, bout))
}

/// Returns the header of the column a diagnosis is about.
pub(super) fn header(state: &State<'_>, field: Field) -> String {
    if field == Field::Label {
        state.case.label_header()
    } else {
        state.case.mapping.header_of(field)
    }
}

/// Returns the cell a diagnosis is about, in marks.
pub(super) fn written(state: &State<'_>, field: Field, row: usize) -> String {
    if field == Field::Label {
        state.case.written_label(row)
    } else {
        state.case.written(field, row)
    }
}

/// Returns the probability that a row means a bout on a ladder.
pub(super) fn chance(state: &State<'_>, row: usize, table: usize, bout: usize) -> Option<f64> {
    let table = state.case.table(table)?;
    let likely = crate::forensics::likely_bouts(table, &state.case.observed(row));
    likely.into_iter().find(|(b, _)| *b == bout).map(|(_, p)| p)
}

fn argmax(values: &[f64]) -> usize {
    values
        .iter()
        .enumerate()
        .max_by(|a, b| a.1.total_cmp(b.1).then(b.0.cmp(&a.0)))
        .map_or(0, |(i, _)| i)
}
