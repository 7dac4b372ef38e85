//! Fault 10, first form: values that slipped into the rows of other people.
//! Detection: a stretch of rows fits the people a few rows further on better than their own.
//! Threshold: a likelihood ratio that a clean sheet exceeds at most about once in a thousand.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::code::Code;
use super::finding::Draft;
use super::ladder_phase::header;
use super::state::State;
use crate::header::Field;
use crate::history::History;
use crate::stats::{median, robust_sd};

/// Rows with an earlier result needed in the block, and in the slipped stretch.
const BLOCK: usize = 10;
const STRETCH: usize = 5;
/// How far values are looked for.
const FAR: i64 = 3;
/// Chance of a false alarm in a clean sheet, at most about.
const FALSE_ALARM: f64 = 1e-3;
/// A row argues with at most this many units of log-likelihood, so that one odd row decides nothing.
const LOUDEST: f64 = 6.0;

/// A stretch that slipped.
struct Slip {
    start: usize,
    end: usize,
    by: i64,
    log_ratio: f64,
}

pub(super) fn run(state: &mut State<'_>, history: &History) {
    let case = state.case;
    let mut blocks: BTreeMap<(Option<Date>, Option<usize>), Vec<usize>> = BTreeMap::new();
    for row in 0..case.rows() {
        if history.now(row).is_some() {
            blocks
                .entry((state.day(row), case.test(row)))
                .or_default()
                .push(row);
        }
    }
    for rows in blocks.into_values() {
        if let Some(slip) = find(history, &rows) {
            tell(state, history, &rows, &slip);
        }
    }
}

fn find(history: &History, rows: &[usize]) -> Option<Slip> {
    let pairs: Vec<(f64, Option<f64>)> = rows
        .iter()
        .map(|r| {
            (
                history.now(*r).unwrap_or(f64::NAN),
                history.past(*r).map(|p| p.mean),
            )
        })
        .collect();
    let past: Vec<f64> = pairs.iter().filter_map(|p| p.1).collect();
    if past.len() < BLOCK {
        return None;
    }
    // Without spread between people a slip cannot show.
    let sigma = noise(history, &pairs);
    if robust_sd(&past)? < sigma {
        return None;
    }
    let now: Vec<f64> = pairs
        .iter()
        .filter(|p| p.1.is_some())
        .map(|p| p.0)
        .collect();
    let shift = median(&now)? - median(&past)?;
    let log = |value: f64, past: f64| {
        let r = value - past - shift;
        -(r * r / (2.0 * sigma * sigma)).min(LOUDEST)
    };
    let n = pairs.len();
    let mut best: Option<Slip> = None;
    for by in (-FAR..=FAR).filter(|by| *by != 0) {
        let gain = |i: usize| -> f64 {
            let own = pairs.get(i).and_then(|p| Some((p.0, p.1?)));
            let other = usize::try_from(i as i64 + by)
                .ok()
                .and_then(|j| pairs.get(j)?.1);
            match (own, other) {
                (Some((value, past)), Some(other)) => log(value, other) - log(value, past),
                _ => 0.0,
            }
        };
        // Largest sum over a stretch of neighbouring rows.
        let (mut sum, mut start) = (0.0, 0);
        for i in 0..n {
            if sum <= 0.0 {
                (sum, start) = (0.0, i);
            }
            sum += gain(i);
            if i + 1 - start >= STRETCH && best.as_ref().is_none_or(|b| sum > b.log_ratio) {
                best = Some(Slip {
                    start,
                    end: i + 1,
                    by,
                    log_ratio: sum,
                });
            }
        }
    }
    let tried = 6.0 * (n * n) as f64 / 2.0;
    best.filter(|slip| slip.log_ratio >= (tried / FALSE_ALARM).ln())
}

/// The noise of a change: the expected one, or what the block shows in the row order, moved or not,
/// in which it shows least; a slip of most rows must not pass for noise.
fn noise(history: &History, pairs: &[(f64, Option<f64>)]) -> f64 {
    let expected = (history.expected_error * std::f64::consts::SQRT_2).hypot(0.02);
    let shown = (-FAR..=FAR).filter_map(|by| {
        let changes: Vec<f64> = pairs
            .iter()
            .enumerate()
            .filter_map(|(i, p)| {
                let j = usize::try_from(i as i64 + by).ok()?;
                Some(p.0 - pairs.get(j)?.1?)
            })
            .collect();
        robust_sd(&changes)
    });
    expected.max(shown.fold(f64::INFINITY, f64::min))
}

fn tell(state: &mut State<'_>, history: &History, rows: &[usize], slip: &Slip) {
    let case = state.case;
    let Some(list) = rows.get(slip.start..slip.end) else {
        return;
    };
    let Some(first) = list.first().copied() else {
        return;
    };
    let owner = usize::try_from(slip.start as i64 + slip.by)
        .ok()
        .and_then(|i| rows.get(i))
        .and_then(|r| case.people.person(*r))
        .map_or_else(|| "another row".to_owned(), |p| p.name.clone());
    let field = [
        Field::Label,
        Field::Stage,
        Field::Distance,
        Field::Shuttles,
        Field::Bouts,
        Field::Time,
    ]
    .into_iter()
    .find(|f| case.mapping.has(*f))
    .unwrap_or(Field::Distance);
    let n = slip.by.unsigned_abs();
    let way = if slip.by > 0 { "too high" } else { "too low" };
    let plural = if n == 1 { "row" } else { "rows" };
    let before = history.past(first).map_or(0.0, |p| p.mean.exp());
    state.report(Draft {
        code: Code::RowSlip,
        rows: list.to_vec(),
        column: header(
            state,
            if field == Field::Stage {
                Field::Label
            } else {
                field
            },
        ),
        what: format!(
            "{} values stand {n} {plural} {way} against everybody's own earlier results",
            list.len()
        ),
        found: format!(
            "{} in row {}, after about {before:.0} before",
            super::f02_label_distance_disagree::together(state, first),
            case.number(first)
        ),
        allowed: "values near each person's own earlier result".to_owned(),
        suggestion: format!(
            "compare with the original sheet: the value in row {} fits {owner}",
            case.number(first)
        ),
        probability: Some(
            1.0 - (-(slip.log_ratio - (6.0 * (rows.len() * rows.len()) as f64 / 2.0).ln())).exp(),
        ),
    });
}
