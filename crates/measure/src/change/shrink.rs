//! An observed change pulled towards what is usual, with a normal prior.
//! Takes the typical error as known; degrees of freedom are not used here.
//! Formula: golden file true_change.json, entry Bayes.

use super::chance::{Chance, Comparison};
use crate::{Interval, MeasureError, check, dist};

/// A change after shrinkage: normal with this mean and SD, in the unit of the data.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shrunk {
    /// Expected true change.
    pub mean: f64,
    /// Its standard deviation, above 0.
    pub sd: f64,
}

/// Returns the change given a prior for true changes: normal, mean and SD (above 0).
pub fn shrink(
    comparison: &Comparison,
    difference: f64,
    prior_mean: f64,
    prior_sd: f64,
) -> Result<Shrunk, MeasureError> {
    let difference = check::finite("difference", difference)?;
    let prior_mean = check::finite("prior mean", prior_mean)?;
    let prior_sd = check::positive("prior SD", prior_sd)?;
    // Weight of the data: tau^2 / (tau^2 + SE^2), written so that squares cannot overflow.
    let ratio = comparison.se() / prior_sd;
    let weight = 1.0 / (1.0 + ratio * ratio);
    let mean = prior_mean + weight * (difference - prior_mean);
    let sd = comparison.se() * weight.sqrt();
    Ok(Shrunk {
        mean: check::result("the shrunk change", mean)?,
        sd: check::positive("SD of the shrunk change", sd)?,
    })
}

impl Shrunk {
    /// Returns the chances for a smallest worthwhile change (0 or more).
    pub fn chance(&self, worthwhile: f64) -> Result<Chance, MeasureError> {
        let worthwhile = check::not_negative("smallest worthwhile change", worthwhile)?;
        let up = dist::lower_tail((self.mean - worthwhile) / self.sd, None);
        let down = dist::lower_tail((-worthwhile - self.mean) / self.sd, None);
        let any_up = dist::lower_tail(self.mean / self.sd, None);
        Ok(Chance {
            up,
            trivial: (1.0 - up - down).max(0.0),
            down,
            any_up,
        })
    }

    /// Returns the interval of the true change.
    pub fn interval(&self, level: f64) -> Result<Interval, MeasureError> {
        let half = dist::two_sided(level, None)? * self.sd;
        let lower = check::result("the interval of the change", self.mean - half)?;
        let upper = check::result("the interval of the change", self.mean + half)?;
        Ok(Interval {
            lower,
            upper,
            level,
        })
    }
}
