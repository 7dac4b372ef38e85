//! What a squad leaves open about its parameters: models along the drift, each with its weight.
//! Must not hide that the other parameters are taken at what they most probably are for each drift.
//! Formula: docs/methods/level.md, "Doubt about the parameters".

use super::matrix::{invert, log_determinant, times};
use super::maximise::{Found, curvature_of, slopes_of};
use super::objective::Objective;
use super::parameters::Free;
use super::{Estimate, Parameter};
use crate::MeasureError;
use crate::level::ensemble::Ensemble;

/// Distance of two models, in standard errors of ln drift.
const APART: f64 = 0.75;
/// Most models on one side.
const MOST: usize = 7;
/// Models whose log posterior lies this far below the best are left out: a weight of 0.25 %.
const TOO_FAR: f64 = 6.0;

/// Returns the models that a squad leaves open.
pub(super) fn models(
    objective: &mut Objective<'_>,
    free: &[Free],
    found: &Found,
    estimates: &[Estimate],
) -> Result<Ensemble, MeasureError> {
    let best = objective.model(&found.place, Some(estimates))?;
    let drift = free
        .iter()
        .position(|one| one.parameter == Parameter::Drift);
    let Some((drift, covariance)) = drift.zip(found.covariance.as_ref()) else {
        return Ok(Ensemble::only(best));
    };
    let variance = covariance[drift][drift];
    let others: Vec<usize> = (0..free.len()).filter(|k| *k != drift).collect();
    let Some(most) = at_best(objective, &found.place, &others) else {
        return Ok(Ensemble::only(best));
    };
    let direction: Vec<f64> = covariance
        .iter()
        .map(|row| row[drift] / variance.sqrt())
        .collect();
    let mut parts = vec![(1.0, best)];
    for side in [-APART, APART] {
        let mut place = found.place.clone();
        for _ in 0..MOST {
            place
                .iter_mut()
                .zip(&direction)
                .for_each(|(at, by)| *at += side * by);
            // A place without a likelihood or a maximum of the others is left out, and what lies beyond it.
            let Some(there) = at_best(objective, &place, &others) else {
                break;
            };
            let weight = there.weight - most.weight;
            if weight < -TOO_FAR {
                break;
            }
            place = there.place;
            parts.push((weight.exp(), objective.model(&place, Some(estimates))?));
        }
    }
    Ok(Ensemble::of(parts, 0))
}

/// The others at their best for one drift, and the logarithm of what all of them weigh together.
struct There {
    place: Vec<f64>,
    weight: f64,
}

/// One Newton step of the others, and their volume by the curvature (Laplace).
fn at_best(objective: &mut Objective<'_>, place: &[f64], others: &[usize]) -> Option<There> {
    let value = objective.value(place).ok()?;
    let curvature = curvature_of(objective, place, value, others).ok()?;
    let (inverse, log_determinant) = (invert(curvature.clone())?, log_determinant(curvature)?);
    let slopes = slopes_of(objective, place, others).ok()?;
    let step = times(&inverse, &slopes);
    let mut moved = place.to_vec();
    for (&k, by) in others.iter().zip(&step) {
        moved[k] += by;
    }
    let (place, value) = match objective.value(&moved) {
        Ok(higher) if higher > value => (moved, higher),
        _ => (place.to_vec(), value),
    };
    Some(There {
        place,
        weight: value - 0.5 * log_determinant,
    })
}
