//! Fault 18: heart rates that a heart does not give: spikes, flat lines, cadence lock, another's strap.
//! Detection: limits, order of rest, end and recovery, jumps within a series, equal series of two people.
//! A sheet has single values; what only a continuous recording shows is not seen here.

use super::code::Code;
use super::finding::Draft;
use super::state::State;
use crate::cell::parse_number;
use crate::header::{Field, HeartRole};

/// Lowest and highest believable value, beats a minute. Common practice, no source.
const LIMITS: (f64, f64) = (30.0, 230.0);
/// Largest rise or fall between neighbouring values of a series of bouts. Common practice, no source.
const JUMP: f64 = 40.0;
/// Recovery may exceed the end value by a little.
const SLACK: f64 = 3.0;
/// Equal values in a row, in a series or down the column, that look like a flat line.
const FLAT: usize = 5;
/// Values that two people must share to have shared a strap.
const SHARED: usize = 4;

/// A heart-rate column.
struct Heart {
    index: usize,
    header: String,
    role: HeartRole,
}

pub(super) fn run(state: &mut State<'_>) {
    let case = state.case;
    let columns: Vec<Heart> = case
        .mapping
        .columns()
        .iter()
        .enumerate()
        .filter_map(|(index, c)| {
            Some(Heart {
                index,
                header: c.header.clone(),
                role: c.heart?,
            })
        })
        .collect();
    if columns.is_empty() {
        return;
    }
    let mut series: Vec<&Heart> = columns
        .iter()
        .filter(|c| matches!(c.role, HeartRole::Series(_)))
        .collect();
    series.sort_by_key(|c| match c.role {
        HeartRole::Series(n) => n,
        _ => 0,
    });
    for row in 0..case.rows() {
        one_row(state, row, &columns, &series);
    }
    shared_straps(state, &series);
    flat_column(state, &columns);
}

fn value(state: &State<'_>, column: &Heart, row: usize) -> Option<f64> {
    let cell = state.case.sheet.columns().get(column.index)?.cell(row);
    let text = cell.to_string();
    let (value, rest) = parse_number(&text, false)?;
    matches!(rest, "" | "bpm" | "b/min").then_some(value)
}

fn one_row(state: &mut State<'_>, row: usize, columns: &[Heart], series: &[&Heart]) {
    let find = |want: fn(HeartRole) -> bool| {
        columns
            .iter()
            .find(|c| want(c.role))
            .and_then(|c| Some((c, value(state, c, row)?)))
    };
    let mut told: Option<Draft> = None;
    for column in columns {
        if let Some(v) = value(state, column, row)
            && !(LIMITS.0..=LIMITS.1).contains(&v)
        {
            told = Some(draft(
                row,
                &column.header,
                "no heart beats at this rate",
                format!("{v}"),
                format!("{} to {} beats a minute", LIMITS.0, LIMITS.1),
                "check the strap's contact and the entry; leave the cell empty if it is an artefact",
            ));
            break;
        }
    }
    let end = find(|r| r == HeartRole::End);
    let rest = find(|r| r == HeartRole::Rest);
    if told.is_none()
        && let (Some((column, low)), Some((_, high))) = (rest, end)
        && low >= high
    {
        told = Some(draft(
            row,
            &column.header,
            "the resting value is not below the value at the end",
            format!("{low} at rest, {high} at the end"),
            format!("below {high}"),
            "the two columns may be exchanged",
        ));
    }
    if told.is_none()
        && let Some((_, high)) = end
    {
        let mut before = (0, high);
        let mut after: Vec<(u32, &Heart)> = columns
            .iter()
            .filter_map(|c| match c.role {
                HeartRole::After(s) => Some((s, c)),
                _ => None,
            })
            .collect();
        after.sort_by_key(|a| a.0);
        for (seconds, column) in after {
            let Some(v) = value(state, column, row) else {
                continue;
            };
            if v > before.1 + SLACK {
                told = Some(draft(
                    row,
                    &column.header,
                    "the heart rate rises during recovery",
                    format!("{} at {} s, then {v} at {seconds} s", before.1, before.0),
                    format!("at most {}", before.1),
                    "the columns may be exchanged, or the strap slipped at the end",
                ));
                break;
            }
            before = (seconds, v);
        }
    }
    if told.is_none() {
        told = in_series(state, row, series);
    }
    if told.is_none() {
        told = cadence(state, row, columns);
    }
    if let Some(draft) = told {
        state.report(draft);
    }
}

