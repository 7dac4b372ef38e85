//! Quasi-Newton search (BFGS) with central differences, then Newton steps on the curvature.
//! Returns how it ended; a search that did not converge says so.
//! Source: Nocedal & Wright 2006, chapters 6 and 8.

use super::matrix::{Matrix, add, dot, invert, largest, learn, times, unit};
use super::objective::Objective;
use super::{FitRecord, StopReason};
use crate::MeasureError;

/// Distance of central differences for slopes, working units.
const SLOPE_STEP: f64 = 1e-4;
/// Distance for the curvature, working units.
const CURVATURE_STEP: f64 = 1e-2;
/// A slope below this is as good as 0: the log posterior is known to some 1e-8.
const FLAT: f64 = 2e-4;
/// Iterations allowed.
const MOST: usize = 200;
/// Longest step of one iteration, working units.
const LONGEST: f64 = 2.0;
/// Farthest from the start: a factor of a million.
const FARTHEST: f64 = 14.0;
/// Newton steps at the end.
const POLISH: usize = 3;

/// Where the search ended.
pub(super) struct Found {
    pub(super) place: Vec<f64>,
    pub(super) value: f64,
    pub(super) errors: Vec<Option<f64>>,
    /// Inverse curvature; none where it has no maximum.
    pub(super) covariance: Option<Matrix>,
    pub(super) record: FitRecord,
}

/// Maximises from the prior's own values.
pub(super) fn maximise(objective: &mut Objective<'_>) -> Result<Found, MeasureError> {
    let size = objective.size();
    let mut place = vec![0.0; size];
    let mut value = objective.value(&place)?;
    if size == 0 {
        return Ok(found(
            objective,
            place,
            value,
            Vec::new(),
            0,
            [0.0; 2],
            StopReason::NothingToFit,
        ));
    }
    let mut slope = slopes(objective, &place)?;
    let mut inverse = unit(size);
    let (mut iterations, mut step_size) = (0, 0.0);
    let mut stopped = StopReason::Iterations;
    let mut fresh = true;
    while iterations < MOST {
        if largest(&slope) < FLAT {
            stopped = StopReason::Gradient;
            break;
        }
        iterations += 1;
        let mut direction = times(&inverse, &slope);
        if dot(&direction, &slope) <= 0.0 {
            (inverse, direction, fresh) = (unit(size), slope.clone(), true);
        }
        let Some((step, gained)) = line(objective, &place, value, &direction, &slope) else {
            if fresh {
                stopped = StopReason::NoGain;
                break;
            }
            (inverse, fresh) = (unit(size), true);
            continue;
        };
        add(&mut place, &step);
        (value, step_size) = (gained, largest(&step));
        if largest(&place) > FARTHEST {
            stopped = StopReason::RanAway;
            break;
        }
        let before = std::mem::replace(&mut slope, slopes(objective, &place)?);
        learn(&mut inverse, &step, &before, &slope);
        fresh = false;
    }
    let (curvature, errors) = if stopped == StopReason::RanAway {
        (None, vec![None; size])
    } else {
        polish(
            objective,
            &mut place,
            &mut value,
            &mut slope,
            &mut step_size,
        )?
    };
    // A search that could not gain is at a maximum all the same where the curvature says so.
    if stopped == StopReason::NoGain && curvature.is_some() && largest(&slope) < FLAT {
        stopped = StopReason::Gradient;
    }
    let ends = [largest(&slope), step_size];
    let mut found = found(objective, place, value, errors, iterations, ends, stopped);
    found.record.converged &= curvature.is_some();
    found.covariance = curvature;
    Ok(found)
}

fn found(
    objective: &Objective<'_>,
    place: Vec<f64>,
    value: f64,
    errors: Vec<Option<f64>>,
    iterations: usize,
    ends: [f64; 2],
    stopped: StopReason,
) -> Found {
    Found {
        place,
        value,
        errors,
        covariance: None,
        record: FitRecord {
            converged: matches!(stopped, StopReason::Gradient | StopReason::NothingToFit),
            iterations,
            evaluations: objective.evaluations,
            gradient: ends[0],
            step: ends[1],
            stopped,
        },
    }
}

