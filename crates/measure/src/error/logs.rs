//! Error that grows with the value: worked out on natural logs, shown as a percentage.
//! A CV of 100 (exp(s) - 1) % is the upward form; the downward one is smaller.
//! Source: Hopkins 2000 (from memory); reproduces the golden log cases.

use super::typical::{TypicalError, typical_error};
use crate::{Interval, MeasureError, check};

/// A typical error on the log scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LogError {
    /// The error of one natural log, with its degrees of freedom.
    pub error: TypicalError,
    /// Mean change from first to second trial, in percent of the first.
    pub change_in_mean_percent: f64,
}

impl LogError {
    /// Returns the coefficient of variation, 100 (exp(s) - 1), in percent.
    pub fn cv_percent(&self) -> f64 {
        100.0 * self.error.value.exp_m1()
    }

    /// Returns the interval of the coefficient of variation, in percent.
    pub fn cv_interval_percent(&self, level: f64) -> Result<Interval, MeasureError> {
        let log = self.error.interval(level)?;
        let end = |value: f64| check::result("the interval of the CV", 100.0 * value.exp_m1());
        Ok(Interval {
            lower: end(log.lower)?,
            upper: end(log.upper)?,
            level: log.level,
        })
    }
}

/// Returns the typical error on logs from test-retest pairs of values above 0.
pub fn log_error(first: &[f64], second: &[f64]) -> Result<LogError, MeasureError> {
    let first = check::logs("a value to take the log of", first)?;
    let second = check::logs("a value to take the log of", second)?;
    let error = typical_error(&first, &second)?;
    let mean = check::mean(&second) - check::mean(&first);
    let percent = check::result("the change in the mean", 100.0 * mean.exp_m1())?;
    Ok(LogError {
        error,
        change_in_mean_percent: percent,
    })
}

/// Returns the coefficient of variation in percent for an error on the log scale (0 or more).
pub fn cv_from_log_error(log_error: f64) -> Result<f64, MeasureError> {
    let log_error = check::not_negative("error on the log scale", log_error)?;
    check::result("the CV", 100.0 * log_error.exp_m1())
}

/// Returns the error on the log scale for a coefficient of variation in percent (0 or more).
pub fn log_error_from_cv(cv_percent: f64) -> Result<f64, MeasureError> {
    Ok((check::not_negative("coefficient of variation", cv_percent)? / 100.0).ln_1p())
}
