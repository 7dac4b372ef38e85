//! A test's ladder as plain rungs, and which tests share their cues.
//! A result is carried to another test only where both have the same cues as far as both go.

use plimsoll_interpret::Unit;
use plimsoll_ladder::{Instant, Test};
use plimsoll_measure::planning::Rungs;

/// Returns the rungs of a paced test.
pub fn rungs(test: &Test) -> Option<Rungs> {
    let bouts = test.ladder()?.bouts();
    let distances = bouts.iter().map(|b| b.distance.as_m_f64()).collect();
    let times = bouts
        .iter()
        .map(|b| b.finish.since(Instant::START).as_secs_f64())
        .collect();
    Rungs::new(distances, times).ok()
}

/// How a result of one test says something about another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Carried {
    /// It is the same test.
    Same,
    /// The cues are the same as far as both tests go.
    SameCues,
}

/// Returns how results of `from` say when somebody stops in `to`; nothing where they do not.
///
/// No published conversion of scores between the paced tests is among the references, and the best
/// studied pair does not move together, so that none is made up.
pub fn carried(from: &Test, to: &Test) -> Option<Carried> {
    if from.id() == to.id() {
        return Some(Carried::Same);
    }
    let (a, b) = (from.ladder()?.bouts(), to.ladder()?.bouts());
    let same = from.definition().maximal
        && !a.is_empty()
        && !b.is_empty()
        && a.iter()
            .zip(b)
            .all(|(a, b)| (a.start, a.finish, a.distance) == (b.start, b.finish, b.distance));
    same.then_some(Carried::SameCues)
}

/// Returns the distance, m, that a value in the unit of a test stands for, between rungs where the
/// value lies between them; nothing outside the ladder or for a unit that is none of a ladder.
pub fn distance_of(test: &Test, unit: Unit, value: f64) -> Option<f64> {
    match unit {
        Unit::Metres => Some(value),
        Unit::Shuttles => {
            let leg = test.definition().course.leg.as_ref()?.value.as_m_f64();
            Some(value * leg)
        }
        Unit::KmPerHour => {
            let stages: Vec<(f64, f64)> = test
                .ladder()?
                .stages()
                .iter()
                .filter_map(|s| {
                    let last = test.ladder()?.by_number(s.last_bout)?;
                    Some((s.speed.as_kmh_f64(), last.distance.as_m_f64()))
                })
                .collect();
            between(&stages, value)
        }
        _ => None,
    }
    .filter(|d| d.is_finite() && *d > 0.0)
}

/// Returns the distance of a level with decimals: 9.36 is 4 of 11 shuttles of level 9.
pub fn distance_of_level(test: &Test, level: f64) -> Option<f64> {
    let ladder = test.ladder()?;
    let mut before = 0.0;
    for stage in ladder.stages() {
        let end = ladder.by_number(stage.last_bout)?.distance.as_m_f64();
        let number: f64 = stage.label.parse().ok()?;
        if level >= number && level < number + 1.0 {
            return Some(before + (level - number) * (end - before)).filter(|d| *d > 0.0);
        }
        before = end;
    }
    None
}

/// Linear between points of rising first value; nothing outside.
fn between(points: &[(f64, f64)], at: f64) -> Option<f64> {
    points.windows(2).find_map(|pair| {
        let [(x0, y0), (x1, y1)] = pair else {
            return None;
        };
        (x1 > x0 && at >= *x0 && at <= *x1).then(|| y0 + (at - x0) / (x1 - x0) * (y1 - y0))
    })
}
