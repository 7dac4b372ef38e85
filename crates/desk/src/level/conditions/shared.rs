//! What a whole group's results of a day say about its conditions: the day moved everybody, or it did not.
//! Must leave days without conditions alone: they are what the others are held against. Derived; docs/methods/level.md.

use std::collections::BTreeMap;

use plimsoll_measure::level::{Model, Normal, Observation, Outcome, Series, posterior};

use crate::level::Read;

/// Fewer people with results on other days say nothing about a day. Chosen, no source.
const FEWEST: usize = 6;
/// How far a whole group may truly move in a week, SD on ln. Chosen, no source.
const MOVES_A_WEEK: f64 = 0.01;
/// People answer to a condition differently: SD as a share of what it may do at all. Chosen, no source.
const PEOPLE_DIFFER: f64 = 1.0 / 3.0;
/// Rounds: a day is held against others that have conditions too.
const ROUNDS: usize = 2;

/// What the group told about a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Learnt {
    /// Week of the day.
    pub week: f64,
    /// People who told it.
    pub people: usize,
    /// Added to ln of everybody's result beyond what was thought before.
    pub beyond: Normal,
}

/// Moves the conditions of each day to where the group's other results put them; returns what was learnt.
pub(in crate::level) fn learn(model: &Model, all: &mut BTreeMap<String, Read>) -> Vec<Learnt> {
    let mut weeks: Vec<f64> = all
        .values()
        .flat_map(|read| read.series.observations())
        .filter(|seen| seen.conditions.sd > 0.0)
        .map(|seen| seen.week)
        .collect();
    weeks.sort_by(f64::total_cmp);
    weeks.dedup();
    let before: BTreeMap<String, Vec<Observation>> = all
        .iter()
        .map(|(id, read)| (id.clone(), read.series.observations().to_vec()))
        .collect();
    let mut learnt = Vec::new();
    for _ in 0..ROUNDS {
        learnt.clear();
        for &week in &weeks {
            if let Some(found) = of_day(model, all, &before, week) {
                apply(all, &before, &found);
                learnt.push(found);
            }
        }
    }
    learnt
}

fn of_day(
    model: &Model,
    all: &BTreeMap<String, Read>,
    before: &BTreeMap<String, Vec<Observation>>,
    week: f64,
) -> Option<Learnt> {
    let (mut weight, mut gap, mut away, mut doubts) = (0.0, 0.0, Vec::new(), Vec::new());
    for (id, read) in all {
        let Some(thought) = before.get(id).and_then(|list| on(list, week)) else {
            continue;
        };
        let Some((mean, variance, apart)) = expected(model, read.series.observations(), thought)
        else {
            continue;
        };
        let Some((seen, width)) = middle(thought.outcome) else {
            continue;
        };
        let variance = variance + width * width / 12.0;
        weight += variance.recip();
        gap += (seen - mean - thought.conditions.mean) / variance;
        away.push(apart);
        doubts.push(thought.conditions.sd);
    }
    if away.len() < FEWEST {
        return None;
    }
    let people = away.len();
    let moved = MOVES_A_WEEK * median(away);
    let doubt = median(doubts);
    let told = (gap / weight, weight.recip() + moved * moved);
    let precision = doubt.powi(-2) + told.1.recip();
    let beyond = Normal {
        mean: told.0 / told.1 / precision,
        sd: precision.recip().sqrt(),
    };
    (beyond.mean.is_finite() && beyond.sd.is_finite()).then_some(Learnt {
        week,
        people,
        beyond,
    })
}

/// Returns mean and variance of a result as the other days of the person lead to expect it, and how many weeks away
/// the nearest of them is; nothing before the first of them.
fn expected(model: &Model, all: &[Observation], today: &Observation) -> Option<(f64, f64, f64)> {
    let others: Vec<Observation> = all
        .iter()
        .filter(|o| o.week != today.week)
        .copied()
        .collect();
    let apart = others
        .iter()
        .map(|o| (o.week - today.week).abs())
        .min_by(f64::total_cmp)?;
    let series = Series::new(others).ok()?;
    if series.first_week() > today.week {
        return None;
    }
    let outlook = posterior(model, &series)
        .and_then(|p| p.outlook(today.week, today.test, today.trial, Normal::ZERO))
        .ok()?;
    Some((outlook.mean, outlook.sd.powi(2), apart))
}

/// Writes what was learnt of a day into everybody's result of it.
fn apply(
    all: &mut BTreeMap<String, Read>,
    before: &BTreeMap<String, Vec<Observation>>,
    learnt: &Learnt,
) {
    for (id, read) in all {
        let Some(thought) = before.get(id).and_then(|list| on(list, learnt.week)) else {
            continue;
        };
        let own = PEOPLE_DIFFER * thought.conditions.sd;
        let now = Normal {
            mean: thought.conditions.mean + learnt.beyond.mean,
            sd: learnt.beyond.sd.hypot(own),
        };
        let observations = read
            .series
            .observations()
            .iter()
            .map(|o| {
                if o.week == learnt.week && o.conditions.sd > 0.0 {
                    Observation {
                        conditions: now,
                        ..*o
                    }
                } else {
                    *o
                }
            })
            .collect();
        if let Ok(series) = Series::new(observations) {
            read.series = series;
        }
    }
}

fn on(list: &[Observation], week: f64) -> Option<&Observation> {
    list.iter()
        .rfind(|o| o.week == week && o.conditions.sd > 0.0)
}

fn middle(outcome: Outcome) -> Option<(f64, f64)> {
    match outcome {
        Outcome::Exact(at) => Some((at, 0.0)),
        Outcome::Between { lower, upper } => Some((f64::midpoint(lower, upper), upper - lower)),
        Outcome::AtLeast(_) | Outcome::AtMost(_) => None,
    }
}

fn median(mut numbers: Vec<f64>) -> f64 {
    numbers.sort_by(f64::total_cmp);
    numbers.get(numbers.len() / 2).copied().unwrap_or(0.0)
}
