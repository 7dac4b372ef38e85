//! Fault 13: a zero where somebody was absent. A zero with a stop reason is a result of no bouts.
//! Detection: zero in every result column of the row that is filled, and no reason recorded.

use plimsoll_judge::StopReason;

use super::code::Code;
use super::finding::Draft;
use super::state::{Place, State};
use crate::cell::{CountReading, DistanceReading, LabelReading, SpeedReading, TimeReading};
use crate::header::Field;
use crate::rules::Rule;

pub(super) fn run(state: &mut State<'_>) {
    for row in 0..state.case.rows() {
        if state.is_absent(row) || state.is_claimed(row) {
            continue;
        }
        let Some(field) = zero(state, row) else {
            continue;
        };
        match reason(state, row) {
            Some(StopReason::NotRecorded) | None => report(state, row, field),
            Some(_) => {
                // No bout completed, and the sheet says why: a result.
                if let Some(table) = state.case.declared_table(row) {
                    state.set_place(row, Place { table, bouts: 0 });
                }
            }
        }
    }
}

/// Returns the recorded reason of a row; nothing when the column is missing or cannot be read.
pub(super) fn reason(state: &State<'_>, row: usize) -> Option<StopReason> {
    if !state.case.mapping.has(Field::Reason) {
        return None;
    }
    state.case.cell(Field::Reason, row).to_string().parse().ok()
}

/// Returns the column of the zero when all filled result columns are zero.
fn zero(state: &State<'_>, row: usize) -> Option<Field> {
    let case = state.case;
    let values = &case.read.values;
    let mut zero = None;
    let mut mark = |field: Field, value: Option<bool>| match value {
        Some(true) => {
            zero = zero.or(Some(field));
            true
        }
        Some(false) => false,
        None => true,
    };
    let distance = values
        .distance
        .as_ref()
        .and_then(|r| match r.at(&case.sheet, row) {
            Some(DistanceReading::Value { value, .. }) => Some(*value == 0.0),
            _ => None,
        });
    let count = |read: &Option<crate::readings::Read<CountReading>>| {
        read.as_ref().and_then(|r| match r.at(&case.sheet, row) {
            Some(CountReading::Value(n)) => Some(*n == 0),
            _ => None,
        })
    };
    let label = match case.label(row) {
        LabelReading::Label(label) => Some(label.stage == 0 && label.bout.unwrap_or(0) == 0),
        LabelReading::Date { .. } | LabelReading::Unreadable => Some(false),
        LabelReading::Absent => None,
    };
    let time = values
        .time
        .as_ref()
        .and_then(|r| match r.at(&case.sheet, row) {
            Some(TimeReading::Value { value, .. }) => Some(*value == 0.0),
            _ => None,
        });
    let speed = values
        .speed
        .as_ref()
        .and_then(|r| match r.at(&case.sheet, row) {
            Some(SpeedReading::Value(value, _)) => Some(*value == 0.0),
            _ => None,
        });
    let all = mark(Field::Distance, distance)
        && mark(Field::Bouts, count(&values.bouts))
        && mark(Field::Shuttles, count(&values.shuttles))
        && mark(Field::Label, label)
        && mark(Field::Time, time)
        && mark(Field::Speed, speed);
    if all { zero } else { None }
}

fn report(state: &mut State<'_>, row: usize, field: Field) {
    let case = state.case;
    let (column, found) = if field == Field::Label {
        (case.label_header(), case.written_label(row))
    } else {
        (case.mapping.header_of(field), case.written(field, row))
    };
    if state.allows(Rule::ZeroIsAbsent) {
        state.set_absent(row);
        state.correct(
            row,
            column,
            found,
            "no result".to_owned(),
            Rule::ZeroIsAbsent,
        );
        return;
    }
    let reason = if case.mapping.has(Field::Reason) {
        "no reason is recorded"
    } else {
        "the file has no reason column"
    };
    state.report(Draft {
        code: Code::ZeroForAbsent,
        rows: vec![row],
        column,
        what: format!("a zero, and {reason}"),
        found,
        allowed: "a completed bout, an empty cell for somebody who did not run, or zero with a stop reason".to_owned(),
        suggestion: "empty the cell if the person was absent; otherwise record why no bout was completed".to_owned(),
        probability: None,
    });
}
