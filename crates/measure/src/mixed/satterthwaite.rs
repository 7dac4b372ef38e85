//! Tests of contrasts of fixed effects with Satterthwaite's degrees of freedom.
//! Source: Kuznetsova, Brockhoff & Christensen 2017 (J Stat Softw 82(13), from memory): df =
//! 2 v^2 / (g' A g), A twice the inverse curvature of the deviance in (theta, sigma).

use super::differences::{fine_gradient, hessian, steps};
use super::polish::eigen;
use super::{Fit, outcome::State};
use crate::{Interval, MeasureError, check, dist};

/// A curvature below this share of the largest one is a direction the data do not see.
const FREE: f64 = 1e-9;

/// A contrast of fixed effects with its test against 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ContrastTest {
    /// Estimate of the contrast.
    pub estimate: f64,
    /// Its standard error.
    pub se: f64,
    /// Satterthwaite degrees of freedom, above 0; none when the variances count as known.
    pub df: Option<f64>,
    /// Estimate over standard error.
    pub t: f64,
    /// Two-sided p value.
    pub p: f64,
}

impl ContrastTest {
    /// Returns the interval at a confidence level; needs 1 or more degrees of freedom.
    pub fn interval(&self, level: f64) -> Result<Interval, MeasureError> {
        let half = dist::two_sided(level, self.df)? * self.se;
        Ok(Interval {
            lower: self.estimate - half,
            upper: self.estimate + half,
            level,
        })
    }
}

impl Fit {
    /// Tests a sum of multiples of the fixed effects against 0; one multiplier a fixed column.
    pub fn test(&self, contrast: &[f64]) -> Result<ContrastTest, MeasureError> {
        if contrast.len() != self.fixed.len() {
            return Err(MeasureError::UnequalLengths {
                what: "fixed effects and multipliers of a contrast",
                first: self.fixed.len(),
                second: contrast.len(),
            });
        }
        check::list("multipliers of a contrast", contrast, 1)?;
        if contrast.iter().all(|&c| c == 0.0) {
            return Err(MeasureError::NoSpread {
                what: "the multipliers of the contrast, all 0,",
                hint: "give at least one multiplier that is not 0",
            });
        }
        let estimate: f64 = contrast
            .iter()
            .zip(&self.fixed)
            .map(|(c, f)| c * f.estimate)
            .sum();
        let m = self.state.to_orthonormal(contrast);
        let (variance, df) = freedom(&self.state, &m)?;
        let se = variance.sqrt() * self.state.scale;
        let t = check::result("the t value", estimate / se)?;
        Ok(ContrastTest {
            estimate,
            se,
            df,
            t,
            p: 2.0 * dist::lower_tail(-t.abs(), df),
        })
    }
}

fn undefined(why: &str) -> MeasureError {
    MeasureError::Undefined {
        what: "the degrees of freedom",
        why: why.into(),
    }
}

/// Returns the variance of a contrast in scaled units, and its degrees of freedom.
fn freedom(state: &State, m: &[f64]) -> Result<(f64, Option<f64>), MeasureError> {
    let (problem, layout) = (&state.problem, &state.layout);
    let (k, p, sigma) = (layout.len(), m.len(), state.sigma);
    let size = |theta: &[f64]| {
        problem
            .point(&layout.lambdas(theta))
            .map_or(f64::NAN, |point| {
                let inverse = point.inverse();
                (0..p * p).map(|i| m[i / p] * inverse[i] * m[i % p]).sum()
            })
    };
    let mut deviance = |theta: &[f64]| {
        problem
            .point(&layout.lambdas(theta))
            .map_or(f64::NAN, |point| {
                problem.deviance_at(&point, sigma, problem.criterion)
            })
    };
    let here = deviance(&state.theta);
    let apart = steps(&mut deviance, &state.theta, here);
    let mut h = hessian(&mut deviance, &state.theta, here, &apart, true);
    let mut size = size;
    let value = size(&state.theta);
    let mut g: Vec<f64> = fine_gradient(&mut size, &state.theta, &apart)
        .iter()
        .map(|d| d * sigma * sigma)
        .collect();
    if problem.known_sigma.is_none() {
        let mut r2 = |theta: &[f64]| {
            problem
                .point(&layout.lambdas(theta))
                .map_or(f64::NAN, |point| point.r2)
        };
        let slope = fine_gradient(&mut r2, &state.theta, &apart);
        let n = problem.freedom(problem.criterion);
        let total = r2(&state.theta);
        for (row, d) in h.iter_mut().zip(&slope) {
            row.push(-2.0 * d / sigma.powi(3));
        }
        let mut last: Vec<f64> = h.iter().map(|row| row[k]).collect();
        last.push(6.0 * total / sigma.powi(4) - 2.0 * n / sigma.powi(2));
        h.push(last);
        g.push(2.0 * sigma * value);
    }
    let spread = spread(&h, &g)?;
    let variance = sigma * sigma * value;
    if !(variance > 0.0 && spread.is_finite()) {
        return Err(undefined(
            "the variance of the contrast has no slope; look at the convergence",
        ));
    }
    let df = 2.0 * variance * variance / spread;
    Ok((variance, df.is_finite().then_some(df)))
}

/// Returns g' A g with A twice the inverse of the curvature, over the directions data see.
fn spread(h: &[Vec<f64>], g: &[f64]) -> Result<f64, MeasureError> {
    let eigen = eigen(h).ok_or_else(|| undefined("the curvature of the deviance has no value"))?;
    let largest = eigen.eigenvalues.amax();
    let mut spread = 0.0;
    for (e, &curvature) in eigen.eigenvalues.iter().enumerate() {
        if curvature > FREE * largest {
            let axis = eigen.eigenvectors.column(e);
            let along: f64 = axis.iter().zip(g).map(|(a, g)| a * g).sum();
            spread += 2.0 * along * along / curvature;
        }
    }
    Ok(spread)
}
