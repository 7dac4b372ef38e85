//! Limits of agreement between two methods or trials.
//! The multiplier is the caller's: the 1986 paper prints 2, later work 1.96.
//! Source: Bland & Altman 1986, Lancet i:307-310; SE of 1999 from Stat Methods Med Res 8:135-160.

use crate::{Interval, MeasureError, check, dist};

/// Mean difference (first minus second) and spread of the differences, in the data's unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Agreement {
    /// Number of pairs.
    pub n: usize,
    /// Mean of first minus second.
    pub mean_difference: f64,
    /// SD of the differences about their mean.
    pub sd: f64,
}

impl Agreement {
    /// Returns the standard error of the mean difference.
    pub fn se_of_mean(&self) -> f64 {
        self.sd / (self.n as f64).sqrt()
    }

    /// Returns the t interval of the mean difference.
    pub fn mean_interval(&self, level: f64) -> Result<Interval, MeasureError> {
        self.around(self.mean_difference, self.se_of_mean(), level)
    }

    /// Returns the limits: mean difference minus and plus `multiplier` (0 or more) SDs.
    pub fn limits(&self, multiplier: f64) -> Result<(f64, f64), MeasureError> {
        let half = check::not_negative("multiplier", multiplier)? * self.sd;
        let low = check::result("the lower limit", self.mean_difference - half)?;
        Ok((
            low,
            check::result("the upper limit", self.mean_difference + half)?,
        ))
    }

    /// Returns the standard error of a limit in the 1986 form, root(3 s^2 / n).
    pub fn se_of_limit_1986(&self) -> f64 {
        (3.0 / self.n as f64).sqrt() * self.sd
    }

    /// Returns the standard error of a limit in the 1999 form,
    /// s x root(1/n + 1.96^2 / (2 (n - 1))).
    pub fn se_of_limit_1999(&self) -> f64 {
        let n = self.n as f64;
        self.sd * (1.0 / n + 1.96 * 1.96 / (2.0 * (n - 1.0))).sqrt()
    }

    /// Returns the t intervals of the lower and the upper limit, with the 1986 standard error.
    pub fn limit_intervals(
        &self,
        multiplier: f64,
        level: f64,
    ) -> Result<(Interval, Interval), MeasureError> {
        let (low, high) = self.limits(multiplier)?;
        let se = self.se_of_limit_1986();
        Ok((self.around(low, se, level)?, self.around(high, se, level)?))
    }

    fn around(&self, centre: f64, se: f64, level: f64) -> Result<Interval, MeasureError> {
        let half = dist::two_sided(level, Some(self.n as f64 - 1.0))? * se;
        check::result("the interval", centre + half)?;
        check::result("the interval", centre - half)?;
        Ok(Interval {
            lower: centre - half,
            upper: centre + half,
            level,
        })
    }
}

/// Returns the agreement of two lists over the same people, first minus second.
pub fn agreement(first: &[f64], second: &[f64]) -> Result<Agreement, MeasureError> {
    let differences = check::differences("pairs of methods", second, first, 2)?;
    Ok(Agreement {
        n: differences.len(),
        mean_difference: check::result("the mean difference", check::mean(&differences))?,
        sd: check::result("the SD of the differences", check::sd(&differences))?,
    })
}

/// Returns mean ratio and limits of first over second, from logs of values above 0.
pub fn ratio_limits(
    first: &[f64],
    second: &[f64],
    multiplier: f64,
) -> Result<(f64, f64, f64), MeasureError> {
    let first = check::logs("a value to take the log of", first)?;
    let second = check::logs("a value to take the log of", second)?;
    let logs = agreement(&first, &second)?;
    let (low, high) = logs.limits(multiplier)?;
    let back = |value: f64| check::result("the ratio", value.exp());
    Ok((back(logs.mean_difference)?, back(low)?, back(high)?))
}
