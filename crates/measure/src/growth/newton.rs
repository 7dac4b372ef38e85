//! Newton steps with step halving on the penalised log-likelihood.
//! Says how it ended: a fit that did not converge is marked, never passed off as one that did.
//! The expected information stands in where the observed one is not positive definite.

use super::information::{Objective, Pass};
use super::matrix::{Factor, Matrix, dot};
use super::model::{Model, Smoothing};
use super::smoothing::Penalties;
use crate::MeasureError;

/// Expected gain in log-likelihood below which a fit has arrived.
const ARRIVED: f64 = 1e-10;
/// The same where rounding lets no step show a gain any more.
const STILL: f64 = 1e-6;
/// Change of effective degrees of freedom below which the smoothness counts as chosen: by
/// Fellner-Schall steps, and by a search whose finest step moves them by about 0.02.
const SETTLED: (f64, f64) = (2e-3, 0.03);
/// Moves after which a search is followed by less and less, so that two choices that lead to one
/// another end between them.
const WHOLE_MOVES: u32 = 12;
/// Newton steps before the smoothness is first moved, and most steps that move it.
const MOVES: (u32, u32) = (3, 120);
/// Most halvings of one step.
const HALVINGS: u32 = 40;
/// Rounding of a sum, relative to its size, that may look like a loss.
const ROUNDING: f64 = 1e-13;

/// Why a fit stopped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stop {
    /// The expected gain of another step was nothing.
    Arrived,
    /// The largest number of steps was reached.
    Steps,
    /// No shorter step raised the log-likelihood.
    NoGain,
    /// The smoothness did not settle.
    Smoothness,
}

/// How a fit ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Convergence {
    /// Whether the top of the likelihood was reached.
    pub converged: bool,
    /// Newton steps made.
    pub iterations: u32,
    /// Times a step was halved.
    pub halvings: u32,
    /// Largest score at the end, in units of its standard error; 0 is the top.
    pub gradient: f64,
    /// Largest change of a coefficient in the next step, in units of its standard error.
    pub step: f64,
    /// Whether the smoothness settled; true when there was nothing to choose.
    pub smoothness_settled: bool,
    /// Why it stopped.
    pub stop: Stop,
}

/// Where a fit ended.
#[derive(Debug)]
pub(crate) struct Top {
    pub(crate) all: Vec<f64>,
    pub(crate) pass: Pass,
    pub(crate) covariance: Matrix,
    pub(crate) penalties: Penalties,
    pub(crate) record: Convergence,
}

/// Climbs from `all` to the top of the penalised log-likelihood.
pub(crate) fn climb(
    objective: &Objective<'_>,
    model: &Model,
    people: f64,
    mut all: Vec<f64>,
    mut penalties: Penalties,
) -> Result<Top, MeasureError> {
    let fixed = matches!(model.smoothing, Smoothing::Fixed(_));
    let mut settled = fixed || !penalties.any();
    let (mut freedom, mut halvings, mut iterations) = (None, 0, 0);
    loop {
        let pass = objective.pass(&all).ok_or(MeasureError::Overflow {
            what: "the likelihood of the reference",
        })?;
        if !settled && iterations >= MOVES.0 && iterations < MOVES.1 {
            let used = usable(&pass, &penalties)?;
            let limit = choose(
                &mut penalties,
                model.smoothing,
                people,
                (used, &pass.score, &all),
                iterations,
            );
            let now = penalties.freedom(used);
            settled = close(freedom, now, &penalties, limit);
            freedom = now;
        }
        let factor = factor(&pass, &penalties)?;
        let slope = penalties.score(&pass.score, &all);
        let step = factor.solve(&slope);
        let gain = dot(&slope, &step);
        let moving = !settled && iterations < MOVES.1;
        let mut stop = if gain < ARRIVED && !moving {
            Some(Stop::Arrived)
        } else if iterations >= model.iterations {
            Some(Stop::Steps)
        } else {
            None
        };
        if stop.is_none() {
            let from = pass.log_likelihood - penalties.half(&all);
            match halved(objective, &penalties, &all, &step, from) {
                Some((next, count)) => (all, halvings) = (next, halvings + count),
                None if moving => {}
                None => stop = Some(Stop::NoGain),
            }
        }
        let Some(stop) = stop else {
            iterations += 1;
            continue;
        };
        let record = Convergence {
            converged: settled && is_top(stop, gain, &pass, &penalties),
            iterations,
            halvings,
            gradient: largest(&slope, &pass.observed, |score, info| score / info.sqrt()),
            step: largest(&step, &pass.observed, |step, info| step * info.sqrt()),
            smoothness_settled: settled,
            stop: if settled { stop } else { Stop::Smoothness },
        };
        return Ok(Top {
            covariance: factor.inverse(),
            all,
            pass,
            penalties,
            record,
        });
    }
}

