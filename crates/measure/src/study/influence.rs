//! What the typical error would be without each person in turn, and who stands out.
//! Flags a person for a look at the sheet; leaves nobody out by itself.
//! Formula: deletion of a block of rows from least squares (derived); F test, Bonferroni over people.

use std::collections::BTreeMap;

use super::additive::{Additive, Held};
use super::trials::Trials;
use crate::{MeasureError, quad, tails};

/// Chance of any flag at all among people who all have the same normal error.
const FALSE_FLAG: f64 = 0.05;

/// One person's influence on the pooled typical error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Influence {
    /// Mark of the person.
    pub person: u64,
    /// Typical error of the others; none when too little is left.
    pub error_without: Option<f64>,
    /// Change of the typical error when the person is left out, in percent.
    pub change_percent: Option<f64>,
    /// Whether the person's own error is larger than chance explains among so many people.
    pub stands_out: bool,
}

/// Influence of everyone with two or more trials.
#[derive(Debug, Clone, PartialEq)]
pub struct InfluenceReport {
    /// One entry a person, in the order of the rows.
    pub people: Vec<Influence>,
}

impl InfluenceReport {
    /// Returns the people who stand out.
    pub fn flagged(&self) -> impl Iterator<Item = &Influence> {
        self.people.iter().filter(|person| person.stands_out)
    }

    /// Returns who moves the typical error most, either way.
    pub fn largest(&self) -> Option<&Influence> {
        let size = |p: &Influence| p.change_percent.map_or(-1.0, f64::abs);
        self.people
            .iter()
            .max_by(|a, b| size(a).total_cmp(&size(b)))
    }
}

/// Works the influence out from the fit of the whole table.
pub(crate) fn influence(trials: &Trials, fit: &Additive) -> Result<InfluenceReport, MeasureError> {
    let square = fit.mean_square()?;
    let k = trials.numbers().len();
    let complete = fit.values == fit.people * fit.trials && fit.trials == k;
    let mut bounds: Vec<Option<f64>> = vec![None; k + 1];
    let mut people = Vec::with_capacity(fit.people);
    let mut systems = Systems::default();
    for ((row, left), &person) in trials
        .table()
        .chunks_exact(k)
        .zip(fit.residuals.chunks_exact(k))
        .zip(trials.people())
    {
        let m = row.iter().filter(|v| !v.is_nan()).count();
        if m < 2 {
            continue;
        }
        let own = left.iter().map(|e| e * e).sum::<f64>();
        let taken = if complete {
            Some(own * fit.people as f64 / (fit.people as f64 - 1.0))
        } else {
            systems.removed(fit, row, left).map(|more| own + more)
        };
        let df = fit.df() as f64 - (m as f64 - 1.0);
        let rest = taken.map(|taken| (fit.residual - taken).max(0.0));
        let others = rest.filter(|_| df >= 1.0).map(|rest| (rest / df).sqrt());
        let bound = match bounds[m] {
            Some(bound) => bound,
            None => *bounds[m].insert(f_bound(m as f64 - 1.0, df, fit.people)?),
        };
        let stands_out = others
            .zip(taken)
            .is_some_and(|(error, taken)| taken / (m as f64 - 1.0) > bound * error * error);
        people.push(Influence {
            person,
            error_without: others,
            change_percent: others.map(|e| 100.0 * (e / square.sqrt() - 1.0)),
            stands_out,
        });
    }
    Ok(InfluenceReport { people })
}

/// The F ratio that one of `people` people passes by chance once in twenty studies.
fn f_bound(df1: f64, df2: f64, people: usize) -> Result<f64, MeasureError> {
    if df2 < 1.0 {
        return Ok(f64::MAX);
    }
    let chance = FALSE_FLAG / people as f64;
    let log = quad::rising_root("the bound of an outlier", 1.0, 1.0, |log_f| {
        chance - tails::f_above(log_f.exp(), df1, df2)
    })?;
    Ok(log.exp())
}

/// Most patterns of missing trials whose systems are kept.
const KEPT: usize = 1024;

/// Systems without one person, by which trials that person has.
#[derive(Default)]
struct Systems {
    known: BTreeMap<u64, Option<Held>>,
}

impl Systems {
    /// What leaving a person out takes from the residual beyond the own squares; none when the
    /// person is the only link between trials.
    fn removed(&mut self, fit: &Additive, row: &[f64], left: &[f64]) -> Option<f64> {
        let pattern = row
            .iter()
            .fold(0_u64, |bits, v| (bits << 1) | u64::from(!v.is_nan()));
        if row.len() > 64 || (self.known.len() >= KEPT && !self.known.contains_key(&pattern)) {
            return without(fit, row)?.square(left);
        }
        let system = self
            .known
            .entry(pattern)
            .or_insert_with(|| without(fit, row));
        system.as_ref()?.square(left)
    }
}

/// The trials x trials system of everyone else.
fn without(fit: &Additive, row: &[f64]) -> Option<Held> {
    let k = row.len();
    let m = row.iter().filter(|v| !v.is_nan()).count() as f64;
    let mut system = fit.system.clone();
    for i in (0..k).filter(|&i| !row[i].is_nan()) {
        system[i * k + i] -= 1.0;
        for j in (0..k).filter(|&j| !row[j].is_nan()) {
            system[i * k + j] += 1.0 / m;
        }
    }
    Held::new(&system, k, &fit.fixed)
}
