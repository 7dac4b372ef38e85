//! Newton steps at the end of a search, and the way out of a ridge or saddle.
//! Says by the curvature how far the deviance can still be from the smallest.

use nalgebra::{DMatrix, SymmetricEigen};

use super::differences::{Function, gradient, hessian, steps};
use super::minimise::{Minimum, Stop, floor, search, slope_steps, step};

/// Most rounds of Newton steps.
const ROUNDS: usize = 6;
/// Gain in deviance still to be expected at most, for a search that counts as converged.
const CONVERGED: f64 = 1e-7;

/// Eigenvalues and eigenvectors of a symmetric matrix.
pub(super) fn eigen(matrix: &[Vec<f64>]) -> Option<SymmetricEigen<f64, nalgebra::Dyn>> {
    let k = matrix.len();
    if matrix.iter().flatten().any(|v| !v.is_finite()) {
        return None;
    }
    let full = DMatrix::from_fn(k, k, |i, j| (matrix[i][j] + matrix[j][i]) / 2.0);
    SymmetricEigen::try_new(full, f64::EPSILON, 10_000)
}

/// Improves the end of a search; the record is brought up to date.
pub(super) fn polish(f: &mut Function, mut at: Minimum, budget: usize) -> Minimum {
    let k = at.x.len();
    let mut used = at.record.evaluations;
    for _ in 0..ROUNDS {
        if used > budget {
            at.record.stop = Stop::Budget;
            break;
        }
        let mut count = |x: &[f64]| {
            used += 1;
            f(x)
        };
        let g = gradient(&mut count, &at.x, &slope_steps(&at.x));
        let sizes = steps(&mut count, &at.x, at.value);
        let h = hessian(&mut count, &at.x, at.value, &sizes, false);
        let Some(newton) = newton(&g, &h) else {
            at.record.stop = Stop::NoDescent;
            at.record.expected_gain = f64::INFINITY;
            break;
        };
        at.record.gradient = g.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
        at.record.expected_gain = newton.gain;
        at.record.smallest_curvature = newton.smallest;
        if let Some(axis) = newton.escape {
            let Some(out) = leave(&mut count, &at, &axis) else {
                break;
            };
            let left = budget.saturating_sub(used).max(10 * k);
            let next = search(f, &out, left);
            used += next.record.evaluations;
            if next.value < at.value - floor(at.value) {
                at.record.iterations += next.record.iterations;
                at.record.stop = next.record.stop;
                (at.x, at.value) = (next.x, next.value);
                continue;
            }
            break;
        }
        let slope = -2.0 * newton.gain;
        if newton.gain <= floor(at.value) {
            at.record.stop = Stop::Optimum;
            break;
        }
        let Some((x, value)) = step(&mut count, &at.x, at.value, &newton.direction, slope) else {
            break;
        };
        at.record.last_step = newton.direction.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
        at.record.iterations += 1;
        (at.x, at.value) = (x, value);
    }
    at.record.evaluations = used;
    let close = at.record.expected_gain <= CONVERGED.max(10.0 * floor(at.value));
    at.record.converged = at.value.is_finite() && at.record.stop != Stop::Budget && close;
    if at.record.converged {
        at.record.stop = Stop::Optimum;
    }
    at
}

struct Newton {
    direction: Vec<f64>,
    gain: f64,
    smallest: f64,
    /// Direction of negative curvature, if there is one.
    escape: Option<Vec<f64>>,
}

fn newton(g: &[f64], h: &[Vec<f64>]) -> Option<Newton> {
    let k = g.len();
    let eigen = eigen(h)?;
    let largest = eigen.eigenvalues.amax();
    let mut out = Newton {
        direction: vec![0.0; k],
        gain: 0.0,
        smallest: f64::INFINITY,
        escape: None,
    };
    for e in 0..k {
        let (value, axis) = (eigen.eigenvalues[e], eigen.eigenvectors.column(e));
        if value < out.smallest {
            out.smallest = value;
            out.escape = (value < -1e-5 * largest).then(|| axis.iter().copied().collect());
        }
        // Free directions (a rotation without variance) have no curvature and no slope.
        if value > 1e-6 * largest {
            let along: f64 = axis.iter().zip(g).map(|(a, g)| a * g).sum();
            out.gain += along * along / value / 2.0;
            for (d, a) in out.direction.iter_mut().zip(axis.iter()) {
                *d -= along / value * a;
            }
        }
    }
    Some(out)
}

/// Looks along a direction of negative curvature for a lower point.
fn leave(f: &mut Function, at: &Minimum, axis: &[f64]) -> Option<Vec<f64>> {
    for size in [0.3, 0.1, 0.03, 0.01, 0.003] {
        for sign in [1.0, -1.0] {
            let x: Vec<f64> =
                at.x.iter()
                    .zip(axis)
                    .map(|(x, a)| x + sign * size * a)
                    .collect();
            if f(&x) < at.value - floor(at.value) {
                return Some(x);
            }
        }
    }
    None
}
