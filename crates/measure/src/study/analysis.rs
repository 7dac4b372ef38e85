//! The analysis of a study on one scale: raw values or natural logs.
//! A part that cannot be worked out keeps its reason; the others still stand.
//! Formulas: `error`, `change` and the modules beside this one.

use super::additive;
use super::components::{Components, components};
use super::correlation::{IccEstimate, correlations};
use super::influence::{InfluenceReport, influence};
use super::learning::{Learning, learning};
use super::pairs::{Known, PairResult, pairs};
use super::trials::Trials;
use crate::change::{Comparison, smallest_worthwhile};
use crate::error::{LogError, TypicalError};
use crate::tails::held;
use crate::{Interval, MeasureError, check};

/// A typical error with its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ErrorEstimate {
    /// The error and its degrees of freedom.
    pub error: TypicalError,
    /// Its chi-square interval.
    pub interval: Interval,
}

impl ErrorEstimate {
    /// Returns the coefficient of variation in percent with its interval, for an error on logs.
    pub fn cv_percent(&self) -> Result<(f64, Interval), MeasureError> {
        let log = LogError {
            error: self.error,
            change_in_mean_percent: 0.0,
        };
        let cv = check::result("the CV", log.cv_percent())?;
        Ok((cv, log.cv_interval_percent(self.interval.level)?))
    }
}

/// The standard error of measurement in its two meanings, in the unit of the data.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sem {
    /// Trials taken out: the same as the pooled typical error.
    pub consistency: f64,
    /// Differences between trials (learning, drift) counted as error.
    pub agreement: f64,
}

/// A change of one person from one trial to another that noise alone seldom makes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Detectable {
    /// Two-sided level: 0.80, 0.90 or 0.95.
    pub level: f64,
    /// With the error taken as known (normal).
    pub normal: f64,
    /// With the error estimated on its degrees of freedom (t).
    pub student: f64,
}

/// Everything about one scale.
#[derive(Debug, Clone, PartialEq)]
pub struct Analysis {
    /// Each trial against the next.
    pub pairs: Vec<PairResult>,
    /// Typical error over all trials: root of the residual mean square of person + trial.
    pub pooled: Result<ErrorEstimate, MeasureError>,
    /// Variances of people, trials and error.
    pub components: Result<Components, MeasureError>,
    /// The six intraclass correlations: (1,1), (2,1), (3,1), (1,k), (2,k), (3,k).
    pub correlations: Result<[IccEstimate; 6], MeasureError>,
    /// Standard error of measurement.
    pub sem: Result<Sem, MeasureError>,
    /// Detectable change at 80, 90 and 95 %.
    pub detectable: Result<[Detectable; 3], MeasureError>,
    /// Smallest worthwhile change: 0.2 x the between-person SD, error removed.
    pub worthwhile: Result<f64, MeasureError>,
    /// The first pair of trials against the later ones; none with two trials only.
    pub learning: Option<Learning>,
    /// What the typical error would be without each person.
    pub influence: Result<InfluenceReport, MeasureError>,
}

/// Adds the interval to an error.
pub(crate) fn estimate(error: TypicalError, level: f64) -> Result<ErrorEstimate, MeasureError> {
    let held = TypicalError {
        value: error.value,
        df: held(error.df),
    };
    Ok(ErrorEstimate {
        error,
        interval: held.interval(level)?,
    })
}

/// Returns the detectable changes at 80, 90 and 95 % for an error.
pub fn detectable(error: TypicalError) -> Result<[Detectable; 3], MeasureError> {
    let normal = Comparison::new(error.value, None, 1, 1)?;
    let student = Comparison::new(error.value, Some(error.df), 1, 1)?;
    let at = |level| -> Result<Detectable, MeasureError> {
        Ok(Detectable {
            level,
            normal: normal.detectable(level)?,
            student: student.detectable(level)?,
        })
    };
    Ok([at(0.80)?, at(0.90)?, at(0.95)?])
}

/// Analyses one scale at `level` for the intervals.
pub(crate) fn analyse(
    trials: &Trials,
    level: f64,
    known: &mut Known,
) -> Result<Analysis, MeasureError> {
    let k = trials.numbers().len();
    let fit = additive::fit(trials.table(), k)?;
    let pooled = fit.mean_square().and_then(|square| {
        let error = TypicalError {
            value: square.sqrt(),
            df: fit.df() as f64,
        };
        estimate(error, level)
    });
    let parts = components(trials.table(), k, &fit);
    let pairs = pairs(trials, level, known);
    Ok(Analysis {
        correlations: parts.clone().and_then(|parts| correlations(&parts, level)),
        sem: parts.clone().map(|parts| Sem {
            consistency: parts.error.sqrt(),
            agreement: (parts.error + parts.trial.max(0.0)).sqrt(),
        }),
        detectable: pooled.clone().and_then(|pooled| detectable(pooled.error)),
        worthwhile: parts.clone().and_then(|parts| worthwhile(&parts)),
        learning: (k > 2).then(|| learning(trials, &pairs, level)),
        influence: influence(trials, &fit),
        components: parts,
        pooled,
        pairs,
    })
}

/// The observed SD within a trial is root(between + error); the error is removed again by
/// `smallest_worthwhile`, which refuses when nothing is left.
fn worthwhile(parts: &Components) -> Result<f64, MeasureError> {
    let observed = (parts.between + parts.error).max(0.0).sqrt();
    let observed = observed.max(f64::MIN_POSITIVE);
    smallest_worthwhile(observed, parts.error.sqrt(), 0.2)
}
