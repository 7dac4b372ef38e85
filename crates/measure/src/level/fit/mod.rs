//! Parameters of the model from a squad: most probable values under weak priors about a start.
//! What the data cannot tell stays at its prior, and the answer says so in words.
//! Formula and priors: docs/methods/level.md, "Parameters".

mod doubt;
mod matrix;
mod maximise;
mod objective;
mod parameters;

use self::maximise::Found;
use self::objective::Objective;
use self::parameters::{Free, choose};
use super::ensemble::Ensemble;
use super::model::Model;
use super::series::Series;
use crate::{Interval, MeasureError, check, dist};

/// A parameter of the model.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Parameter {
    /// Variance of the level per week.
    Drift,
    /// Typical error of the test at this position.
    Error(usize),
    /// Mean added to a first trial.
    FirstTrial,
    /// Mean added to a second trial.
    SecondTrial,
    /// Mean level of the group.
    GroupMean,
    /// SD of levels in the group.
    GroupSd,
}

/// Widths of the priors about the values of the model handed in; none stands for a flat prior.
///
/// Learning has its prior in the model itself: mean and SD there; SD 0 keeps it fixed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PriorWidth {
    /// SD of ln of the variance per week; 1.0 allows a factor of 2.7 either way.
    pub ln_drift: Option<f64>,
    /// SD of ln of a typical error; 0.5 allows a factor of 1.6 either way.
    pub ln_error: Option<f64>,
    /// SD of the group's mean, in group SDs.
    pub group_mean: Option<f64>,
    /// SD of ln of the group's SD.
    pub ln_group_sd: Option<f64>,
}

impl PriorWidth {
    /// The weak priors used by default; chosen, not taken from a source.
    pub const WEAK: Self = Self {
        ln_drift: Some(1.0),
        ln_error: Some(0.5),
        group_mean: Some(2.0),
        ln_group_sd: Some(0.5),
    };
    /// Flat on the logarithms and on the mean: plain maximum likelihood.
    pub const FLAT: Self = Self {
        ln_drift: None,
        ln_error: None,
        group_mean: None,
        ln_group_sd: None,
    };
}

/// A parameter worked out from the squad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// Which.
    pub parameter: Parameter,
    /// Most probable value, on its own scale.
    pub value: f64,
    /// Approximate standard error, on its own scale; none where the curvature gives none.
    pub se: Option<f64>,
    /// Whether the error is even on the logarithm: true for variances and SDs.
    pub on_log: bool,
}

impl Estimate {
    /// Returns the approximate interval; none where there is no standard error.
    pub fn interval(&self, level: f64) -> Result<Option<Interval>, MeasureError> {
        let z = dist::two_sided(level, None)?;
        Ok(self.se.map(|se| {
            let (lower, upper) = if self.on_log {
                let factor = (z * se / self.value).exp();
                (self.value / factor, self.value * factor)
            } else {
                (self.value - z * se, self.value + z * se)
            };
            Interval {
                lower,
                upper,
                level,
            }
        }))
    }
}

/// A parameter left at its prior.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept {
    /// Which.
    pub parameter: Parameter,
    /// Why, and what would change it.
    pub why: String,
}

/// Why the search ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StopReason {
    /// No parameter was free.
    NothingToFit,
    /// The slope was as good as 0.
    Gradient,
    /// No step gained any more.
    NoGain,
    /// The allowed number of iterations was used up.
    Iterations,
    /// A parameter ran away from its start by a factor of more than a million.
    RanAway,
}

/// How the search went.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FitRecord {
    /// Whether the values can be relied on as a maximum.
    pub converged: bool,
    /// Iterations of the search.
    pub iterations: usize,
    /// Evaluations of the squad's likelihood.
    pub evaluations: usize,
    /// Largest slope at the end, log posterior per working unit.
    pub gradient: f64,
    /// Largest step at the end, in working units (logarithms; for the others, one error or SD).
    pub step: f64,
    /// Why it ended.
    pub stopped: StopReason,
}

/// A model with its parameters from a squad.
#[derive(Debug, Clone, PartialEq)]
pub struct SquadFit {
    /// The model to use from here on; a fitted learning carries its standard error as SD.
    pub model: Model,
    /// Models that the squad leaves open, for answers that hold that doubt.
    pub ensemble: Ensemble,
    /// Parameters worked out.
    pub estimates: Vec<Estimate>,
    /// Parameters left at their prior.
    pub kept: Vec<Kept>,
    /// Summed marginal log likelihood.
    pub log_likelihood: f64,
    /// The same with the priors' logarithms (up to constants) added.
    pub log_posterior: f64,
    /// How the search went.
    pub record: FitRecord,
}

/// Returns the parameters that are most probable for a squad, under priors about `prior`.
///
/// Exact results use the Kalman filter, all others the grid; `threads` 0 counts as 1.
pub fn fit_squad(
    prior: &Model,
    squad: &[Series],
    width: &PriorWidth,
    threads: usize,
) -> Result<SquadFit, MeasureError> {
    for sd in [
        width.ln_drift,
        width.ln_error,
        width.group_mean,
        width.ln_group_sd,
    ] {
        sd.map(|sd| check::positive("width of a prior", sd))
            .transpose()?;
    }
    if squad.is_empty() {
        return Err(MeasureError::TooFew {
            what: "people of the squad",
            found: 0,
            needed: 1,
        });
    }
    let (free, kept) = choose(prior, squad, width);
    let mut objective = Objective::new(prior, squad, &free, threads);
    let found = maximise::maximise(&mut objective)?;
    assemble(&mut objective, &free, kept, found)
}

fn assemble(
    objective: &mut Objective<'_>,
    free: &[Free],
    kept: Vec<Kept>,
    found: Found,
) -> Result<SquadFit, MeasureError> {
    let estimates: Vec<Estimate> = free
        .iter()
        .zip(&found.place)
        .zip(&found.errors)
        .map(|((one, &at), &error)| one.estimate(at, error))
        .collect();
    let model = objective.model(&found.place, Some(&estimates))?;
    let prior = objective.log_prior(&found.place);
    let ensemble = if found.record.converged {
        doubt::models(objective, free, &found, &estimates)?
    } else {
        Ensemble::only(model.clone())
    };
    Ok(SquadFit {
        model,
        ensemble,
        estimates,
        kept,
        log_likelihood: found.value - prior,
        log_posterior: found.value,
        record: found.record,
    })
}
