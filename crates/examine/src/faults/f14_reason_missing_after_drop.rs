//! Fault 14: a run ended by injury scored as if by fatigue, because nobody wrote the reason.
//! Detection: a note that hints at another cause; or a drop below the person's own past without a reason.
//! Threshold of the drop: 3.5 standard errors, 0.02 % of unchanged runners.

use plimsoll_judge::StopReason;

use super::code::Code;
use super::f02_label_distance_disagree::together;
use super::f13_zero_for_absent::reason;
use super::finding::Draft;
use super::state::State;
use crate::cell;
use crate::header::Field;
use crate::history::History;

const DROP: f64 = 3.5;

pub(super) fn run(state: &mut State<'_>, history: &History, shift: &dyn Fn(usize) -> f64) {
    let case = state.case;
    for row in 0..case.rows() {
        if state.is_claimed(row) || state.is_absent(row) || !case.has_result(row) {
            continue;
        }
        let stated = reason(state, row);
        let open = matches!(stated, None | Some(StopReason::NotRecorded));
        let fatigue = matches!(stated, Some(StopReason::Exhaustion | StopReason::Misses));
        // A reason column that cannot be read is its own finding.
        if stated.is_none()
            && case.mapping.has(Field::Reason)
            && !case.cell(Field::Reason, row).is_empty()
        {
            continue;
        }
        let hint = case
            .mapping
            .indexes_of(Field::Notes)
            .filter_map(|i| case.sheet.columns().get(i))
            .find_map(|c| {
                Some((
                    c.header().to_owned(),
                    cell::hints_at_other_cause(&c.cell(row).to_string())?,
                ))
            });
        if let Some((header, cause)) = hint
            && (open || fatigue)
        {
            by_note(state, row, &header, cause, stated);
        } else if open
            && let Some((change, error)) = history.change(row)
            && change - shift(row) < -DROP * error
        {
            by_drop(state, history, row, change);
        }
    }
}

fn by_note(
    state: &mut State<'_>,
    row: usize,
    header: &str,
    cause: StopReason,
    stated: Option<StopReason>,
) {
    let case = state.case;
    let index = case
        .mapping
        .columns()
        .iter()
        .position(|c| c.header == header);
    let note = index
        .and_then(|i| case.sheet.columns().get(i))
        .map(|c| c.cell(row).to_string())
        .unwrap_or_default();
    let scored = match stated {
        Some(reason @ (StopReason::Exhaustion | StopReason::Misses)) => {
            format!("the reason says {}", reason.in_words())
        }
        _ => "no reason is recorded".to_owned(),
    };
    state.report(Draft {
        code: Code::ReasonMissingAfterDrop,
        rows: vec![row],
        column: header.to_owned(),
        what: format!("the note hints at {}, but {scored}", cause.in_words()),
        found: format!("`{}`", crate::case::shorten(&note)),
        allowed: "a stop reason that agrees with the note".to_owned(),
        suggestion: format!(
            "ask, and record `{}` if that ended the run: the result is then a lower bound and no score",
            cause.as_str()
        ),
        probability: None,
    });
}

fn by_drop(state: &mut State<'_>, history: &History, row: usize, change: f64) {
    let case = state.case;
    let column = if case.mapping.has(Field::Reason) {
        case.mapping.header_of(Field::Reason)
    } else {
        Field::Reason.as_str().to_owned()
    };
    let before = history.past(row).map_or(0.0, |p| p.mean.exp());
    state.report(Draft {
        code: Code::ReasonMissingAfterDrop,
        rows: vec![row],
        column,
        what: format!(
            "{:.0} % below the person's own past (about {before:.0}) and no stop reason recorded",
            (1.0 - change.exp()) * 100.0
        ),
        found: together(state, row),
        allowed: format!("a stop reason; typical error {}", history.basis),
        suggestion: "ask what ended the run: after an injury or a fault of the sound the result is a lower bound".to_owned(),
        probability: None,
    });
}
