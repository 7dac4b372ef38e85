//! Fault 16: results heap on stage starts or round numbers: stopping on the voice, or sloppy writing.
//! Detection: more than the natural heaping explains. Needs 30 rows. False alarm: one sheet in a thousand.

use super::code::Code;
use super::finding::Draft;
use super::ladder_phase::{header, ladders_of, likely_bout};
use super::state::State;
use crate::cell::LabelReading;
use crate::header::Field;
use crate::stats::tail_at_least;

/// Rows needed.
const ENOUGH: usize = 30;
/// Runners stop after the first shuttle of a stage 2.6 times as often as after any other (13 to 5).
/// Source: Wilkinson, Fallowfield and Myers 1999, excerpt read; so much is natural.
const NATURAL: f64 = 13.0 / 5.0;
/// Chance below which heaping is told, and how far it must exceed the expected share.
const RARE: f64 = 1e-3;
const EXCESS: f64 = 1.5;

pub(super) fn run(state: &mut State<'_>) {
    let case = state.case;
    for table in 0..case.ladders.tables.len() {
        let rows: Vec<(usize, u32)> = (0..case.rows())
            .filter(|r| !state.is_claimed(*r) && !state.is_absent(*r))
            .filter_map(|r| Some((r, likely_bout(state, r)?)))
            .filter(|(_, place)| place.0 == table)
            .map(|(r, place)| (r, place.1 as u32))
            .collect();
        if rows.len() >= ENOUGH && case.table(table).is_some_and(|t| t.maximal) {
            stage_starts(state, table, &rows);
            round_steps(state, table, &rows);
        }
    }
    round_metres(state);
}

/// The lengths of the stages that the label of a row without a place may lie in.
fn lengths(state: &State<'_>, row: usize) -> Vec<usize> {
    let LabelReading::Label(label) = state.case.label(row) else {
        return Vec::new();
    };
    if state.place(row).is_some() {
        return Vec::new();
    }
    ladders_of(state, row)
        .iter()
        .filter_map(|l| state.case.table(*l))
        .map(|t| {
            t.by_label(&label.text)
                .map_or(0, |b| t.stage_range(b).len())
        })
        .collect()
}

fn stage_starts(state: &mut State<'_>, table: usize, rows: &[(usize, u32)]) {
    let case = state.case;
    let Some(t) = case.table(table) else { return };
    let mut chances: Vec<f64> = Vec::new();
    let mut starts: Vec<usize> = Vec::new();
    for (row, bout) in rows {
        let stage = t.stage_range(*bout as usize);
        // A lone label may be on several ladders: the shortest stage explains most.
        let shortest = lengths(state, *row)
            .into_iter()
            .min()
            .unwrap_or(stage.len());
        if shortest < 3 {
            continue;
        }
        chances.push(NATURAL / (NATURAL + shortest as f64 - 1.0));
        if stage.start == *bout as usize {
            starts.push(*row);
        }
    }
    let what = "results heap on the first bout of a stage";
    tell(
        state,
        Field::Label,
        &chances,
        starts,
        what,
        "the first bout of a stage",
    );
}

fn round_steps(state: &mut State<'_>, table: usize, rows: &[(usize, u32)]) {
    let case = state.case;
    if !case.mapping.has(Field::Distance) {
        return;
    }
    let Some(t) = case.table(table) else { return };
    let is_round = |bout: usize| t.rung(bout).is_some_and(|r| r.distance_m % 100.0 == 0.0);
    let low = rows.iter().map(|r| r.1 as usize).min().unwrap_or(0);
    let high = rows.iter().map(|r| r.1 as usize).max().unwrap_or(0);
    let share = (low..=high).filter(|b| is_round(*b)).count() as f64 / (high - low + 1) as f64;
    let chances = vec![share; rows.len()];
    let round: Vec<usize> = rows
        .iter()
        .filter(|(_, b)| is_round(*b as usize))
        .map(|(r, _)| *r)
        .collect();
    if share > 0.0 && share < 0.6 {
        tell(
            state,
            Field::Distance,
            &chances,
            round,
            "distances heap on round hundreds",
            "a multiple of 100 m",
        );
    }
}

/// Distances without a ladder: round hundreds among values on the grid that the file shows.
fn round_metres(state: &mut State<'_>) {
    let case = state.case;
    let rows: Vec<(usize, f64)> = (0..case.rows())
        .filter(|r| !state.is_claimed(*r) && likely_bout(state, *r).is_none())
        .filter_map(|r| Some((r, case.observed(r).distance_m?)))
        .collect();
    if rows.len() < ENOUGH {
        return;
    }
    let fits =
        |step: f64| rows.iter().filter(|(_, m)| m % step == 0.0).count() * 10 >= rows.len() * 9;
    // On a grid of 40 m every fifth value is a round hundred, as on one of 20 m. Finer grids are those
    // of runs for distance; a ladder with growing legs has a grid of its own and is not judged.
    let grid = [(100.0, 1.0), (50.0, 0.5), (40.0, 0.2), (20.0, 0.2)];
    let fine = [(10.0, 0.1), (5.0, 0.05), (1.0, 0.01)];
    let unpaced = rows.iter().all(|(r, _)| case.is_unpaced(*r));
    let fine = fine.into_iter().filter(|_| unpaced);
    let Some((_, share)) = grid.into_iter().chain(fine).find(|(s, _)| fits(*s)) else {
        return;
    };
    if share >= 0.5 {
        return;
    }
    let chances = vec![share; rows.len()];
    let round: Vec<usize> = rows
        .iter()
        .filter(|(_, m)| m % 100.0 == 0.0)
        .map(|(r, _)| *r)
        .collect();
    tell(
        state,
        Field::Distance,
        &chances,
        round,
        "distances heap on round hundreds",
        "a multiple of 100 m",
    );
}

fn tell(
    state: &mut State<'_>,
    field: Field,
    chances: &[f64],
    hits: Vec<usize>,
    what: &str,
    where_: &str,
) {
    let n = chances.len();
    let expected: f64 = chances.iter().sum();
    let k = hits.len();
    if n < ENOUGH || (k as f64) < EXCESS * expected {
        return;
    }
    let chance = tail_at_least(chances, k);
    if chance >= RARE {
        return;
    }
    let column = header(state, field);
    state.report(Draft {
        code: Code::Heaping,
        rows: hits,
        column,
        what: what.to_owned(),
        found: format!("{k} of {n} on {where_}"),
        allowed: format!("about {expected:.0}, natural heaping included (chance of so many {chance:.1e})"),
        suggestion: "treat single results as coarse; keep one announcement script, and record the last completed bout".to_owned(),
        probability: None,
    });
}
