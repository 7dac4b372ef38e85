//! First estimates: L = 0, M through the mean logs of each age, one S for all ages.
//! Only a place to start from: no number of it is ever reported.
//! Method: own choice, ridge least squares on the basis of M.

use super::basis::Basis;
use super::information::Objective;
use super::matrix::Matrix;
use super::model::MedianScale;
use super::sample::{Group, Sample, middle};
use crate::MeasureError;

/// Ridge of the least squares, as a share of the mean diagonal.
const RIDGE: f64 = 1e-6;
/// Spread of ln(value) about its age below which the values count as equal.
const NO_SPREAD: f64 = 1e-9;

/// Returns coefficients to start from.
pub(crate) fn start(
    sample: &Sample,
    bases: &[Basis; 3],
    median: MedianScale,
    objective: &Objective<'_>,
) -> Result<Vec<f64>, MeasureError> {
    let mean_logs: Vec<f64> = sample.groups.iter().map(|g| mean_log(sample, g)).collect();
    let of_log = |log: f64| match median {
        MedianScale::Log => log,
        MedianScale::Value => log.exp(),
    };
    let flat = || bases[1].flat(of_log(0.0));
    let heights: Vec<f64> = mean_logs.iter().map(|&log| of_log(log)).collect();
    let mut m = least_squares(sample, &bases[1], &heights).unwrap_or_else(flat);
    let log_at = |m: &[f64], group: &Group| {
        let height = bases[1].row(group.age).height(m);
        match median {
            MedianScale::Log => height,
            MedianScale::Value => height.ln(),
        }
    };
    if !sample.groups.iter().all(|g| log_at(&m, g).is_finite()) {
        m = flat();
    }
    let mut squares = 0.0;
    for group in &sample.groups {
        let centre = log_at(&m, group);
        for (log, weight) in logs(sample, group) {
            squares += weight * (log - centre) * (log - centre);
        }
    }
    let sd = (squares / sample.people()).sqrt();
    if sd.is_nan() || sd < NO_SPREAD {
        return Err(MeasureError::NoSpread {
            what: "the values at each age of a reference sample",
            hint: "check that the values are measured, not worked out from age",
        });
    }
    let all = [bases[0].flat(0.0), m, bases[2].flat(sd.ln())].concat();
    if objective.value(&all).is_finite() {
        return Ok(all);
    }
    Err(MeasureError::Overflow {
        what: "the likelihood of the first estimates",
    })
}

/// ln(value), from the geometric mean of the sample, and weight.
fn logs<'a>(sample: &'a Sample, group: &Group) -> impl Iterator<Item = (f64, f64)> + 'a {
    let points = sample.points[group.points.clone()].iter().copied();
    let spans = sample.spans[group.spans.clone()]
        .iter()
        .map(|&(low, high, count)| (middle(low, high), count));
    points
        .chain(spans)
        .map(|(log, weight)| (log - sample.centre, weight))
}

fn mean_log(sample: &Sample, group: &Group) -> f64 {
    let sum: f64 = logs(sample, group).map(|(log, weight)| log * weight).sum();
    sum / group.weight
}

fn least_squares(sample: &Sample, basis: &Basis, heights: &[f64]) -> Option<Vec<f64>> {
    let size = basis.len();
    let mut matrix = Matrix::zeros(size);
    let mut right = vec![0.0; size];
    for (group, height) in sample.groups.iter().zip(heights) {
        let row = basis.row(group.age);
        for (i, x) in row.entries() {
            right[i] += group.weight * x * height;
            for (j, y) in row.entries() {
                matrix.add(i, j, group.weight * x * y);
            }
        }
    }
    let trace: f64 = (0..size).map(|i| matrix.get(i, i)).sum();
    let ridge = RIDGE * trace / size as f64;
    if let Some((penalty, _)) = basis.penalty() {
        for i in 0..size {
            for j in 0..size {
                matrix.add(i, j, ridge * penalty.get(i, j));
            }
        }
    }
    Some(matrix.factor()?.solve(&right))
}
