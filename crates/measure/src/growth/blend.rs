//! The mean of the curves over their smoothness, as the sample leaves it open.
//! Moves one factor at a time, and only on the quadratic at the top: no pass over the data.
//! Own derivation: docs/methods/growth-references.md.

use super::matrix::{Matrix, dot};
use super::smoothing::Penalties;

/// Step of the factors looked at, in ln(factor).
const WIDTH: f64 = 1.5;
/// Logarithm of a weight, below the largest, that no longer counts.
const FAINT: f64 = 6.0;

/// Returns the coefficients as the mean over the factor of each curve, weighted by the criterion
/// that it is chosen by; nothing where the information cannot be worked with.
pub(crate) fn mean(
    chosen: &Penalties,
    information: &Matrix,
    score: &[f64],
    all: &[f64],
) -> Option<Vec<f64>> {
    let here = step(chosen, information, score, all)?;
    let mut mean = all.to_vec();
    for curve in 0..3 {
        let mut steps = Vec::new();
        let mut most = here.0;
        for way in [WIDTH, -WIDTH] {
            let mut trial = chosen.clone();
            while trial.shift(curve, way) {
                let Some(next) = step(&trial, information, score, all) else {
                    break;
                };
                most = most.max(next.0);
                let faint = next.0 < most - FAINT;
                steps.push(next);
                if faint {
                    break;
                }
            }
        }
        let weight = |log: f64| (log - most).exp();
        let whole: f64 = weight(here.0) + steps.iter().map(|s| weight(s.0)).sum::<f64>();
        for (log, step) in &steps {
            let share = weight(*log) / whole;
            for (slot, (there, here)) in mean.iter_mut().zip(step.iter().zip(&here.1)) {
                *slot += share * (there - here);
            }
        }
    }
    Some(mean)
}

/// The logarithm of the criterion, up to a constant, and the Newton step with these factors.
fn step(
    penalties: &Penalties,
    information: &Matrix,
    score: &[f64],
    all: &[f64],
) -> Option<(f64, Vec<f64>)> {
    let factor = penalties.added(information).factor()?;
    let step = factor.solve(&penalties.score(score, all));
    let there: Vec<f64> = all.iter().zip(&step).map(|(a, s)| a + s).collect();
    let fit = dot(score, &step) - 0.5 * information.form(&step) - penalties.half(&there);
    let log = fit - 0.5 * factor.log_determinant() + penalties.prior(&factor.inverse());
    log.is_finite().then_some((log, step))
}
