//! Typical error from repeat trials, with its interval, and the change in the mean.
//! Works on the scale handed in; logs are in `logs`.
//! Source: Hopkins 2000, Sports Med 30:1-15 (from memory); formulas checked against scipy numbers.

use super::icc::mean_squares;
use crate::{Interval, MeasureError, check, dist};

const DIFFERENCES: &str = "the differences between the two trials";
const COPIED: &str = "check that one trial was not copied from the other";

/// The within-person error of one measurement, in the unit of the data.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TypicalError {
    /// The error as a standard deviation; above 0.
    pub value: f64,
    /// Degrees of freedom it was estimated on; 1 or more.
    pub df: f64,
}

impl TypicalError {
    /// Returns the chi-square interval of the error at a confidence level such as 0.95.
    pub fn interval(&self, level: f64) -> Result<Interval, MeasureError> {
        let level = check::level(level)?;
        let value = check::positive("typical error", self.value)?;
        let tail = (1.0 - level) / 2.0;
        let lower = value * (self.df / dist::chi_square_quantile(1.0 - tail, self.df)?).sqrt();
        let upper = value * (self.df / dist::chi_square_quantile(tail, self.df)?).sqrt();
        Ok(Interval {
            lower: check::result("the lower end of the typical error", lower)?,
            upper: check::result("the upper end of the typical error", upper)?,
            level,
        })
    }
}

/// The mean change from a first to a second trial, in the unit of the data.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeanChange {
    /// Second minus first, averaged.
    pub mean: f64,
    /// Standard deviation of the differences about their mean.
    pub sd: f64,
    /// Number of pairs.
    pub n: usize,
    /// Interval of the mean from Student's t.
    pub interval: Interval,
}

/// Returns the typical error from test-retest pairs: SD of the differences over root 2.
pub fn typical_error(first: &[f64], second: &[f64]) -> Result<TypicalError, MeasureError> {
    let differences = check::differences("test-retest pairs", first, second, 2)?;
    let sd = check::result("the typical error", check::sd(&differences))?;
    if sd == 0.0 {
        return Err(MeasureError::NoSpread {
            what: DIFFERENCES,
            hint: COPIED,
        });
    }
    Ok(TypicalError {
        value: sd / std::f64::consts::SQRT_2,
        df: differences.len() as f64 - 1.0,
    })
}

/// Returns the typical error from n people with k trials each (a row a person): root of the
/// residual mean square of the person x trial table, df (n - 1)(k - 1).
pub fn typical_error_of_trials(rows: &[Vec<f64>]) -> Result<TypicalError, MeasureError> {
    let squares = mean_squares(rows)?;
    if squares.error <= 0.0 {
        return Err(MeasureError::NoSpread {
            what: DIFFERENCES,
            hint: COPIED,
        });
    }
    Ok(TypicalError {
        value: squares.error.sqrt(),
        df: squares.df_error(),
    })
}

/// Returns the mean of second minus first with its t interval at `level`.
pub fn change_in_mean(
    first: &[f64],
    second: &[f64],
    level: f64,
) -> Result<MeanChange, MeasureError> {
    let level = check::level(level)?;
    let differences = check::differences("test-retest pairs", first, second, 2)?;
    let n = differences.len();
    let mean = check::result("the mean change", check::mean(&differences))?;
    let sd = check::result("the SD of the differences", check::sd(&differences))?;
    let half = dist::two_sided(level, Some(n as f64 - 1.0))? * sd / (n as f64).sqrt();
    let interval = Interval {
        lower: mean - half,
        upper: mean + half,
        level,
    };
    check::result(
        "the interval of the mean change",
        interval.lower + interval.upper,
    )?;
    Ok(MeanChange {
        mean,
        sd,
        n,
        interval,
    })
}

/// Returns one typical error from several, weighting their variances by df.
pub fn pooled_error(errors: &[TypicalError]) -> Result<TypicalError, MeasureError> {
    if errors.is_empty() {
        return Err(MeasureError::TooFew {
            what: "typical errors to pool",
            found: 0,
            needed: 1,
        });
    }
    let (mut squares, mut df) = (0.0, 0.0);
    for error in errors {
        let value = check::positive("typical error", error.value)?;
        let own = check::positive("degrees of freedom", error.df)?;
        squares += own * value * value;
        df += own;
    }
    let value = check::result("the pooled error", (squares / df).sqrt())?;
    Ok(TypicalError {
        value: check::positive("pooled error", value)?,
        df,
    })
}

/// Returns the error of one measurement from a between-person SD and a reliability (0 to 1):
/// SD x root(1 - ICC). Zero when the reliability is 1.
pub fn error_from_icc(sd: f64, icc: f64) -> Result<f64, MeasureError> {
    let sd = check::not_negative("standard deviation", sd)?;
    let icc = check::within("reliability", icc, (0.0..=1.0).contains(&icc), "0 to 1")?;
    Ok(sd * (1.0 - icc).sqrt())
}

/// Returns the typical error from the half width of 95 % limits of agreement: over 1.96 root 2.
pub fn error_from_limits(half_width: f64) -> Result<f64, MeasureError> {
    let half = check::not_negative("half width of the limits", half_width)?;
    Ok(half / (1.96 * std::f64::consts::SQRT_2))
}
