//! Answers averaged over what a squad leaves open about the parameters: several models, each with its chance.
//! Must give what one model gives when there is one. Formula: docs/methods/level.md, "Doubt about the parameters".

use super::detectable::{Detectable, Plan};
use super::engine::Field;
use super::model::{Model, Normal, Test};
use super::outlook::Outlook;
use super::pairs::TrueChange;
use super::posterior::{Level, Posterior, posterior};
use super::series::Series;
use crate::change::Chance;
use crate::{Interval, MeasureError, check};

/// Models of one squad, each with its chance; the chances sum to 1.
#[derive(Debug, Clone, PartialEq)]
pub struct Ensemble {
    parts: Vec<(f64, Model)>,
    best: usize,
}

impl Ensemble {
    /// Returns one model taken as known.
    pub fn only(model: Model) -> Self {
        Self {
            parts: vec![(1.0, model)],
            best: 0,
        }
    }

    /// Makes an ensemble of models with weights of any sum; `best` is the place of the most probable one.
    pub(super) fn of(mut parts: Vec<(f64, Model)>, best: usize) -> Self {
        let sum: f64 = parts.iter().map(|part| part.0).sum();
        parts.iter_mut().for_each(|part| part.0 /= sum);
        Self { parts, best }
    }

    /// Returns the most probable model.
    pub fn most_probable(&self) -> &Model {
        &self.parts[self.best].1
    }

    /// Returns the number of models.
    pub fn models(&self) -> usize {
        self.parts.len()
    }

    /// Returns the same squad with one more test, which takes the next position.
    pub fn with_test(&self, test: Test) -> Result<Self, MeasureError> {
        let more = |(weight, model): &(f64, Model)| {
            let mut tests = model.tests().to_vec();
            tests.push(test);
            let model = Model::new(model.start(), model.drift(), tests, model.learning())?;
            Ok((*weight, model))
        };
        Ok(Self {
            parts: self.parts.iter().map(more).collect::<Result<_, _>>()?,
            best: self.best,
        })
    }

    /// Returns the posterior of a person's level under all models.
    pub fn posterior<'a>(&'a self, series: &'a Series) -> Result<Averaged<'a>, MeasureError> {
        let each = |(weight, model): &'a (f64, Model)| Ok((*weight, posterior(model, series)?));
        Ok(Averaged {
            parts: self.parts.iter().map(each).collect::<Result<_, _>>()?,
            best: self.best,
        })
    }
}

/// The posterior of one person's level, averaged over models.
#[derive(Debug)]
pub struct Averaged<'a> {
    parts: Vec<(f64, Posterior<'a>)>,
    best: usize,
}

