//! The best of several trials: how far it overstates, and how easily it passes a cut.
//! Trials of one person are taken as independent with the same normal error.
//! Formula: largest of n normal values (textbook); closed for n = 2: 1 / root pi.

use crate::{MeasureError, check, quad, tails};

/// The best of n trials with a known error, in the unit of the data.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BestOf {
    /// How far the best is expected to lie above the person's true level.
    pub inflation: f64,
    /// SD of the best around its expectation.
    pub sd: f64,
}

/// Returns the inflation of the best of `n` trials (1 to a million) for a typical error
/// (0 or more).
pub fn best_of(n: u32, typical_error: f64) -> Result<BestOf, MeasureError> {
    let error = check::not_negative("typical error", typical_error)?;
    let (mean, variance) = largest(count(n)?);
    Ok(BestOf {
        inflation: check::result("the inflation of the best", mean * error)?,
        sd: variance.sqrt() * error,
    })
}

/// Returns the chance that the best of `n` trials reaches `cut` for a true level and a typical
/// error (above 0).
pub fn chance_best_reaches(
    n: u32,
    true_level: f64,
    typical_error: f64,
    cut: f64,
) -> Result<f64, MeasureError> {
    let level = check::finite("true level", true_level)?;
    let error = check::positive("typical error", typical_error)?;
    let z = check::result(
        "the cut in errors",
        (check::finite("cut", cut)? - level) / error,
    )?;
    Ok(reaches(count(n)?, z))
}

/// P(best of n standard normal values >= z).
pub(crate) fn reaches(n: f64, z: f64) -> f64 {
    -(n * log_phi(z)).exp_m1()
}

fn count(n: u32) -> Result<f64, MeasureError> {
    check::within(
        "number of trials",
        f64::from(n),
        (1..=1_000_000).contains(&n),
        "1 to a million",
    )
}

/// Mean and variance of the largest of n standard normal values.
pub(crate) fn largest(n: f64) -> (f64, f64) {
    if n <= 1.0 {
        return (0.0, 1.0);
    }
    let moment = |power: i32| {
        quad::integrate(-9.5, 9.5, &[], 60, |x| {
            x.powi(power) * n * tails::density(x) * ((n - 1.0) * log_phi(x)).exp()
        })
    };
    let mean = moment(1);
    (mean, (moment(2) - mean * mean).max(0.0))
}

/// ln P(Z <= z) without losing either tail.
fn log_phi(z: f64) -> f64 {
    if z < 0.0 {
        tails::phi(z).ln()
    } else {
        (-tails::phi(-z)).ln_1p()
    }
}
