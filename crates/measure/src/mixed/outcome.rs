//! What a fit reports.
//! Units: those of the response and the columns handed in; theta is relative to sigma.

use super::objective::Problem;
use super::theta::Layout;
use super::{Convergence, Criterion};

/// A fixed effect.
#[derive(Debug, Clone, PartialEq)]
pub struct FixedEffect {
    /// Name of the column.
    pub name: String,
    /// Estimate, unit of response over unit of column.
    pub estimate: f64,
    /// Standard error, same unit; ignores that the variances are estimated.
    pub se: f64,
}

/// A random column of a term.
#[derive(Debug, Clone, PartialEq)]
pub struct RandomColumn {
    /// Name of the column.
    pub name: String,
    /// SD of its effect between levels, 0 or more, unit of response over unit of column.
    pub sd: f64,
}

/// Estimates and predicted effects of a random term.
#[derive(Debug, Clone, PartialEq)]
pub struct TermEstimate {
    /// Name of the grouping factor.
    pub name: String,
    /// Its columns with their SDs.
    pub columns: Vec<RandomColumn>,
    /// Correlations between the columns; none where an SD is 0.
    pub correlations: Vec<Vec<Option<f64>>>,
    /// Whether an SD is 0 or a linear mix of the columns has no variance (correlation +-1).
    pub singular: bool,
    /// Labels of the levels, rising.
    pub levels: Vec<usize>,
    /// Predicted effects (BLUPs), one list a level, one value a column.
    pub effects: Vec<Vec<f64>>,
    /// Conditional SDs of the effects at the estimated fixed effects and variances.
    pub conditional_sds: Vec<Vec<f64>>,
}

/// A fitted linear mixed model.
#[derive(Debug, Clone)]
pub struct Fit {
    /// REML or ML.
    pub criterion: Criterion,
    /// Number of rows.
    pub rows: usize,
    /// Fixed effects in the order of the columns.
    pub fixed: Vec<FixedEffect>,
    /// Covariance of the fixed effects.
    pub covariance: Vec<Vec<f64>>,
    /// Residual SD (of a row with weight 1), unit of the response; none when it was known.
    pub sigma: Option<f64>,
    /// Random terms in the order handed in.
    pub terms: Vec<TermEstimate>,
    /// Relative covariance factors: lower triangles by columns, term by term.
    pub theta: Vec<f64>,
    /// Log-likelihood (restricted under REML).
    pub log_likelihood: f64,
    /// -2 log-likelihood.
    pub deviance: f64,
    /// Number of parameters: fixed effects, theta and sigma.
    pub parameters: usize,
    /// Akaike's criterion.
    pub aic: f64,
    /// Bayesian criterion, with the number of rows.
    pub bic: f64,
    /// How the search ended; look at it before anything else.
    pub convergence: Convergence,
    /// Whether some term is singular.
    pub singular: bool,
    pub(super) state: State,
}

/// What later questions to a fit need, in scaled units.
#[derive(Debug, Clone)]
pub(super) struct State {
    pub(super) problem: Problem,
    pub(super) layout: Layout,
    pub(super) theta: Vec<f64>,
    pub(super) sigma: f64,
    pub(super) scale: f64,
    /// Mean weight, by which the weights were divided.
    pub(super) mean_weight: f64,
    /// Least-squares coefficients and the triangle that leads back to the columns.
    pub(super) start: Vec<f64>,
    pub(super) r: Vec<Vec<f64>>,
    pub(super) budget: usize,
}

impl State {
    /// Returns scales of the columns of a term.
    pub(super) fn scales(&self, term: usize) -> &[f64] {
        let (factor, offset, q) = self.layout.terms[term];
        &self.problem.stats.shapes[factor].scales[offset..offset + q]
    }

    /// Solves r' m = contrast, so that m times the orthonormal effects is the contrast.
    pub(super) fn to_orthonormal(&self, contrast: &[f64]) -> Vec<f64> {
        let mut m = contrast.to_vec();
        for k in 0..m.len() {
            for j in 0..k {
                m[k] -= self.r[j][k] * m[j];
            }
            m[k] /= self.r[k][k];
        }
        m
    }
}

impl Fit {
    /// Returns in words which terms are singular and what that means; empty when none is.
    pub fn singular_notes(&self) -> Vec<String> {
        self.terms
            .iter()
            .filter(|term| term.singular)
            .map(|term| {
                let zero: Vec<&str> = term
                    .columns
                    .iter()
                    .filter(|c| c.sd == 0.0)
                    .map(|c| c.name.as_str())
                    .collect();
                if zero.is_empty() {
                    format!(
                        "random term `{}`: the effects are perfectly correlated at the estimate; \
                         the data do not carry all its SDs and correlations, take a column out or \
                         hold the correlations at 0",
                        term.name
                    )
                } else {
                    format!(
                        "random term `{}`: the SD of {} is estimated as 0; levels differ no more \
                         than the error explains, or there are too few of them to tell",
                        term.name,
                        zero.join(", ")
                    )
                }
            })
            .collect()
    }
}
