//! Fault 15: a value beyond the end of the ladder, or more than four typical errors from the person's own past.
//! Two-sided; a finding asks and never deletes. False alarms: 6 in 100 000 unchanged runners.

use plimsoll_judge::StopReason;

use super::code::Code;
use super::f02_label_distance_disagree::together;
use super::f13_zero_for_absent::reason;
use super::finding::Draft;
use super::ladder_phase::{Diagnosed, header, written};
use super::state::State;
use crate::header::Field;
use crate::history::History;
use crate::rungs::metres;

/// Standard errors of the difference. Source: the catalogue of errors (> 4 typical errors).
const FAR: f64 = 4.0;

/// One value beyond the end of its ladder.
pub(super) fn beyond_end(state: &mut State<'_>, d: &Diagnosed, field: Field) {
    let Some(table) = state.case.table(d.table) else {
        return;
    };
    let (id, end, bouts) = (table.id.clone(), metres(table.end_m()), table.len());
    let last = table.label_span().1.to_owned();
    let allowed = match field {
        Field::Distance => format!("at most {end} m on `{id}`"),
        Field::Time => format!(
            "at most {:.0} s on `{id}`",
            table.rungs.last().map_or(0.0, |r| r.finish_s)
        ),
        _ => format!("at most {bouts} bouts on `{id}`"),
    };
    let draft = Draft {
        code: Code::BeyondLadderEnd,
        rows: vec![d.row],
        column: header(state, field),
        what: format!("beyond the end of `{id}`"),
        found: written(state, field, d.row),
        allowed,
        suggestion: format!(
            "look for a typing error or another test; who completed the ladder has `{last}` and the reason end_of_ladder"
        ),
        probability: None,
    };
    state.report(draft);
}

pub(super) fn run(state: &mut State<'_>, history: &History, shift: &dyn Fn(usize) -> f64) {
    let case = state.case;
    for row in 0..case.rows() {
        if state.is_claimed(row) || state.is_absent(row) {
            continue;
        }
        let Some((change, error)) = history.change(row) else {
            continue;
        };
        let change = change - shift(row);
        if change.abs() <= FAR * error {
            continue;
        }
        // A stop that gives a lower bound may lie anywhere below.
        let lower = matches!(
            reason(state, row),
            Some(
                StopReason::Injury
                    | StopReason::Medical
                    | StopReason::Technical
                    | StopReason::Discipline
                    | StopReason::Withdrew
            )
        );
        if lower && change < 0.0 {
            continue;
        }
        let before = history.past(row).map_or(0.0, |p| p.mean.exp());
        let way = if change > 0.0 { "above" } else { "below" };
        let field = [
            Field::Distance,
            Field::Label,
            Field::Shuttles,
            Field::Bouts,
            Field::Time,
        ]
        .into_iter()
        .find(|f| case.mapping.has(*f))
        .unwrap_or(Field::Distance);
        let (low, high) = (before * (-FAR * error).exp(), before * (FAR * error).exp());
        state.report(Draft {
            code: Code::OutsideOwnHistory,
            rows: vec![row],
            column: header(state, field),
            what: format!(
                "{:.0} % {way} the person's own past, {:.1} standard errors",
                (change.exp() - 1.0).abs() * 100.0,
                change.abs() / error
            ),
            found: together(state, row),
            allowed: format!(
                "about {before:.0}, between {low:.0} and {high:.0}; typical error {}",
                history.basis
            ),
            suggestion: "check the entry against the original sheet; if it is right, accept it"
                .to_owned(),
            probability: None,
        });
    }
}
