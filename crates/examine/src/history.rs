//! What each person did before: earlier rows of the file, earlier columns, and the archive's results.
//! Works on logarithms of distance, where the typical error is a percentage.

use std::collections::{BTreeMap, HashMap};

use jiff::civil::Date;
use plimsoll_judge::Amount;
use plimsoll_ladder::Shape;

use crate::cell::{self, LabelReading};
use crate::faults::State;
use crate::header::Field;
use crate::readings::Read;
use crate::stats::{median, robust_sd};

/// Older results say little about today: a year and a month. Common practice, no source.
const OLDEST_DAYS: i64 = 400;
/// At most so many earlier results count.
const LAST: usize = 3;
/// Pairs needed before the file's own typical error counts. Source: interpretation notes, section 4
/// (own data take over at 10 pairs).
const OWN_PAIRS: usize = 10;
/// Standard error of a spread taken from medians, times the root of the number, over the spread.
/// Derived: the median deviation is 37 % as efficient as the standard deviation, 1 / sqrt(2 * 0.37).
const SPREAD_ERROR: f64 = 1.16;
/// People in a wave before its median counts as its centre.
const SMALL_WAVE: usize = 5;

/// Results of each person in each test: day and logarithm.
type Earlier = HashMap<(usize, Option<usize>), Vec<(Date, f64)>>;

/// A person's earlier results.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Past {
    /// Mean logarithm of the earlier distances (metres) or negative logarithm of times.
    pub mean: f64,
    /// How many there are.
    pub n: usize,
}

/// The earlier results of every row.
pub(crate) struct History {
    now: Vec<Option<f64>>,
    past: Vec<Option<Past>>,
    /// Typical error as a standard deviation of logarithms.
    pub typical_error: f64,
    /// The typical error before the file's own repeats are looked at.
    pub expected_error: f64,
    /// Where the typical error comes from, in words.
    pub basis: String,
}

impl History {
    /// Gathers what is known.
    pub fn of(state: &State<'_>) -> Self {
        let case = state.case;
        let n = case.rows();
        let now: Vec<Option<f64>> = (0..n).map(|row| performance(state, row)).collect();
        let mut earlier: Earlier = HashMap::new();
        for row in 0..n {
            if let (Some(person), Some(day), Some(value)) = (
                case.people.at(row),
                state.day(row),
                now.get(row).copied().flatten(),
            ) && case.people.list.get(person).is_some_and(|p| p.named)
            {
                earlier
                    .entry((person, key(state, row)))
                    .or_default()
                    .push((day, value));
            }
        }
        add_archive(state, &mut earlier);
        for list in earlier.values_mut() {
            list.sort_by_key(|(day, _)| *day);
        }
        let columns = previous_columns(state);
        let mut past: Vec<Option<Past>> = vec![None; n];
        let mut changes: BTreeMap<(Option<Date>, u32, Option<usize>), Vec<f64>> = BTreeMap::new();
        for row in 0..n {
            let mut values: Vec<f64> = Vec::new();
            if let (Some(person), Some(day)) = (case.people.at(row), state.day(row))
                && let Some(list) = earlier.get(&(person, key(state, row)))
            {
                let before = list.iter().rev().filter(|(d, _)| {
                    let age = day.duration_since(*d).as_hours() / 24;
                    (1..=OLDEST_DAYS).contains(&age)
                });
                values.extend(before.take(LAST).map(|(_, v)| *v));
            }
            if let Some(value) = columns.get(row).copied().flatten() {
                values.push(value);
            }
            if values.is_empty() {
                continue;
            }
            let mean = values.iter().sum::<f64>() / values.len() as f64;
            if let (Some(slot), Some(first)) = (past.get_mut(row), values.first()) {
                *slot = Some(Past {
                    mean,
                    n: values.len(),
                });
                if let Some(value) = now.get(row).copied().flatten() {
                    let wave = (state.day(row), case.kind(Field::Wave, row), key(state, row));
                    changes.entry(wave).or_default().push(value - first);
                }
            }
        }
        let (expected_error, source) = expected_error(state);
        let (typical_error, basis) = own_error(&changes)
            .filter(|(own, _)| *own > expected_error)
            .unwrap_or((expected_error, source));
        Self {
            now,
            past,
            typical_error,
            expected_error,
            basis,
        }
    }

