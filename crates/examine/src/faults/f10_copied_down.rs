//! Fault 10, second form: one value copied down over several people.
//! Detection: a run of equal results too long for how common the value is elsewhere in the file.
//! Threshold: expected less than once in a thousand sheets. A sorted sheet has runs and is left alone.

use std::collections::HashMap;

use super::code::Code;
use super::f02_label_distance_disagree::together;
use super::finding::Draft;
use super::ladder_phase::header;
use super::state::State;
use crate::cell::LabelReading;
use crate::header::Field;

/// Shortest run looked at.
const SHORTEST: usize = 4;
/// Expected runs in a clean sheet below which one is told.
const FALSE_ALARM: f64 = 1e-3;
/// People side by side stop together more often than by chance. Common practice, no source.
const TOGETHER: f64 = 1.5;
/// Rows on each side that show whether the sheet is sorted.
const AROUND: usize = 8;

const COLUMNS: [Field; 8] = [
    Field::Label,
    Field::Stage,
    Field::BoutInStage,
    Field::Distance,
    Field::Bouts,
    Field::Shuttles,
    Field::Time,
    Field::Speed,
];

pub(super) fn run(state: &mut State<'_>) {
    let case = state.case;
    let columns: Vec<Field> = COLUMNS
        .into_iter()
        .filter(|f| case.mapping.has(*f))
        .collect();
    if columns.is_empty() {
        return;
    }
    let rows: Vec<usize> = (0..case.rows())
        .filter(|r| !state.is_claimed(*r) && !state.is_absent(*r))
        .collect();
    let mut ids: HashMap<Vec<u32>, u32> = HashMap::new();
    let values: Vec<u32> = rows
        .iter()
        .map(|row| {
            let key: Vec<u32> = columns.iter().map(|f| case.kind(*f, *row)).collect();
            let next = ids.len() as u32;
            *ids.entry(key).or_insert(next)
        })
        .collect();
    let mut counts = vec![0_usize; ids.len()];
    for v in &values {
        if let Some(n) = counts.get_mut(*v as usize) {
            *n += 1;
        }
    }
    let n = rows.len();
    let mut i = 0;
    let mut runs: Vec<(usize, usize)> = Vec::new();
    while i < n {
        let value = values.get(i);
        let mut end = i + 1;
        while end < n
            && values.get(end) == value
            && rows.get(end).copied() == rows.get(end - 1).map(|r| r + 1)
            && different_people(state, &rows, end)
        {
            end += 1;
        }
        let length = end - i;
        if length >= SHORTEST {
            let here = value
                .and_then(|v| counts.get(*v as usize))
                .copied()
                .unwrap_or(0);
            let outside = (here - length) as f64;
            let others = (n - length) as f64;
            // One pseudo-value for every different one: a value not seen elsewhere is rare, not impossible.
            let p = (outside + 0.5) / (others + 0.5 * ids.len() as f64) * TOGETHER;
            if p < 1.0 && n as f64 * p.powi(length as i32 - 1) < FALSE_ALARM {
                runs.push((i, end));
            }
        }
        i = end;
    }
    for (start, end) in runs {
        if is_sorted_around(state, &rows, start, end) {
            continue;
        }
        let Some(list) = rows.get(start..end) else {
            continue;
        };
        tell(state, list, &columns);
    }
}

fn different_people(state: &State<'_>, rows: &[usize], at: usize) -> bool {
    let person = |i: usize| rows.get(i).and_then(|r| state.case.people.at(*r));
    match (person(at), person(at - 1)) {
        (Some(a), Some(b)) => a != b,
        _ => true,
    }
}

/// Whether the rows around a run only rise or only fall.
fn is_sorted_around(state: &State<'_>, rows: &[usize], start: usize, end: usize) -> bool {
    let from = start.saturating_sub(AROUND);
    let to = (end + AROUND).min(rows.len());
    let order = |row: usize| -> Option<f64> {
        let seen = state.case.observed(row);
        seen.distance_m
            .or_else(|| match state.case.label(row) {
                LabelReading::Label(l) => {
                    Some(f64::from(l.stage) * 100.0 + f64::from(l.bout.unwrap_or(0)))
                }
                _ => None,
            })
            .or_else(|| seen.shuttles.or(seen.bouts).map(f64::from))
            .or_else(|| seen.time.map(|t| t.seconds))
    };
    let values: Vec<f64> = rows
        .get(from..to)
        .unwrap_or_default()
        .iter()
        .filter_map(|r| order(*r))
        .collect();
    let (mut up, mut down) = (0_usize, 0_usize);
    for pair in values.windows(2) {
        if let [a, b] = pair {
            up += usize::from(b > a);
            down += usize::from(b < a);
        }
    }
    let (more, fewer) = (up.max(down), up.min(down));
    more >= 4 && fewer * 10 <= more
}

fn tell(state: &mut State<'_>, list: &[usize], columns: &[Field]) {
    let case = state.case;
    let Some(first) = list.first().copied() else {
        return;
    };
    let field = columns.first().copied().unwrap_or(Field::Distance);
    let (n, after) = (list.len(), case.number(first));
    state.report(Draft {
        code: Code::CopiedDown,
        // The first of the run is the one that was copied; it may well be right, but nobody knows.
        rows: list.to_vec(),
        column: header(
            state,
            if field == Field::Stage {
                Field::Label
            } else {
                field
            },
        ),
        what: format!("{n} people in a row have exactly the same result"),
        found: together(state, first),
        allowed: "a result of their own for each person".to_owned(),
        suggestion: format!(
            "compare rows after {after} with the original sheet: the value was probably copied down"
        ),
        probability: None,
    });
}
