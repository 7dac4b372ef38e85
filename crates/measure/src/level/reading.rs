//! One result as a function of the level: its likelihood, and a Gaussian stand-in.
//! Uncertain conversions, learning and conditions enter as a shift and as extra variance.
//! Formula: docs/methods/level.md, "What a result says".

use super::model::Model;
use super::series::{Observation, Outcome};
use super::tail::{Tails, density};
use crate::{MeasureError, check};

/// A result, conditional on level x: outcome ~ N(constant + slope x, variance + s2 (x - pivot)^2).
#[derive(Debug, Clone, Copy)]
pub(super) struct Reading {
    pub(super) outcome: Outcome,
    pub(super) constant: f64,
    pub(super) slope: f64,
    pub(super) variance: f64,
    pub(super) slope_variance: f64,
    pub(super) pivot: f64,
}

/// value = slope x + noise of this variance.
#[derive(Debug, Clone, Copy)]
pub(super) struct Gaussian {
    pub(super) value: f64,
    pub(super) slope: f64,
    pub(super) variance: f64,
}

impl Reading {
    pub(super) fn of(model: &Model, seen: &Observation) -> Result<Self, MeasureError> {
        let test = model.tests.get(seen.test).ok_or(MeasureError::OutOfRange {
            what: "position of the test of a result",
            found: seen.test as f64,
            allowed: "0 to the number of tests of the model minus 1",
        })?;
        let learning = model.learning_of(seen.trial);
        let constant =
            test.offset.mean - test.slope.mean * test.pivot + learning.mean + seen.conditions.mean;
        let variance = test.error * test.error
            + test.offset.sd * test.offset.sd
            + learning.sd * learning.sd
            + seen.conditions.sd * seen.conditions.sd;
        check::result("the mean of a result", constant)?;
        check::result("the variance of a result", variance)?;
        Ok(Self {
            outcome: seen.outcome,
            constant,
            slope: test.slope.mean,
            variance: check::positive("variance of a result", variance)?,
            slope_variance: test.slope.sd * test.slope.sd,
            pivot: test.pivot,
        })
    }

    /// Returns the level at which this outcome is the mean.
    pub(super) fn level_of(&self, outcome: f64) -> f64 {
        (outcome - self.constant) / self.slope
    }

    /// Returns the variance of the outcome at a level.
    pub(super) fn variance_at(&self, level: f64) -> f64 {
        self.variance + self.slope_variance * (level - self.pivot) * (level - self.pivot)
    }

    /// Returns the SD of the error, on the scale of the level.
    pub(super) fn width(&self) -> f64 {
        self.variance.sqrt() / self.slope.abs()
    }

    /// Returns the exact Gaussian form, where the result has one.
    pub(super) fn exact(&self) -> Option<Gaussian> {
        let Outcome::Exact(value) = self.outcome else {
            return None;
        };
        (self.slope_variance == 0.0).then_some(Gaussian {
            value: value - self.constant,
            slope: self.slope,
            variance: self.variance,
        })
    }

    /// Returns a Gaussian of about the same middle and width; none for a bound on one side.
    pub(super) fn stand_in(&self) -> Option<Gaussian> {
        let (middle, extra) = match self.outcome {
            Outcome::Exact(value) => (value, 0.0),
            Outcome::Between { lower, upper } => {
                let width = upper - lower;
                (lower + 0.5 * width, width * width / 12.0)
            }
            Outcome::AtLeast(_) | Outcome::AtMost(_) => return None,
        };
        Some(Gaussian {
            value: middle - self.constant,
            slope: self.slope,
            variance: self.variance_at(self.level_of(middle)) + extra,
        })
    }

    /// Returns the one bound of a censored result, on the scale of the level, and whether the
    /// level lies above it.
    pub(super) fn bound(&self) -> Option<(f64, bool)> {
        let rising = self.slope > 0.0;
        match self.outcome {
            Outcome::AtLeast(value) => Some((self.level_of(value), rising)),
            Outcome::AtMost(value) => Some((self.level_of(value), !rising)),
            Outcome::Exact(_) | Outcome::Between { .. } => None,
        }
    }

    /// Multiplies `out`, one number for each level origin + i spacing, by the likelihood.
    pub(super) fn apply(&self, tails: Tails, origin: f64, spacing: f64, out: &mut [f64]) {
        let fixed = 1.0 / self.variance.sqrt();
        for (i, value) in out.iter_mut().enumerate() {
            let level = origin + i as f64 * spacing;
            let inverse = if self.slope_variance == 0.0 {
                fixed
            } else {
                1.0 / self.variance_at(level).sqrt()
            };
            let mean = self.constant + self.slope * level;
            *value *= match self.outcome {
                Outcome::Exact(seen) => density((seen - mean) * inverse) * inverse,
                Outcome::Between { lower, upper } => {
                    tails.between((lower - mean) * inverse, (upper - mean) * inverse)
                }
                Outcome::AtLeast(bound) => tails.above((bound - mean) * inverse),
                Outcome::AtMost(bound) => tails.above((mean - bound) * inverse),
            };
        }
    }
}