    /// Returns the logarithm of a row's performance.
    pub fn now(&self, row: usize) -> Option<f64> {
        self.now.get(row).copied().flatten()
    }

    /// Returns the earlier results of a row's person.
    pub fn past(&self, row: usize) -> Option<Past> {
        self.past.get(row).copied().flatten()
    }

    /// Returns the change of a row against its own past, and its standard error.
    pub fn change(&self, row: usize) -> Option<(f64, f64)> {
        let (now, past) = (self.now(row)?, self.past(row)?);
        let error = self.typical_error * (1.0 + 1.0 / past.n as f64).sqrt();
        Some((now - past.mean, error))
    }
}

/// Rows compare only within one test.
fn key(state: &State<'_>, row: usize) -> Option<usize> {
    state.case.test(row)
}

/// Logarithm of the distance; for a run over a fixed distance the negative logarithm of the time.
fn performance(state: &State<'_>, row: usize) -> Option<f64> {
    let case = state.case;
    let shape = case
        .test(row)
        .and_then(|t| case.ladders.tests.get(t))
        .map(|t| t.shape);
    if shape == Some(Shape::TimeForDistance) {
        if state.is_claimed(row) || state.is_absent(row) {
            return None;
        }
        return case
            .observed(row)
            .time
            .map(|t| -t.seconds.ln())
            .filter(|v| v.is_finite());
    }
    let metres = state.distance_m(row).or_else(|| lone_label(state, row))?;
    (metres > 0.0).then(|| metres.ln())
}

/// A label alone, read on the first ladder that fits the sheet: only to compare a person with
/// himself or herself.
fn lone_label(state: &State<'_>, row: usize) -> Option<f64> {
    if state.is_claimed(row) || state.is_absent(row) {
        return None;
    }
    let LabelReading::Label(label) = state.case.label(row) else {
        return None;
    };
    label_metres(state, row, &label.text)
}

fn label_metres(state: &State<'_>, row: usize, label: &str) -> Option<f64> {
    let ladder = state.case.declared_table(row).or_else(|| {
        let group = state
            .groups
            .iter()
            .find(|g| g.test == state.case.test(row))?;
        group
            .conclusion
            .table
            .or_else(|| group.conclusion.compatible.first().copied())
    })?;
    let table = state.case.table(ladder)?;
    table.rung(table.by_label(label)?).map(|r| r.distance_m)
}

/// An earlier distance or label in a column of the same row.
fn previous_columns(state: &State<'_>) -> Vec<Option<f64>> {
    let case = state.case;
    let distance = Read::of(
        &case.sheet,
        &case.mapping,
        Field::PreviousDistance,
        cell::distance,
    );
    let label = Read::of(
        &case.sheet,
        &case.mapping,
        Field::PreviousLabel,
        cell::label,
    );
    (0..case.rows())
        .map(|row| {
            let metres = match distance.as_ref().and_then(|d| d.at(&case.sheet, row)) {
                Some(cell::DistanceReading::Value { value, .. }) if *value > 0.0 => Some(*value),
                _ => match label.as_ref().and_then(|l| l.at(&case.sheet, row)) {
                    Some(LabelReading::Label(label)) => label_metres(state, row, &label.text),
                    _ => None,
                },
            };
            metres.map(f64::ln)
        })
        .collect()
}

