//! Profile likelihood intervals, always by ML.
//! An end at the edge of what is possible (SD 0, correlation +-1) is said to be one.

use super::constrained::Held;
use super::guard::fault;
use super::minimise::search;
use super::polish::polish;
use super::profile_start::estimate;
use super::search::best;
use super::{Criterion, Fit, outcome::State};
use crate::{Interval, MeasureError, check, dist};

/// A parameter to give an interval for; terms and columns count from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ProfileTarget {
    /// Residual SD.
    Sigma,
    /// SD of a random column.
    Sd {
        /// Term.
        term: usize,
        /// Column of the term.
        column: usize,
    },
    /// Correlation of two random columns of a term.
    Correlation {
        /// Term.
        term: usize,
        /// One column.
        first: usize,
        /// The other column.
        second: usize,
    },
    /// A fixed effect.
    Fixed {
        /// Fixed column.
        column: usize,
    },
}

/// A profile likelihood interval.
#[derive(Debug, Clone, PartialEq)]
pub struct ProfileInterval {
    /// ML estimate.
    pub estimate: f64,
    /// The interval.
    pub interval: Interval,
    /// Whether the lower end is the lowest possible value.
    pub lower_at_bound: bool,
    /// Whether the upper end is the highest possible value.
    pub upper_at_bound: bool,
    /// Evaluations of the deviance.
    pub evaluations: usize,
    /// Whether every search on the way converged.
    pub converged: bool,
}

/// How close the root of the deviance must come to the limit.
const CLOSE: f64 = 1e-7;
/// Most steps to a limit.
const STEPS: usize = 80;

struct Profile<'a> {
    held: Held<'a>,
    least: f64,
    limit: f64,
    x: Vec<f64>,
    budget: usize,
    evaluations: usize,
    converged: bool,
}

impl Profile<'_> {
    /// Root of the rise in deviance at `value`, less the limit.
    fn above(&mut self, value: f64) -> f64 {
        let held = &self.held;
        let mut f = |x: &[f64]| held.deviance(x, value);
        let deviance = if self.x.is_empty() {
            self.evaluations += 1;
            f(&[])
        } else {
            let found = search(&mut f, &self.x, self.budget);
            let found = polish(&mut f, found, self.budget);
            self.evaluations += found.record.evaluations;
            self.converged &= found.record.converged;
            if found.value.is_finite() {
                self.x = found.x;
            }
            found.value
        };
        (deviance - self.least).max(0.0).sqrt() - self.limit
    }

    /// Finds where the rise meets the limit, from `inside`, out by `step`, not beyond `bound`.
    fn end(&mut self, inside: f64, step: f64, bound: Option<f64>) -> Option<(f64, bool)> {
        let start = self.x.clone();
        let (mut near, mut near_above) = (inside, -self.limit);
        let mut size = step;
        let mut far = None;
        for _ in 0..STEPS {
            let next = near + size;
            let stopped = bound.filter(|b| (next - b) * step >= 0.0);
            let next = stopped.unwrap_or(next);
            let above = self.above(next);
            if !above.is_finite() {
                size /= 4.0;
            } else if above > 0.0 {
                far = Some((next, above));
                break;
            } else if stopped.is_some() {
                self.x = start;
                return Some((next, true));
            } else {
                (near, near_above) = (next, above);
                size *= 1.6;
            }
        }
        let out = self.root((near, near_above), far?);
        self.x = start;
        Some((out, false))
    }

    /// Regula falsi (Illinois) between a point below and one above the limit.
    fn root(&mut self, mut near: (f64, f64), mut far: (f64, f64)) -> f64 {
        let mut last = 0;
        for _ in 0..STEPS {
            let at = (near.0 * far.1 - far.0 * near.1) / (far.1 - near.1);
            let above = self.above(at);
            if above.abs() < CLOSE || (far.0 - near.0).abs() <= 1e-12 * at.abs() {
                return at;
            }
            if above > 0.0 {
                far = (at, above);
                if last == 1 {
                    near.1 /= 2.0;
                }
                last = 1;
            } else {
                near = (at, above);
                if last == -1 {
                    far.1 /= 2.0;
                }
                last = -1;
            }
        }
        (near.0 + far.0) / 2.0
    }
}

impl Fit {
    /// Returns the profile likelihood interval at a confidence level; a REML fit is refitted by
    /// ML first.
    pub fn profile(
        &self,
        target: ProfileTarget,
        level: f64,
    ) -> Result<ProfileInterval, MeasureError> {
        let limit = dist::two_sided(check::level(level)?, None)?;
        self.check_target(target)?;
        let state = self.by_maximum_likelihood()?;
        let (estimate, step) = estimate(&state, target)?;
        let lambdas = state.layout.lambdas(&state.theta);
        let held = Held::new(&state, target);
        let mut profile = Profile {
            least: state.problem.deviance(&lambdas),
            limit,
            x: held.start(),
            held,
            budget: state.budget,
            evaluations: 0,
            converged: true,
        };
        let (low, high) = match target {
            ProfileTarget::Sd { .. } => (Some(0.0), None),
            ProfileTarget::Correlation { .. } => (Some(-1.0), Some(1.0)),
            _ => (None, None),
        };
        let none = || MeasureError::Undefined {
            what: "the profile interval",
            why: format!(
                "the deviance does not rise far enough around the estimate {estimate}; the data \
                 do not carry this parameter, take it out of the model"
            ),
        };
        let (lower, lower_at_bound) = profile.end(estimate, -step, low).ok_or_else(none)?;
        let (upper, upper_at_bound) = profile.end(estimate, step, high).ok_or_else(none)?;
        Ok(ProfileInterval {
            estimate,
            interval: Interval {
                lower,
                upper,
                level,
            },
            lower_at_bound,
            upper_at_bound,
            evaluations: profile.evaluations,
            converged: profile.converged,
        })
    }

    fn by_maximum_likelihood(&self) -> Result<State, MeasureError> {
        let mut state = self.state.clone();
        if self.is_reml() {
            state.problem.criterion = Criterion::Ml;
            state.theta = best(&state.problem, &state.layout, state.budget).x;
            let lambdas = state.layout.lambdas(&state.theta);
            let point = state
                .problem
                .point(&lambdas)
                .ok_or(MeasureError::Overflow {
                    what: "the fit by ML",
                })?;
            state.sigma = state.problem.sigma(&point);
        }
        Ok(state)
    }

    fn check_target(&self, target: ProfileTarget) -> Result<(), MeasureError> {
        let columns = |term: usize| self.terms.get(term).map_or(0, |t| t.columns.len());
        let good = match target {
            ProfileTarget::Sigma => self.sigma.is_some(),
            ProfileTarget::Sd { term, column } => column < columns(term),
            ProfileTarget::Correlation {
                term,
                first,
                second,
            } => {
                let range = self.state.layout.ranges.get(term).map_or(0, |r| r.len());
                first != second && first.max(second) < columns(term) && range > columns(term)
            }
            ProfileTarget::Fixed { column } => column < self.fixed.len(),
        };
        if good {
            return Ok(());
        }
        Err(fault(
            "parameter to profile",
            format!("{target:?}"),
            "a parameter that this model estimates",
            "count terms and columns from 0; uncorrelated terms have no correlation, known error \
             variances no sigma",
        ))
    }
}