/// Newton steps while they gain; returns the inverse curvature and the errors.
fn polish(
    objective: &mut Objective<'_>,
    place: &mut Vec<f64>,
    value: &mut f64,
    slope: &mut Vec<f64>,
    step_size: &mut f64,
) -> Result<(Option<Matrix>, Vec<Option<f64>>), MeasureError> {
    let none = vec![None; place.len()];
    let Some(inverse) = invert(curvature(objective, place, *value)?) else {
        return Ok((None, none));
    };
    for _ in 0..POLISH {
        let step = times(&inverse, slope);
        let mut next = place.clone();
        add(&mut next, &step);
        let Ok(gained) = objective.value(&next) else {
            break;
        };
        let after = slopes(objective, &next)?;
        if gained < *value - 1e-9 * value.abs() || largest(&after) >= largest(slope) {
            break;
        }
        (*place, *value, *slope, *step_size) = (next, gained, after, largest(&step));
    }
    let errors = (0..place.len()).map(|k| Some(inverse[k][k].sqrt()).filter(|e| e.is_finite()));
    let errors = errors.collect();
    Ok((Some(inverse), errors))
}

/// Halves the step until it gains enough; a place without a likelihood counts as no gain.
fn line(
    objective: &mut Objective<'_>,
    place: &[f64],
    value: f64,
    direction: &[f64],
    slope: &[f64],
) -> Option<(Vec<f64>, f64)> {
    let mut scale = (LONGEST / largest(direction)).min(1.0);
    for _ in 0..30 {
        let step: Vec<f64> = direction.iter().map(|d| d * scale).collect();
        let mut next = place.to_vec();
        add(&mut next, &step);
        if let Ok(gained) = objective.value(&next)
            && gained > value + 1e-4 * dot(&step, slope)
        {
            return Some((step, gained));
        }
        scale *= 0.5;
    }
    None
}

fn slopes(objective: &mut Objective<'_>, place: &[f64]) -> Result<Vec<f64>, MeasureError> {
    let all: Vec<usize> = (0..place.len()).collect();
    slopes_of(objective, place, &all)
}

/// Slopes along some of the parameters.
pub(super) fn slopes_of(
    objective: &mut Objective<'_>,
    place: &[f64],
    which: &[usize],
) -> Result<Vec<f64>, MeasureError> {
    let mut at = place.to_vec();
    which
        .iter()
        .map(|&k| {
            at[k] = place[k] + SLOPE_STEP;
            let high = objective.value(&at)?;
            at[k] = place[k] - SLOPE_STEP;
            let low = objective.value(&at)?;
            at[k] = place[k];
            Ok((high - low) / (2.0 * SLOPE_STEP))
        })
        .collect()
}

fn curvature(
    objective: &mut Objective<'_>,
    place: &[f64],
    value: f64,
) -> Result<Matrix, MeasureError> {
    let all: Vec<usize> = (0..place.len()).collect();
    curvature_of(objective, place, value, &all)
}

/// Minus the second derivatives along some of the parameters.
pub(super) fn curvature_of(
    objective: &mut Objective<'_>,
    place: &[f64],
    value: f64,
    which: &[usize],
) -> Result<Matrix, MeasureError> {
    let size = which.len();
    let mut matrix = vec![vec![0.0; size]; size];
    let mut moved = |changes: &[(usize, f64)]| {
        let mut at = place.to_vec();
        changes
            .iter()
            .for_each(|&(k, by)| at[which[k]] += by * CURVATURE_STEP);
        objective.value(&at)
    };
    let square = CURVATURE_STEP * CURVATURE_STEP;
    for (a, b) in (0..size).flat_map(|a| (0..=a).map(move |b| (a, b))) {
        let bend = if a == b {
            (moved(&[(a, 1.0)])? + moved(&[(a, -1.0)])? - 2.0 * value) / square
        } else {
            let same = moved(&[(a, 1.0), (b, 1.0)])? + moved(&[(a, -1.0), (b, -1.0)])?;
            let other = moved(&[(a, 1.0), (b, -1.0)])? + moved(&[(a, -1.0), (b, 1.0)])?;
            (same - other) / (4.0 * square)
        };
        (matrix[a][b], matrix[b][a]) = (-bend, -bend);
    }
    Ok(matrix)
}
