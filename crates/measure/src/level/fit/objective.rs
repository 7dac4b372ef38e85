//! The log posterior of working parameters: summed marginal likelihoods and priors.
//! Exact results go through the Kalman filter, everything else through the grid.
//! A person whose results cannot be read at all is a fault, not left out.

use super::super::kalman::kalman;
use super::super::model::{Model, Normal, Start};
use super::super::series::{Outcome, Series};
use super::super::squad::spread;
use super::parameters::Free;
use super::{Estimate, Parameter};
use crate::{MeasureError, check};

pub(super) struct Objective<'a> {
    prior: &'a Model,
    squad: &'a [Series],
    free: &'a [Free],
    threads: usize,
    gaussian: bool,
    pub(super) evaluations: usize,
}

impl<'a> Objective<'a> {
    pub(super) fn new(
        prior: &'a Model,
        squad: &'a [Series],
        free: &'a [Free],
        threads: usize,
    ) -> Self {
        let exact = squad
            .iter()
            .flat_map(Series::observations)
            .all(|seen| matches!(seen.outcome, Outcome::Exact(_)));
        Self {
            prior,
            squad,
            free,
            threads,
            gaussian: exact && prior.tests.iter().all(|test| test.slope.sd == 0.0),
            evaluations: 0,
        }
    }

    /// Number of free parameters.
    pub(super) fn size(&self) -> usize {
        self.free.len()
    }

    /// Returns the log posterior, up to constants of the priors.
    pub(super) fn value(&mut self, at: &[f64]) -> Result<f64, MeasureError> {
        self.evaluations += 1;
        let model = self.model(at, None)?;
        let gaussian = self.gaussian;
        let each = spread(self.squad, self.threads, |series, field| {
            if gaussian {
                kalman(&model, series).map(|found| found.log_likelihood)
            } else {
                field.likelihood_of(&model, series)
            }
        });
        let mut sum = self.log_prior(at);
        for one in each {
            sum += one?;
        }
        check::result("the likelihood of the squad", sum)
    }

    /// Returns the log prior, up to constants.
    pub(super) fn log_prior(&self, at: &[f64]) -> f64 {
        self.free
            .iter()
            .zip(at)
            .filter_map(|(one, at)| one.width.map(|width| -0.5 * (at / width).powi(2)))
            .sum()
    }

    /// Returns the model with the free parameters set; a free learning is taken as exactly known,
    /// or with its standard error once there are estimates.
    pub(super) fn model(
        &self,
        at: &[f64],
        estimates: Option<&[Estimate]>,
    ) -> Result<Model, MeasureError> {
        let mut model = self.prior.clone();
        for (place, (one, &at)) in self.free.iter().zip(at).enumerate() {
            let value = check::result("a parameter of the squad", one.value(at))?;
            let sd = estimates.and_then(|all| all[place].se).unwrap_or(0.0);
            let learned = Normal { mean: value, sd };
            match one.parameter {
                Parameter::Drift => model.drift = value,
                Parameter::Error(test) => model.tests[test].error = value,
                Parameter::FirstTrial => model.learning.first = learned,
                Parameter::SecondTrial => model.learning.second = learned,
                Parameter::GroupMean | Parameter::GroupSd => {
                    if let Start::From(group) = &mut model.start {
                        if one.parameter == Parameter::GroupMean {
                            group.mean = value;
                        } else {
                            group.sd = value;
                        }
                    }
                }
            }
        }
        Model::new(model.start, model.drift, model.tests, model.learning)
    }
}