/// Moves the smoothness and returns the change of degrees of freedom that counts as none.
fn choose(
    penalties: &mut Penalties,
    smoothing: Smoothing,
    people: f64,
    (information, score, all): (&Matrix, &[f64], &[f64]),
    iterations: u32,
) -> f64 {
    let before = penalties.factors;
    penalties.choose(smoothing, people, information, score, all);
    if !matches!(smoothing, Smoothing::Gaic(_) | Smoothing::Bic) {
        return SETTLED.0;
    }
    let share = f64::from(WHOLE_MOVES) / f64::from(iterations.max(WHOLE_MOVES));
    penalties.part_way(before, share);
    SETTLED.1
}

/// Whether a stop is at a top: where the observed information is not positive it is none.
fn is_top(stop: Stop, gain: f64, pass: &Pass, penalties: &Penalties) -> bool {
    let still = stop == Stop::Arrived || (stop == Stop::NoGain && gain < STILL);
    still && penalties.added(&pass.observed).factor().is_some()
}

/// The information that can be worked with.
fn usable<'a>(pass: &'a Pass, penalties: &Penalties) -> Result<&'a Matrix, MeasureError> {
    if penalties.added(&pass.observed).factor().is_some() {
        return Ok(&pass.observed);
    }
    if penalties.added(&pass.expected).factor().is_some() {
        return Ok(&pass.expected);
    }
    Err(MeasureError::Undefined {
        what: "the fit of the reference",
        why: "the data do not settle all coefficients; take lower degrees, fewer stretches or \
              more people"
            .to_owned(),
    })
}

fn factor(pass: &Pass, penalties: &Penalties) -> Result<Factor, MeasureError> {
    let used = usable(pass, penalties)?;
    penalties
        .added(used)
        .factor()
        .ok_or(MeasureError::Overflow {
            what: "the information of the reference",
        })
}

/// The first of the halved steps that does not lower the penalised log-likelihood.
fn halved(
    objective: &Objective<'_>,
    penalties: &Penalties,
    all: &[f64],
    step: &[f64],
    from: f64,
) -> Option<(Vec<f64>, u32)> {
    let mut share = 1.0;
    for count in 0..HALVINGS {
        let next: Vec<f64> = all.iter().zip(step).map(|(a, s)| a + share * s).collect();
        let value = objective.value(&next) - penalties.half(&next);
        if value >= from - ROUNDING * from.abs() {
            return Some((next, count));
        }
        share *= 0.5;
    }
    None
}

fn close(
    before: Option<[f64; 3]>,
    now: Option<[f64; 3]>,
    penalties: &Penalties,
    limit: f64,
) -> bool {
    let (Some(before), Some(now)) = (before, now) else {
        return false;
    };
    (0..3).all(|c| penalties.straight(c) || (before[c] - now[c]).abs() < limit)
}

fn largest(values: &[f64], information: &Matrix, unit: impl Fn(f64, f64) -> f64) -> f64 {
    let mut most: f64 = 0.0;
    for (i, &value) in values.iter().enumerate() {
        let information = information.get(i, i);
        if information > 0.0 {
            most = most.max(unit(value, information).abs());
        }
    }
    most
}