fn in_series(state: &State<'_>, row: usize, series: &[&Heart]) -> Option<Draft> {
    let values: Vec<(&Heart, f64)> = series
        .iter()
        .filter_map(|c| Some((*c, value(state, c, row)?)))
        .collect();
    for pair in values.windows(2) {
        if let [(_, a), (column, b)] = pair
            && (a - b).abs() > JUMP
        {
            return Some(draft(
                row,
                &column.header,
                "the heart rate jumps between neighbouring values",
                format!("{a}, then {b}"),
                format!("a change of at most {JUMP} beats a minute"),
                "treat the value as a spike of the sensor",
            ));
        }
    }
    let flat = values.windows(FLAT).find(|w| {
        w.iter()
            .all(|(_, v)| w.first().is_some_and(|(_, first)| v == first))
    })?;
    let (column, v) = flat.first()?;
    Some(draft(
        row,
        &column.header,
        "the series does not move",
        format!("{v} in {FLAT} columns"),
        "a heart rate that changes from bout to bout".to_owned(),
        "treat the series as a flat line of the sensor",
    ))
}

/// A sensor that follows the steps instead of the heart.
fn cadence(state: &State<'_>, row: usize, columns: &[Heart]) -> Option<Draft> {
    let steps = parse_number(&state.case.cell(Field::Cadence, row).to_string(), false)?.0;
    let column = columns
        .iter()
        .find(|c| matches!(c.role, HeartRole::End | HeartRole::Unsaid))?;
    let v = value(state, column, row)?;
    // Equal to within a beat, in rows where most others are not.
    let equal = |r: usize| {
        let s = parse_number(&state.case.cell(Field::Cadence, r).to_string(), false).map(|v| v.0);
        matches!((s, value(state, column, r)), (Some(s), Some(v)) if (s - v).abs() <= 1.0)
    };
    let sample = state.case.rows().min(400);
    let share = (0..sample).filter(|r| equal(*r)).count();
    ((steps - v).abs() <= 1.0 && share * 4 <= sample).then(|| {
        draft(
            row,
            &column.header,
            "the heart rate equals the step rate",
            format!("{v} beats and {steps} steps a minute"),
            "values that differ".to_owned(),
            "the sensor may have locked on to the steps",
        )
    })
}

/// Two people whose whole series are equal.
fn shared_straps(state: &mut State<'_>, series: &[&Heart]) {
    if series.len() < SHARED {
        return;
    }
    let case = state.case;
    let mut seen: std::collections::HashMap<Vec<u64>, usize> = std::collections::HashMap::new();
    for row in 0..case.rows() {
        let values: Vec<f64> = series.iter().filter_map(|c| value(state, c, row)).collect();
        let moves = values.windows(2).any(|w| matches!(w, [a, b] if a != b));
        if values.len() < SHARED || !moves {
            continue;
        }
        let key: Vec<u64> = values.iter().map(|v| v.to_bits()).collect();
        let first = *seen.entry(key).or_insert(row);
        if first == row || case.people.at(first) == case.people.at(row) {
            continue;
        }
        let header = series.first().map(|c| c.header.clone()).unwrap_or_default();
        let n = values.len();
        state.report(Draft {
            rows: vec![first, row],
            ..draft(
                row,
                &header,
                "two people have the same series",
                format!(
                    "{n} equal values in rows {} and {}",
                    case.number(first),
                    case.number(row)
                ),
                "a series of their own for each person".to_owned(),
                "one strap was recorded twice, or two straps were exchanged",
            )
        });
    }
}

/// The same value for five people in a row, far more often than the column has it elsewhere.
fn flat_column(state: &mut State<'_>, columns: &[Heart]) {
    let case = state.case;
    for column in columns
        .iter()
        .filter(|c| !matches!(c.role, HeartRole::Series(_)))
    {
        let values: Vec<Option<f64>> = (0..case.rows()).map(|r| value(state, column, r)).collect();
        let mut at = 0;
        let mut found: Vec<(usize, usize)> = Vec::new();
        while at < values.len() {
            let mut end = at + 1;
            while end < values.len() && values.get(end) == values.get(at) {
                end += 1;
            }
            let Some(Some(v)) = values.get(at).copied() else {
                at = end;
                continue;
            };
            let length = end - at;
            if length >= FLAT {
                let total = values.iter().flatten().count();
                let same = values.iter().flatten().filter(|x| **x == v).count();
                let p = ((same - length) as f64 + 0.5) / ((total - length) as f64 + 1.0);
                // Expected less than once in a thousand sheets.
                if total as f64 * p.powi(length as i32 - 1) < 1e-3 {
                    found.push((at, end));
                }
            }
            at = end;
        }
        for (start, end) in found {
            let v = values.get(start).copied().flatten().unwrap_or(0.0);
            state.report(Draft {
                rows: (start..end).collect(),
                ..draft(
                    start,
                    &column.header,
                    "the same heart rate for several people in a row",
                    format!("{v} in {} rows", end - start),
                    "a value of their own for each person".to_owned(),
                    "the value was copied down, or one strap was read for all",
                )
            });
        }
    }
}

fn draft(
    row: usize,
    column: &str,
    what: &str,
    found: String,
    allowed: String,
    next: &str,
) -> Draft {
    Draft {
        code: Code::HeartRateImplausible,
        rows: vec![row],
        column: column.to_owned(),
        what: what.to_owned(),
        found,
        allowed,
        suggestion: next.to_owned(),
        probability: None,
    }
}
