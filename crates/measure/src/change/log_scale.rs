//! Change of a score whose error grows with it: worked out on logs, shown as ratio and percent.
//! The detectable change is larger upward than downward.
//! Formula: golden file true_change.json, entry log_scale.

use super::chance::{Chance, Comparison};
use crate::{Interval, MeasureError, check, error::log_error_from_cv};

/// A change from one positive value to another, on the log scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LogChange {
    /// The comparison on natural logs.
    pub comparison: Comparison,
    log_ratio: f64,
}

/// Returns the change from `from` to `to` (both above 0) for a CV in percent (above 0), its df
/// (none: taken as known) and the trials averaged on each occasion.
pub fn log_change(
    from: f64,
    to: f64,
    cv_percent: f64,
    df: Option<f64>,
    trials: (u32, u32),
) -> Result<LogChange, MeasureError> {
    let from = check::positive("first value", from)?;
    let to = check::positive("second value", to)?;
    let error = log_error_from_cv(check::positive("coefficient of variation", cv_percent)?)?;
    let comparison = Comparison::new(error, df, trials.0, trials.1)?;
    Ok(LogChange {
        comparison,
        log_ratio: to.ln() - from.ln(),
    })
}

impl LogChange {
    /// Returns the change in percent of the first value.
    pub fn percent(&self) -> f64 {
        100.0 * self.log_ratio.exp_m1()
    }

    /// Returns the chances for a smallest worthwhile change in percent (0 or more), taken as the
    /// same ratio either way.
    pub fn chance(&self, worthwhile_percent: f64) -> Result<Chance, MeasureError> {
        let percent = check::not_negative("smallest worthwhile change", worthwhile_percent)?;
        self.comparison
            .chance(self.log_ratio, (percent / 100.0).ln_1p())
    }

    /// Returns the interval of the true change in percent of the first value.
    pub fn interval_percent(&self, level: f64) -> Result<Interval, MeasureError> {
        let log = self.comparison.interval(self.log_ratio, level)?;
        let end = |value: f64| check::result("the interval of the change", 100.0 * value.exp_m1());
        Ok(Interval {
            lower: end(log.lower)?,
            upper: end(log.upper)?,
            level,
        })
    }

    /// Returns the detectable rise and the detectable fall, both as percent above 0.
    pub fn detectable_percent(&self, level: f64) -> Result<(f64, f64), MeasureError> {
        let log = self.comparison.detectable(level)?;
        let up = check::result("the detectable change", 100.0 * log.exp_m1())?;
        Ok((up, -100.0 * (-log).exp_m1()))
    }
}
