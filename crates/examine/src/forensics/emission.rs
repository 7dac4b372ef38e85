//! How likely a row is, given a ladder: a mixture of exact, typing error, off by one, lost zero,
//! other unit and gross error for each column. The rates below are chosen, not measured: a published
//! rate of wrong fields is 0.29 % (Garza, source read); messy archives are dirtier.

use super::observed::Observed;
use crate::rungs::Table;

/// Any bout of any ladder is as likely as any other: nothing is assumed about fitness, and a long
/// ladder gains nothing over a short one. The value cancels between ladders.
const FLAT: f64 = 1.0 / 256.0;
/// A cell is as the ladder says.
const EXACT: f64 = 0.95;
/// A cell holds a typing error, spread over about thirty neighbours of the true text.
const TYPING: f64 = 0.02 / 30.0;
/// A label written without its zero at the end. A number cell always loses it.
const LOST_ZERO: f64 = 0.01;
/// One bout off, each way.
const ONE_OFF: f64 = 0.005;
/// A distance in another unit: legs, bouts, kilometres.
const OTHER_UNIT: f64 = 0.004;
/// Nonsense, spread over the values a column can hold.
const GROSS_LABEL: f64 = 0.003 / 300.0;
const GROSS_DISTANCE: f64 = 0.003 / 250.0;
const GROSS_COUNT: f64 = 0.003 / 150.0;
const GROSS_TIME: f64 = 0.01 / 1_500.0;
const GROSS_SPEED: f64 = 0.003 / 40.0;
/// A time at the finish of the bout, to the second; or somewhere in the next bout.
const TIME_AT_FINISH: f64 = 0.6 / 4.0;
const TIME_IN_NEXT: f64 = 0.3 / 25.0;
/// A speed of the stage after the last bout.
const NEXT_SPEED: f64 = 0.05;

/// How far a label column runs ahead of the other columns: written one bout too high or too low.
pub(crate) const OFFSETS: [i32; 3] = [0, 1, -1];

/// How a ladder explains a row, for each of [`OFFSETS`].
#[derive(Debug, Clone, Copy)]
pub(super) struct Explained {
    /// Natural logarithm of the likelihood.
    pub log: [f64; 3],
    /// Whether every column agrees exactly.
    pub exact: [bool; 3],
}

/// Where each column of a row points on a ladder.
struct Pointers {
    label: Option<usize>,
    zero: Option<usize>,
    distance: Option<usize>,
    distance_other: Vec<usize>,
    counts: Vec<usize>,
    time: Option<(usize, usize)>,
    time_other: Option<(usize, usize)>,
    speed: Option<(usize, usize)>,
    speed_other: Vec<(usize, usize)>,
}

/// Explains a row on a ladder.
pub(super) fn explain(table: &Table, seen: &Observed<'_>) -> Explained {
    let at = point(table, seen);
    let mut result = Explained {
        log: [0.0; 3],
        exact: [false; 3],
    };
    for (slot, offset) in OFFSETS.into_iter().enumerate() {
        if offset != 0 && (seen.label.is_none() || seen.columns() < 2) {
            // Without a label beside another column an offset cannot show.
            if let (Some(log), Some(first)) =
                (result.log.first().copied(), result.log.get_mut(slot))
            {
                *first = log;
            }
            continue;
        }
        let mut sum = floor(seen);
        let mut exact = false;
        for bout in candidates(&at, offset, table.len()) {
            let (p, all) = likelihood(table, seen, &at, bout, offset);
            sum += p;
            exact |= all;
        }
        if let Some(log) = result.log.get_mut(slot) {
            *log = (sum * FLAT).ln();
        }
        if let Some(flag) = result.exact.get_mut(slot) {
            *flag = exact;
        }
    }
    result
}

fn point(table: &Table, seen: &Observed<'_>) -> Pointers {
    let zero = seen.label.and_then(|l| l.with_zero());
    let leg = table.leg_m.unwrap_or(20.0);
    let other = |metres: f64| -> Vec<usize> {
        let bout = (metres.fract() == 0.0).then_some(metres as usize);
        let as_bouts = bout
            .and_then(|n| n.checked_sub(1))
            .filter(|i| *i < table.len());
        [
            table.by_distance(metres * leg),
            table.by_distance(metres * 1_000.0),
            as_bouts,
        ]
        .into_iter()
        .flatten()
        .collect()
    };
    Pointers {
        label: seen.label.and_then(|l| table.by_label(&l.text)),
        zero: zero.and_then(|z| table.by_label(&z)),
        distance: seen.distance_m.and_then(|d| table.by_distance(d)),
        distance_other: seen.distance_m.map(other).unwrap_or_default(),
        counts: seen.count_places(table),
        time: seen
            .time
            .and_then(|t| Observed::time_places(t.seconds, t.half_step, table)),
        time_other: seen
            .time
            .and_then(|t| t.other)
            .and_then(|t| Observed::time_places(t, 0.5, table)),
        speed: seen
            .speed_kmh
            .and_then(|v| Observed::speed_places(v, table)),
        speed_other: seen
            .speed_kmh
            .map(|v| {
                [3.6, 1.609_344, 1.0 / 3.6, 1.0 / 1.609_344]
                    .into_iter()
                    .filter_map(|f| Observed::speed_places(v * f, table))
                    .collect()
            })
            .unwrap_or_default(),
    }
}

