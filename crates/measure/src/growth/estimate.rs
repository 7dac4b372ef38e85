//! The fit: coefficients with errors, likelihood, effective degrees of freedom, how it ended.
//! Coefficients are on the scale of the data: the inner scale never shows.
//! Formulas: docs/methods/growth-references.md.

use super::basis::Basis;
use super::blend;
use super::information::Objective;
use super::matrix::Matrix;
use super::model::{MedianScale, Model, Smoothing};
use super::newton::{self, Convergence};
use super::sample::Sample;
use super::smoothing::Penalties;
use super::start::start;
use crate::{MeasureError, check, norms::Lms};

/// One of the three curves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Curve {
    /// Skewness.
    L,
    /// Median, or its logarithm.
    M,
    /// Logarithm of the coefficient of variation.
    S,
}

/// A fitted reference.
#[derive(Debug, Clone)]
pub struct LmsFit {
    pub(crate) bases: [Basis; 3],
    pub(crate) median: MedianScale,
    pub(crate) offsets: [usize; 4],
    pub(crate) all: Vec<f64>,
    pub(crate) covariance: Matrix,
    ages: (f64, f64),
    people: f64,
    log_likelihood: f64,
    freedom: [f64; 3],
    factors: [f64; 3],
    record: Convergence,
}

/// Fits a model; a fit that did not converge is returned with its record and gives no centiles.
pub fn fit(sample: &Sample, model: &Model) -> Result<LmsFit, MeasureError> {
    let bases = model.bases(sample)?;
    let objective = Objective::new(sample, &bases, model.median);
    let first = start(sample, &bases, model.median, &objective)?;
    let pass = objective.pass(&first).ok_or(MeasureError::Overflow {
        what: "the likelihood of the first estimates",
    })?;
    let penalties = Penalties::new(&bases, &objective, &pass.expected, model.smoothing);
    let top = newton::climb(&objective, model, sample.people(), first, penalties)?;
    let freedom = top
        .penalties
        .freedom(&top.pass.observed)
        .or_else(|| top.penalties.freedom(&top.pass.expected))
        .ok_or(MeasureError::Overflow {
            what: "the effective degrees of freedom",
        })?;
    // Errors stay those at the chosen smoothness: methods page, what simulation says of them.
    let (mut all, mut log_likelihood) = (top.all, top.pass.log_likelihood);
    if model.smoothing == Smoothing::Reml
        && top.record.converged
        && let Some(mean) = blend::mean(&top.penalties, &top.pass.observed, &top.pass.score, &all)
    {
        let value = objective.value(&mean);
        if value.is_finite() {
            (all, log_likelihood) = (mean, value);
        }
    }
    let mut fit = LmsFit {
        bases,
        median: model.median,
        offsets: objective.offsets,
        all,
        covariance: top.covariance,
        ages: sample.ages(),
        people: sample.people(),
        log_likelihood,
        freedom,
        factors: top.penalties.factors,
        record: top.record,
    };
    fit.rescale(sample.centre);
    Ok(fit)
}

impl LmsFit {
    fn rescale(&mut self, centre: f64) {
        let range = self.offsets[1]..self.offsets[2];
        match self.median {
            MedianScale::Log => {
                let shift = self.bases[1].flat(centre);
                for (slot, shift) in self.all[range].iter_mut().zip(shift) {
                    *slot += shift;
                }
            }
            MedianScale::Value => {
                for at in range {
                    self.all[at] *= centre.exp();
                    self.covariance.scale(at, centre.exp());
                }
            }
        }
    }

    /// Returns the coefficients of a curve.
    pub fn coefficients(&self, curve: Curve) -> &[f64] {
        let curve = curve as usize;
        &self.all[self.offsets[curve]..self.offsets[curve + 1]]
    }

    /// Returns the standard errors of the coefficients of a curve.
    pub fn standard_errors(&self, curve: Curve) -> Vec<f64> {
        let curve = curve as usize;
        (self.offsets[curve]..self.offsets[curve + 1])
            .map(|at| self.covariance.get(at, at).sqrt())
            .collect()
    }

    /// Returns the log-likelihood of the data, without the penalty.
    pub fn log_likelihood(&self) -> f64 {
        self.log_likelihood
    }

    /// Returns the effective degrees of freedom of L, M and S.
    pub fn effective_df(&self) -> [f64; 3] {
        self.freedom
    }

    /// Returns -2 log-likelihood + k x effective degrees of freedom; k = 2 is AIC.
    pub fn gaic(&self, k: f64) -> Result<f64, MeasureError> {
        let k = check::not_negative("k of the generalised AIC", k)?;
        let freedom: f64 = self.freedom.iter().sum();
        check::result(
            "the generalised AIC",
            k * freedom - 2.0 * self.log_likelihood,
        )
    }

    /// Returns the Bayesian information criterion, k = ln(people).
    pub fn bic(&self) -> Result<f64, MeasureError> {
        self.gaic(self.people.ln())
    }

    /// Returns the penalty factors of L, M and S (0 for a polynomial), on the inner scale.
    pub fn penalty_factors(&self) -> [f64; 3] {
        self.factors
    }

    /// Returns the first and the last age.
    pub fn ages(&self) -> (f64, f64) {
        self.ages
    }

    /// Returns how many people are behind the fit.
    pub fn people(&self) -> f64 {
        self.people
    }

    /// Returns how the fit ended.
    pub fn convergence(&self) -> &Convergence {
        &self.record
    }

    /// Returns L, M and S at an age within the ages of the data, whatever their error.
    pub fn at(&self, age: f64) -> Result<Lms, MeasureError> {
        let age = check::finite("age", age)?;
        if age < self.ages.0 || age > self.ages.1 {
            return Err(MeasureError::OutsideAges {
                found: age,
                first: self.ages.0,
                last: self.ages.1,
            });
        }
        let [l, m, s] = [Curve::L, Curve::M, Curve::S]
            .map(|c| self.bases[c as usize].row(age).height(self.coefficients(c)));
        let m = match self.median {
            MedianScale::Log => m.exp(),
            MedianScale::Value => m,
        };
        Lms::new(l, m, s.exp())
    }
}
