//! Trials 1 and 2 apart from the later ones: does the first trial belong to practice?
//! Compares errors and changes; the caller decides whether to leave trial 1 out.
//! Sources: F ratio of variances; paired ratio of Pitman & Morgan 1939 (from memory).

use super::additive;
use super::analysis::{ErrorEstimate, estimate};
use super::pairs::PairResult;
use super::trials::Trials;
use crate::error::{MeanChange, TypicalError, change_in_mean};
use crate::tails::held;
use crate::{Interval, MeasureError, check, dist};

/// Whether the error of the first pair is larger than that of the later trials.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FirstPair {
    /// Larger: the interval of the ratio lies above 1.
    Noisier,
    /// Smaller: the interval lies below 1.
    Quieter,
    /// The interval holds 1.
    CannotTell,
}

/// The first pair of trials against the later ones, in the unit of the data.
#[derive(Debug, Clone, PartialEq)]
pub struct Learning {
    /// Change in the mean from the first to the second trial.
    pub first_change: Result<MeanChange, MeasureError>,
    /// Change in the mean per trial from the second to the last trial.
    pub later_change: Result<MeanChange, MeasureError>,
    /// Typical error of the first pair.
    pub first_error: Result<ErrorEstimate, MeasureError>,
    /// Typical error of the second and later trials.
    pub later_error: Result<ErrorEstimate, MeasureError>,
    /// First error over later error.
    pub ratio: Result<f64, MeasureError>,
    /// F interval of the ratio. Both errors use trial 2, which makes it somewhat too wide.
    pub ratio_interval: Result<Interval, MeasureError>,
    /// Interval of the error of trials 1-2 over that of trials 2-3 among those who did all
    /// three, which allows for the shared trial.
    pub matched: Result<Interval, MeasureError>,
    /// What the matched interval says, or the F interval where that is missing.
    pub verdict: FirstPair,
}

/// Works the comparison out for three or more trials.
pub(crate) fn learning(trials: &Trials, pairs: &[PairResult], level: f64) -> Learning {
    let k = trials.numbers().len();
    let later_error = later_error(trials, level);
    let first_error = pairs[0].error.clone();
    let both = first_error
        .clone()
        .and_then(|a| Ok((a, later_error.clone()?)));
    let ratio_interval = both
        .clone()
        .and_then(|(a, b)| f_interval(a.error, b.error, level));
    let matched = matched(trials, level);
    let verdict = match matched.as_ref().or(ratio_interval.as_ref()) {
        Ok(i) if i.lower > 1.0 => FirstPair::Noisier,
        Ok(i) if i.upper < 1.0 => FirstPair::Quieter,
        _ => FirstPair::CannotTell,
    };
    Learning {
        first_change: pairs[0].change.clone(),
        later_change: later_change(trials, k, level),
        first_error,
        later_error,
        ratio: both.map(|(a, b)| a.error.value / b.error.value),
        ratio_interval,
        matched,
        verdict,
    }
}

fn later_change(trials: &Trials, k: usize, level: f64) -> Result<MeanChange, MeasureError> {
    let (_, second, last) = trials.both(1, k - 1);
    let whole = change_in_mean(&second, &last, level)?;
    let steps = (k - 2) as f64;
    Ok(MeanChange {
        mean: whole.mean / steps,
        sd: whole.sd / steps,
        n: whole.n,
        interval: Interval {
            lower: whole.interval.lower / steps,
            upper: whole.interval.upper / steps,
            level,
        },
    })
}

fn later_error(trials: &Trials, level: f64) -> Result<ErrorEstimate, MeasureError> {
    let k = trials.numbers().len();
    let table: Vec<f64> = trials
        .table()
        .chunks_exact(k)
        .flat_map(|row| row[1..].iter().copied())
        .collect();
    let fit = additive::fit(&table, k - 1)?;
    let error = TypicalError {
        value: fit.mean_square()?.sqrt(),
        df: fit.df() as f64,
    };
    estimate(error, level)
}

fn f_interval(
    first: TypicalError,
    later: TypicalError,
    level: f64,
) -> Result<Interval, MeasureError> {
    let p = 0.5 + check::level(level)? / 2.0;
    let (df1, df2) = (held(first.df), held(later.df));
    let ratio = (first.value / later.value).powi(2);
    let lower = (ratio / dist::f_quantile(p, df1, df2)?).sqrt();
    let upper = (ratio * dist::f_quantile(p, df2, df1)?).sqrt();
    Ok(Interval {
        lower: check::result("the ratio of the errors", lower)?,
        upper: check::result("the ratio of the errors", upper)?,
        level,
    })
}

/// Pitman & Morgan: the ratio of two correlated variances, here of the steps 1-2 and 2-3.
fn matched(trials: &Trials, level: f64) -> Result<Interval, MeasureError> {
    let k = trials.numbers().len();
    let (mut early, mut late) = (Vec::new(), Vec::new());
    for row in trials.table().chunks_exact(k) {
        if row[..3].iter().all(|v| !v.is_nan()) {
            early.push(row[1] - row[0]);
            late.push(row[2] - row[1]);
        }
    }
    check::list("people with the first three trials", &early, 4)?;
    let n = early.len() as f64;
    let (sd1, sd2) = (check::sd(&early), check::sd(&late));
    let (m1, m2) = (check::mean(&early), check::mean(&late));
    let cross: f64 = early
        .iter()
        .zip(&late)
        .map(|(a, b)| (a - m1) * (b - m2))
        .sum();
    let r = cross / (n - 1.0) / (sd1 * sd2);
    if !r.is_finite() || r.abs() >= 1.0 {
        return Err(MeasureError::NoSpread {
            what: "the steps between the trials",
            hint: "check that one trial was not copied from the other",
        });
    }
    let t = dist::two_sided(level, Some(n - 2.0))?;
    let excess = 2.0 * (1.0 - r * r) * t * t / (n - 2.0);
    let wide = 1.0 + excess + (excess * (excess + 2.0)).sqrt();
    let ratio = sd1 / sd2;
    Ok(Interval {
        lower: check::result("the ratio of the errors", ratio / wide.sqrt())?,
        upper: check::result("the ratio of the errors", ratio * wide.sqrt())?,
        level,
    })
}