impl Averaged<'_> {
    /// Returns the level at any date from the first result on, also after the last one.
    pub fn level_at(&self, week: f64, confidence: f64) -> Result<Level, MeasureError> {
        if let [(_, only)] = self.parts.as_slice() {
            return only.level_at(week, confidence);
        }
        check::level(confidence)?;
        let found: Vec<(Option<Field>, usize)> = self
            .parts
            .iter()
            .map(|(_, part)| part.with(week))
            .collect::<Result<_, _>>()?;
        let lattices: Vec<_> = self
            .parts
            .iter()
            .zip(&found)
            .map(|((weight, part), (fresh, node))| (*weight, part.lattice(fresh.as_ref(), *node)))
            .collect();
        let moments = lattices
            .iter()
            .map(|(weight, one)| (*weight, one.moments()));
        let (mean, sd) = mixture(moments);
        let tail = 0.5 * (1.0 - confidence);
        let end = |p: f64| {
            let ends = lattices.iter().map(|(_, one)| one.quantile(p));
            bisect(p, ends, |x| {
                lattices
                    .iter()
                    .map(|(weight, one)| weight * one.below(x))
                    .sum()
            })
        };
        Ok(Level {
            week,
            mean,
            sd,
            interval: Interval {
                lower: end(tail),
                upper: end(1.0 - tail),
                level: confidence,
            },
        })
    }

    /// Returns the true change from one date to another.
    pub fn change(&self, from: f64, to: f64) -> Result<AveragedChange, MeasureError> {
        let each = |(weight, part): &(f64, Posterior<'_>)| Ok((*weight, part.change(from, to)?));
        let parts: Vec<(f64, TrueChange)> =
            self.parts.iter().map(each).collect::<Result<_, _>>()?;
        let (mean, sd) = mixture(parts.iter().map(|(w, c)| (*w, (c.mean, c.sd))));
        Ok(AveragedChange { mean, sd, parts })
    }

    /// Returns what the next result on a test will be, at a date from the first result on.
    pub fn outlook(
        &self,
        week: f64,
        test: usize,
        trial: Option<u32>,
        conditions: Normal,
    ) -> Result<Outlook, MeasureError> {
        let each = |(weight, part): &(f64, Posterior<'_>)| {
            Ok((*weight, part.outlook(week, test, trial, conditions)?))
        };
        let parts: Vec<(f64, Outlook)> = self.parts.iter().map(each).collect::<Result<_, _>>()?;
        Ok(Outlook::averaged(parts))
    }

    /// Returns when a steady gain from the last result on will be detectable, under the most probable model.
    pub fn detectable(&self, plan: &Plan) -> Result<Detectable, MeasureError> {
        self.parts[self.best].1.detectable(plan)
    }
}

/// The distribution of a true change, averaged over models.
#[derive(Debug, Clone, PartialEq)]
pub struct AveragedChange {
    /// Expected true change.
    pub mean: f64,
    /// Its standard deviation.
    pub sd: f64,
    parts: Vec<(f64, TrueChange)>,
}

impl AveragedChange {
    /// Returns the chances for a smallest worthwhile change (0 or more).
    pub fn chance(&self, worthwhile: f64) -> Result<Chance, MeasureError> {
        let mut sum = Chance {
            up: 0.0,
            trivial: 0.0,
            down: 0.0,
            any_up: 0.0,
        };
        for (weight, part) in &self.parts {
            let one = part.chance(worthwhile)?;
            sum.up += weight * one.up;
            sum.trivial += weight * one.trivial;
            sum.down += weight * one.down;
            sum.any_up += weight * one.any_up;
        }
        Ok(sum)
    }

    /// Returns the equal-tailed interval of the true change.
    pub fn interval(&self, level: f64) -> Result<Interval, MeasureError> {
        if let [(_, only)] = self.parts.as_slice() {
            return only.interval(level);
        }
        let tail = 0.5 * (1.0 - check::level(level)?);
        let each: Vec<Interval> = self
            .parts
            .iter()
            .map(|(_, part)| part.interval(level))
            .collect::<Result<_, _>>()?;
        let below = |x: f64| self.parts.iter().map(|(w, part)| w * part.below(x)).sum();
        Ok(Interval {
            lower: bisect(tail, each.iter().map(|i| i.lower), below),
            upper: bisect(1.0 - tail, each.iter().map(|i| i.upper), below),
            level,
        })
    }
}

/// Mean and SD of a mixture of parts with weight, mean and SD.
fn mixture(parts: impl Iterator<Item = (f64, (f64, f64))> + Clone) -> (f64, f64) {
    let mean: f64 = parts.clone().map(|(weight, (mean, _))| weight * mean).sum();
    let variance: f64 = parts
        .map(|(weight, (at, sd))| weight * ((at - mean).powi(2) + sd * sd))
        .sum();
    (mean, variance.max(0.0).sqrt())
}

/// Returns where a rising distribution function reaches `p`: between the lowest and the highest of the parts' own ends.
fn bisect(p: f64, ends: impl Iterator<Item = f64> + Clone, below: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (
        ends.clone().fold(f64::INFINITY, f64::min),
        ends.fold(f64::NEG_INFINITY, f64::max),
    );
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if below(middle) < p {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}
