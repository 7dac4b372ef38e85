//! Fault 5: a distance at which no bout ends: laps and metres mixed, half bouts, or a slip of the pen.
//! Detection: membership of the ladder's distances; without a ladder, the step that the others share.

use super::code::Code;
use super::finding::Draft;
use super::ladder_phase::{Diagnosed, header, written};
use super::state::{Group, State};
use crate::header::Field;
use crate::rungs::metres;

/// Distances needed before they show a step by themselves.
const ENOUGH: usize = 10;

/// One row on a known ladder.
pub(super) fn row(state: &mut State<'_>, d: &Diagnosed, below: f64, above: f64) {
    let Some(id) = state.case.table(d.table).map(|t| t.id.clone()) else {
        return;
    };
    let draft = Draft {
        code: Code::DistanceNotAStep,
        rows: vec![d.row],
        column: header(state, Field::Distance),
        what: format!("no bout of `{id}` ends at this distance"),
        found: written(state, Field::Distance, d.row),
        allowed: format!("{} or {} m beside it", metres(below), metres(above)),
        suggestion: format!(
            "write the last completed bout: {} m, or {} m if that one was completed",
            metres(below),
            metres(above)
        ),
        probability: None,
    };
    state.report(draft);
}

/// Distances of a file without a declared test and without labels.
///
/// The step is 40 m, 32 m or 20 m when nine in ten of at least ten distances are its multiples: by
/// chance, multiples of 20 m would all be multiples of 40 m once in a thousand files.
pub(super) fn undeclared(state: &mut State<'_>, group: &Group) {
    let case = state.case;
    let rows: Vec<(usize, f64)> = group
        .evidence
        .rows
        .iter()
        .map(|r| *r as usize)
        .filter(|r| !state.is_claimed(*r))
        .filter_map(|r| Some((r, case.observed(r).distance_m?)))
        .collect();
    if rows.len() < ENOUGH {
        return;
    }
    let fits = |step: f64| rows.iter().filter(|(_, m)| is_multiple(*m, step)).count();
    let Some(step) = [40.0, 32.0, 20.0]
        .into_iter()
        .find(|s| fits(*s) * 10 >= rows.len() * 9)
    else {
        return;
    };
    let bad: Vec<(usize, f64)> = rows
        .iter()
        .copied()
        .filter(|(_, m)| !is_multiple(*m, step))
        .collect();
    for (row, m) in bad {
        let below = (m / step).floor() * step;
        state.report(Draft {
            code: Code::DistanceNotAStep,
            rows: vec![row],
            column: header(state, Field::Distance),
            what: format!("not a multiple of {step} m as the other distances are"),
            found: written(state, Field::Distance, row),
            allowed: format!("{} or {} m beside it", metres(below), metres(below + step)),
            suggestion: "write the distance of the last completed bout".to_owned(),
            probability: None,
        });
    }
}

fn is_multiple(value: f64, step: f64) -> bool {
    let over = value / step;
    (over - over.round()).abs() * step < 0.5
}
