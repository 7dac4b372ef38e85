//! One runner on a ladder: chances of each result, and of stopping in the next bout.
//! The distance a runner could run is normal on the ln scale.

use super::Rungs;
use crate::tails::phi;
use crate::{MeasureError, check};

/// A runner's next result before it is rounded down to whole bouts: ln of distance, normal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Runner {
    mean: f64,
    sd: f64,
}

impl Runner {
    /// Makes a runner from mean (within 50 of 0) and SD (0 to 5) of the ln of the distance.
    pub fn new(mean: f64, sd: f64) -> Result<Self, MeasureError> {
        let mean = check::within(
            "expected ln distance",
            mean,
            mean.abs() <= 50.0,
            "-50 to 50",
        )?;
        let sd = check::within(
            "SD of the ln distance",
            sd,
            (0.0..=5.0).contains(&sd),
            "0 to 5",
        )?;
        Ok(Self { mean, sd })
    }

    /// Returns the mean of the ln distance.
    pub const fn mean(&self) -> f64 {
        self.mean
    }

    /// Returns the SD of the ln distance, 0 or more.
    pub const fn sd(&self) -> f64 {
        self.sd
    }

    /// How far a rung lies above the expected distance, in SD; infinite where the SD is 0.
    fn z(&self, rungs: &Rungs, done: usize) -> f64 {
        let distance = rungs.distance(done);
        if distance <= 0.0 {
            return f64::NEG_INFINITY;
        }
        let above = distance.ln() - self.mean;
        if self.sd > 0.0 {
            above / self.sd
        } else if above <= 0.0 {
            f64::NEG_INFINITY
        } else {
            f64::INFINITY
        }
    }
}

/// Upper tail of the standard normal, also at the infinite ends.
fn above(z: f64) -> f64 {
    if z == f64::NEG_INFINITY {
        1.0
    } else if z == f64::INFINITY {
        0.0
    } else {
        phi(-z)
    }
}

/// P(a < Z <= b), with the digits of the nearer tail.
fn between(a: f64, b: f64) -> f64 {
    let part = if a > 0.0 {
        above(a) - above(b)
    } else {
        above(-b) - above(-a)
    };
    part.max(0.0)
}

/// Returns the chance of completing at least k bouts for k from 0 to all.
pub fn survival(runner: &Runner, rungs: &Rungs) -> Vec<f64> {
    (0..=rungs.bouts())
        .map(|k| above(runner.z(rungs, k)))
        .collect()
}

/// Returns the chance of completing exactly k bouts for k from 0 to all; they add up to 1.
/// The last one is the chance of reaching the end.
pub fn stops(runner: &Runner, rungs: &Rungs) -> Vec<f64> {
    let n = rungs.bouts();
    (0..=n)
        .map(|k| {
            let low = runner.z(rungs, k);
            if k == n {
                above(low)
            } else {
                between(low, runner.z(rungs, k + 1))
            }
        })
        .collect()
}

/// Returns the chance of stopping in bout `done` + 1, given that `done` bouts are completed.
/// Nothing once the ladder is run to its end.
///
/// A runner of whom so long a run was as good as impossible is taken to stop now: 1.
pub fn hazard(runner: &Runner, rungs: &Rungs, done: usize) -> Option<f64> {
    if done >= rungs.bouts() {
        return None;
    }
    let (low, high) = (runner.z(rungs, done), runner.z(rungs, done + 1));
    let running = above(low);
    Some(if running > 0.0 {
        (between(low, high) / running).clamp(0.0, 1.0)
    } else {
        1.0
    })
}

/// Returns a chance of stopping with its odds multiplied by `factor` (1 or more) for each of the
/// misses that count; a chance below `least` (0 to 1) is raised to that first when there are any.
pub fn hazard_with_misses(
    chance: f64,
    misses: u32,
    factor: f64,
    least: f64,
) -> Result<f64, MeasureError> {
    let fraction = |p: f64| (0.0..=1.0).contains(&p);
    let chance = check::within("chance of stopping", chance, fraction(chance), "0 to 1")?;
    let least = check::within("least chance", least, fraction(least), "0 to 1")?;
    let factor = check::within(
        "factor of a miss",
        factor,
        (1.0..=1e6).contains(&factor),
        "1 to a million",
    )?;
    if misses == 0 {
        return Ok(chance);
    }
    let from = chance.max(least);
    if from >= 1.0 || from <= 0.0 {
        return Ok(from);
    }
    // In logs, so that many misses cannot overflow.
    let logit = (from / (1.0 - from)).ln() + f64::from(misses) * factor.ln();
    Ok(1.0 / (1.0 + (-logit).exp()))
}
