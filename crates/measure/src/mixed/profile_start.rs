//! ML estimates of what is profiled, with a first step away from them.
//! A start only: the ends of the interval do not depend on the step.

use super::ProfileTarget;
use super::orthogonal::back_substitute;
use super::outcome::State;
use super::theta::covariance;
use crate::MeasureError;

/// Returns the ML estimate of a target and a first step away from it.
pub(super) fn estimate(state: &State, target: ProfileTarget) -> Result<(f64, f64), MeasureError> {
    let lambdas = state.layout.lambdas(&state.theta);
    let unit = state.sigma * state.scale;
    Ok(match target {
        ProfileTarget::Sigma => {
            let sigma = unit * state.mean_weight.sqrt();
            (sigma, sigma / (state.problem.stats.n as f64).sqrt())
        }
        ProfileTarget::Sd { term, column } => {
            let block = state.layout.block(&lambdas, term);
            let size: f64 = block[column].iter().map(|v| v * v).sum::<f64>().sqrt();
            let unit = unit / state.scales(term)[column];
            (size * unit, (0.3 * size).max(0.1) * unit)
        }
        ProfileTarget::Correlation {
            term,
            first,
            second,
        } => {
            let sigma = covariance(&state.layout.block(&lambdas, term));
            let size = (sigma[first][first] * sigma[second][second]).sqrt();
            if size <= 0.0 {
                return Err(MeasureError::Undefined {
                    what: "the interval of the correlation",
                    why: "one of the two SDs is estimated as 0; take that column out".into(),
                });
            }
            ((sigma[first][second] / size).clamp(-1.0, 1.0), 0.3)
        }
        ProfileTarget::Fixed { column } => fixed_estimate(state, &lambdas, column)?,
    })
}

fn fixed_estimate(
    state: &State,
    lambdas: &[Vec<f64>],
    column: usize,
) -> Result<(f64, f64), MeasureError> {
    let point = state.problem.point(lambdas).ok_or(MeasureError::Overflow {
        what: "the fixed effects",
    })?;
    let shift = back_substitute(&state.r, &point.gamma);
    let mut contrast = vec![0.0; shift.len()];
    contrast[column] = 1.0;
    let (m, p) = (state.to_orthonormal(&contrast), shift.len());
    let inverse = point.inverse();
    let size: f64 = (0..p * p).map(|i| m[i / p] * inverse[i] * m[i % p]).sum();
    let se = state.sigma * state.scale * size.sqrt();
    Ok((state.start[column] + state.scale * shift[column], 2.0 * se))
}
