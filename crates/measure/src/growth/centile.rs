//! Centiles of a fitted reference with their standard errors, and refusals.
//! A centile that the data do not settle is refused, not drawn.
//! Errors: delta method on the inverse penalised information.

use super::boxcox::jet;
use super::estimate::LmsFit;
use super::model::MedianScale;
use crate::{Interval, MeasureError, check, dist, norms::Lms};

/// Default largest standard error of a centile, in z units: its 95 % interval (+/- 0.49) then
/// stays within one channel of a nine-centile chart (0.67 z units).
pub const SE_LIMIT: f64 = 0.25;

/// A value at a centile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Centile {
    /// The z of the centile.
    pub z: f64,
    /// The value, in the unit of the data.
    pub value: f64,
    /// Its standard error, in the unit of the data.
    pub se: f64,
    /// Its standard error in z units, what the limit is compared with.
    pub se_z: f64,
}

/// What is expected to change between two ages, with its standard error from the fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Growth {
    /// Expected change, in the unit of the data.
    pub change: f64,
    /// Its standard error from the sample behind the reference.
    pub se: f64,
}

impl Centile {
    /// Returns the interval of the value at a confidence level.
    pub fn interval(&self, level: f64) -> Result<Interval, MeasureError> {
        let half = dist::two_sided(level, None)? * self.se;
        Ok(Interval {
            lower: self.value - half,
            upper: self.value + half,
            level,
        })
    }
}

impl LmsFit {
    /// Returns the value at a z and an age; refused when its standard error in z units is above
    /// `limit` (above 0; see `SE_LIMIT`), outside the ages, and when the fit did not converge.
    pub fn centile(&self, age: f64, z: f64, limit: f64) -> Result<Centile, MeasureError> {
        let limit = check::positive("largest standard error of a centile", limit)?;
        let centile = self.unguarded(age, z)?;
        if centile.se_z <= limit {
            return Ok(centile);
        }
        Err(MeasureError::TooUncertain {
            z,
            age,
            found: centile.se_z,
            limit,
        })
    }

    /// Returns the change of the value at a z from one age to a later one, with its error.
    pub fn growth(&self, z: f64, from: f64, to: f64) -> Result<Growth, MeasureError> {
        let first = self.unguarded(from, z)?;
        let last = self.unguarded(to, z)?;
        let before = self.slopes(from, &self.at(from)?, first.value);
        let after = self.slopes(to, &self.at(to)?, last.value);
        // In units of the last value, so that squares stay within range.
        let share = |slopes: (Vec<f64>, f64)| {
            let factor = 1.0 / (slopes.1 * last.value);
            slopes.0.into_iter().map(move |slope| slope * factor)
        };
        let both: Vec<f64> = share(before)
            .zip(share(after))
            .map(|(a, b)| a - b)
            .collect();
        let se = last.value * self.covariance.form(&both).max(0.0).sqrt();
        Ok(Growth {
            change: check::result("the expected growth", last.value - first.value)?,
            se: check::result("the error of the expected growth", se)?,
        })
    }

    fn unguarded(&self, age: f64, z: f64) -> Result<Centile, MeasureError> {
        let record = self.convergence();
        if !record.converged {
            return Err(MeasureError::NotConverged {
                what: "the fit of the reference",
                iterations: record.iterations,
            });
        }
        let lms = self.at(age)?;
        let value = lms.value_at(z)?;
        let (slopes, by_value) = self.slopes(age, &lms, value);
        let se_z = self.covariance.form(&slopes).max(0.0).sqrt();
        Ok(Centile {
            z,
            value,
            se: check::result("the error of the centile", se_z / by_value)?,
            se_z: check::result("the error of the centile", se_z)?,
        })
    }

    /// Slopes of z at this place by all coefficients, and its slope by the value.
    fn slopes(&self, age: f64, lms: &Lms, value: f64) -> (Vec<f64>, f64) {
        let (l, m, s) = lms.parts();
        let u = (value / m).ln();
        let jet = jet(l, u, s);
        let by_value = (l * u).exp() / (s * value);
        let by_height = match self.median {
            MedianScale::Log => 1.0,
            MedianScale::Value => 1.0 / m,
        };
        let mut slopes = vec![0.0; self.all.len()];
        for (curve, factor) in [1.0, by_height, 1.0].into_iter().enumerate() {
            for (at, b) in self.bases[curve].row(age).entries() {
                slopes[self.offsets[curve] + at] = jet.first[curve] * factor * b;
            }
        }
        (slopes, by_value)
    }
}
