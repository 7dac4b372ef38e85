//! Finds the covariance factors: coarse look, quasi-Newton, Newton, exact zeros.
//! Reports how it ended; hides nothing.

use super::minimise::{Minimum, search};
use super::objective::Problem;
use super::polish::polish;
use super::theta::Layout;

/// Sizes of the random part against the error that are looked at first.
const COARSE: [f64; 9] = [1.0, 0.3, 3.0, 0.1, 10.0, 0.03, 30.0, 0.01, 100.0];
/// A diagonal below this is tried at exactly 0.
const NEAR_ZERO: f64 = 1e-3;
/// A loss of deviance that counts as none when a parameter is set to 0.
const NO_LOSS: f64 = 1e-8;

/// Searches for the parameters of the smallest deviance.
pub(super) fn best(problem: &Problem, layout: &Layout, budget: usize) -> Minimum {
    let mut f = |theta: &[f64]| problem.deviance(&layout.lambdas(theta));
    let (start, spent) = coarse(&mut f, layout);
    let mut at = search(&mut f, &start, budget.saturating_sub(spent));
    at.record.evaluations += spent;
    at = polish(&mut f, at, budget);
    at = zeros(&mut f, layout, at);
    at.x = layout.canonical(&at.x);
    at
}

/// Tries one size for all terms, then other sizes for each.
fn coarse(f: &mut impl FnMut(&[f64]) -> f64, layout: &Layout) -> (Vec<f64>, usize) {
    let diagonal = layout.diagonal();
    let at = |sizes: &[f64]| -> Vec<f64> {
        let mut theta = vec![0.0; layout.len()];
        for (range, size) in layout.ranges.iter().zip(sizes) {
            for k in range.clone() {
                theta[k] = if diagonal[k] { *size } else { 0.0 };
            }
        }
        theta
    };
    let terms = layout.ranges.len();
    let mut used = 0;
    let mut sizes = vec![1.0; terms];
    let mut least = f64::INFINITY;
    for size in COARSE {
        used += 1;
        let value = f(&at(&vec![size; terms]));
        if value < least {
            (least, sizes) = (value, vec![size; terms]);
        }
    }
    for term in 0..if terms > 1 { terms } else { 0 } {
        let before = sizes[term];
        for factor in [0.1, 0.3, 3.0] {
            used += 1;
            let mut trial = sizes.clone();
            trial[term] = before * factor;
            let value = f(&at(&trial));
            if value < least {
                (least, sizes) = (value, trial);
            }
        }
    }
    (at(&sizes), used)
}

/// Sets a nearly vanished diagonal to 0 when the deviance does not suffer.
fn zeros(f: &mut impl FnMut(&[f64]) -> f64, layout: &Layout, mut at: Minimum) -> Minimum {
    for (k, diagonal) in layout.diagonal().into_iter().enumerate() {
        if !diagonal || at.x[k] == 0.0 || at.x[k].abs() > NEAR_ZERO {
            continue;
        }
        let mut trial = at.x.clone();
        trial[k] = 0.0;
        at.record.evaluations += 1;
        let value = f(&trial);
        if value <= at.value + NO_LOSS.max(1e-14 * at.value.abs()) {
            (at.x, at.value) = (trial, value);
        }
    }
    at
}