fn candidates(at: &Pointers, offset: i32, len: usize) -> Vec<usize> {
    let mut list: Vec<usize> = Vec::with_capacity(12);
    let mut add = |bout: Option<usize>| {
        if let Some(bout) = bout
            && bout < len
            && !list.contains(&bout)
        {
            list.push(bout);
        }
    };
    for label in [at.label, at.zero].into_iter().flatten() {
        let true_bout = shifted(label, -offset);
        add(true_bout);
        add(true_bout.and_then(|b| b.checked_sub(1)));
        add(true_bout.map(|b| b + 1));
    }
    add(at.distance);
    for bout in at.distance_other.iter().chain(&at.counts) {
        add(Some(*bout));
    }
    for (first, last) in [at.time, at.time_other].into_iter().flatten() {
        add(Some(first));
        add(Some(last));
    }
    for (first, last) in at.speed.iter().chain(&at.speed_other) {
        add(Some(*first));
        add(Some(*last));
    }
    list
}

fn shifted(bout: usize, by: i32) -> Option<usize> {
    usize::try_from(i64::try_from(bout).ok()? + i64::from(by)).ok()
}

/// Returns the likelihood of a row at a bout, and whether every column is exact there.
fn likelihood(
    table: &Table,
    seen: &Observed<'_>,
    at: &Pointers,
    bout: usize,
    offset: i32,
) -> (f64, bool) {
    let mut p = 1.0;
    let mut exact = true;
    let mut factor = |value: f64, is_exact: bool| {
        p *= value;
        exact &= is_exact;
    };
    if let Some(label) = seen.label {
        let written = shifted(bout, offset);
        let truth = written
            .and_then(|w| table.rung(w))
            .map(|r| r.label.as_str());
        if written.is_some() && at.label == written {
            factor(EXACT, true);
        } else if written.is_some() && at.zero == written {
            factor(if label.from_number { EXACT } else { LOST_ZERO }, false);
        } else if neighbours(at.label, written) {
            factor(ONE_OFF, false);
        } else if truth.is_some_and(|t| strsim::osa_distance(&label.text, t) == 1) {
            factor(TYPING, false);
        } else {
            factor(GROSS_LABEL, false);
        }
    }
    if let Some(metres) = seen.distance_m {
        let truth = table.rung(bout).map_or(0.0, |r| r.distance_m);
        if at.distance == Some(bout) {
            factor(EXACT, true);
        } else if at.distance_other.contains(&bout) {
            factor(OTHER_UNIT, false);
        } else if neighbours(at.distance, Some(bout)) {
            factor(ONE_OFF, false);
        } else if typed_wrong(metres, truth) {
            factor(TYPING, false);
        } else {
            factor(GROSS_DISTANCE, false);
        }
    }
    if seen.bouts.is_some() || seen.shuttles.is_some() {
        if at.counts.contains(&bout) {
            factor(EXACT, true);
        } else if at.counts.iter().any(|c| c.abs_diff(bout) == 1) {
            factor(ONE_OFF, false);
        } else {
            factor(GROSS_COUNT, false);
        }
    }
    if let Some(time) = seen.time {
        let finish = table.rung(bout).map_or(0.0, |r| r.finish_s);
        let inside =
            |range: Option<(usize, usize)>| range.is_some_and(|(a, z)| (a..=z).contains(&bout));
        if inside(at.time) {
            let near = (time.seconds - finish).abs() <= 1.5 + time.half_step;
            factor(if near { TIME_AT_FINISH } else { TIME_IN_NEXT }, true);
        } else if inside(at.time_other) {
            factor(TIME_IN_NEXT * 0.02, false);
        } else {
            factor(GROSS_TIME, false);
        }
    }
    if let Some(kmh) = seen.speed_kmh {
        let truth = table.rung(bout).map_or(0.0, |r| r.speed_kmh);
        let inside = |range: &(usize, usize)| (range.0..=range.1).contains(&bout);
        if (kmh - truth).abs() <= 0.051 {
            factor(EXACT, true);
        } else if at.speed.as_ref().is_some_and(inside) {
            factor(NEXT_SPEED, true);
        } else if at.speed_other.iter().any(inside) {
            factor(OTHER_UNIT, false);
        } else {
            factor(GROSS_SPEED, false);
        }
    }
    (p, exact)
}

fn neighbours(a: Option<usize>, b: Option<usize>) -> bool {
    matches!((a, b), (Some(a), Some(b)) if a.abs_diff(b) == 1)
}

/// Whether a distance is one keystroke away from the true one.
fn typed_wrong(metres: f64, truth: f64) -> bool {
    if metres.fract() != 0.0 || truth.fract().abs() > 0.05 {
        return false;
    }
    let (a, b) = (format!("{metres:.0}"), format!("{truth:.0}"));
    a.len().abs_diff(b.len()) <= 1 && strsim::osa_distance(&a, &b) == 1
}

/// The likelihood when no column points anywhere sensible.
fn floor(seen: &Observed<'_>) -> f64 {
    let mut p = 1.0;
    for (has, gross) in [
        (seen.label.is_some(), GROSS_LABEL),
        (seen.distance_m.is_some(), GROSS_DISTANCE),
        (seen.bouts.is_some() || seen.shuttles.is_some(), GROSS_COUNT),
        (seen.time.is_some(), GROSS_TIME),
        (seen.speed_kmh.is_some(), GROSS_SPEED),
    ] {
        if has {
            p *= gross;
        }
    }
    p
}

/// Returns the bouts a row can mean on a ladder with their probabilities, the likeliest first.
pub(crate) fn likely_bouts(table: &Table, seen: &Observed<'_>) -> Vec<(usize, f64)> {
    let at = point(table, seen);
    let mut list: Vec<(usize, f64)> = candidates(&at, 0, table.len())
        .into_iter()
        .map(|bout| (bout, likelihood(table, seen, &at, bout, 0).0))
        .collect();
    let total: f64 = list.iter().map(|(_, p)| p).sum::<f64>() + floor(seen);
    for (_, p) in &mut list {
        *p /= total;
    }
    list.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    list
}