/// Earlier results of people whom the archive knows.
fn add_archive(state: &State<'_>, earlier: &mut Earlier) {
    let case = state.case;
    let context = &case.options.context;
    if context.history.is_empty() {
        return;
    }
    let mut by_person: HashMap<&str, Vec<usize>> = HashMap::new();
    for (i, result) in context.history.iter().enumerate() {
        by_person.entry(result.person.as_str()).or_default().push(i);
    }
    for (person, entry) in case.people.list.iter().enumerate() {
        let Some(known) = entry.known.and_then(|k| context.roster.get(k)) else {
            continue;
        };
        for result in by_person.get(known.id.as_str()).into_iter().flatten() {
            let Some(result) = context.history.get(*result) else {
                continue;
            };
            let Some(test) = case.ladders.find(&result.test) else {
                continue;
            };
            let table = case.ladders.tests.get(test).and_then(|t| t.table);
            let value = match result.amount {
                Amount::Bouts(n) => table
                    .and_then(|t| case.table(t)?.rung((n as usize).checked_sub(1)?))
                    .map(|r| r.distance_m.ln()),
                Amount::DistanceMm(mm) => (mm > 0).then(|| (f64::from(mm) / 1e3).ln()),
                Amount::TimeMs(ms) => (ms > 0).then(|| -(f64::from(ms) / 1e3).ln()),
            };
            if let Some(value) = value {
                earlier
                    .entry((person, Some(test)))
                    .or_default()
                    .push((result.date, value));
            }
        }
    }
}

/// The typical error given by the caller, or the default of the test.
fn expected_error(state: &State<'_>) -> (f64, String) {
    if let Some(percent) = state.case.options.context.typical_error_percent {
        return (
            (1.0 + percent / 100.0).ln(),
            format!("{percent} %, given by the caller"),
        );
    }
    let id = state.groups.iter().find_map(|g| {
        let table = g.declared.or(g.conclusion.table)?;
        state.case.table(table).map(|t| t.id.as_str())
    });
    let (percent, source) = default_error(id.unwrap_or(""), is_youth(state));
    (
        f64::ln(1.0 + percent / 100.0),
        format!("{percent} % ({source})"),
    )
}

/// What the file's own repeats show, each wave about its own median so that a shifted wave does not
/// pass for noise. It is used only where it is larger than the expected one.
fn own_error<K>(changes: &BTreeMap<K, Vec<f64>>) -> Option<(f64, String)> {
    let mut centred: Vec<f64> = Vec::new();
    for wave in changes.values().filter(|w| w.len() >= SMALL_WAVE) {
        let centre = median(wave)?;
        centred.extend(wave.iter().map(|c| c - centre));
    }
    if centred.len() < OWN_PAIRS {
        return None;
    }
    // A median of so many has an uncertainty of its own: its upper end is used.
    let own = robust_sd(&centred)? / std::f64::consts::SQRT_2
        * (1.0 + SPREAD_ERROR / (centred.len() as f64).sqrt());
    let percent = (own.exp() - 1.0) * 100.0;
    Some((
        own,
        format!(
            "{percent:.1} %, from {} repeats in this file",
            centred.len()
        ),
    ))
}

/// Whether half of the people with a known age are below sixteen.
fn is_youth(state: &State<'_>) -> bool {
    let case = state.case;
    let days = (0..case.rows()).filter_map(|r| case.day(r));
    let Some(day) = days.max().or(case.options.context.today) else {
        return false;
    };
    let births = case.people.list.iter().filter_map(|p| p.birth);
    let ages: Vec<f64> = births
        .map(|b| day.duration_since(b).as_hours() as f64 / 24.0 / 365.25)
        .collect();
    median(&ages).is_some_and(|age| age < YOUTH)
}

/// Below this age tests repeat less well. Source: interpretation notes, section 4 (under 13 to under 15).
const YOUTH: f64 = 16.0;

/// Default typical error, per cent, with its source.
fn default_error(id: &str, youth: bool) -> (f64, &'static str) {
    match id {
        _ if youth => (12.0, "youth, range 8 to 17 %, secondary source read"),
        "ir1" | "ir1_sub6" => (7.3, "Fanchini 2014, abstract read"),
        "ir2" => (10.0, "range 7 to 13 %, secondary source read"),
        "ir1c" => (10.0, "range 5 to 12 %, secondary source read"),
        _ if id.starts_with("msr20") => (8.0, "about 6 of 75 shuttles, derived"),
        _ => (8.0, "common practice, no source"),
    }
}
