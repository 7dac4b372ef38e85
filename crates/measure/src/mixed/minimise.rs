//! Quasi-Newton search (BFGS) for the smallest value of a smooth function.
//! Needs no bounds: a covariance factor may change sign without changing the deviance.
//! Method: Nocedal & Wright, Numerical Optimization, ch. 6 (from memory).

use super::differences::{Function, gradient};

/// Why a search stopped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stop {
    /// No further step promises a gain that could be seen in the log-likelihood.
    Optimum,
    /// No step in any tried direction made the deviance smaller.
    NoDescent,
    /// The allowed number of evaluations was used up.
    Budget,
}

/// How a search ended.
#[derive(Debug, Clone, PartialEq)]
pub struct Convergence {
    /// Whether the deviance is right to about 1e-6.
    pub converged: bool,
    /// Why the search stopped.
    pub stop: Stop,
    /// Steps of the search.
    pub iterations: usize,
    /// Evaluations of the deviance.
    pub evaluations: usize,
    /// Largest slope of the deviance at the end, scaled parameters.
    pub gradient: f64,
    /// Gain in deviance that one more step would bring, as far as the curvature tells.
    pub expected_gain: f64,
    /// Largest change of a parameter in the last step.
    pub last_step: f64,
    /// Smallest curvature of the deviance at the end; about 0 when a direction is free.
    pub smallest_curvature: f64,
}

/// A point of the search with what is known there.
#[derive(Debug, Clone)]
pub(super) struct Minimum {
    pub(super) x: Vec<f64>,
    pub(super) value: f64,
    pub(super) record: Convergence,
}

/// Gain in deviance below which a search ends.
const GAIN: f64 = 1e-10;
/// Most steps of a search.
const ITERATIONS: usize = 500;
/// Largest change of a parameter in a step, relative to its size or 1.
const LONGEST: f64 = 1.0;

/// Returns the gain below which rounding hides everything.
pub(super) fn floor(value: f64) -> f64 {
    GAIN.max(1e-14 * value.abs())
}

/// Returns the steps of the differences at a point.
pub(super) fn slope_steps(x: &[f64]) -> Vec<f64> {
    x.iter().map(|v| 1e-5 * v.abs().max(1.0)).collect()
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

fn minus(a: &[f64], b: &[f64]) -> Vec<f64> {
    a.iter().zip(b).map(|(x, y)| x - y).collect()
}

fn unit(k: usize, size: f64) -> Vec<Vec<f64>> {
    (0..k)
        .map(|i| (0..k).map(|j| if i == j { size } else { 0.0 }).collect())
        .collect()
}

/// First guess of the inverse curvature: a step of length 1 against the slope.
fn downhill(g: &[f64]) -> Vec<Vec<f64>> {
    unit(g.len(), 1.0 / dot(g, g).sqrt().max(1e-8))
}

/// Searches from `start` with at most `budget` evaluations.
pub(super) fn search(f: &mut Function, start: &[f64], budget: usize) -> Minimum {
    let k = start.len();
    let mut used = 0;
    let mut f = |x: &[f64]| {
        used += 1;
        f(x)
    };
    let mut x = start.to_vec();
    let mut value = f(&x);
    let mut g = gradient(&mut f, &x, &slope_steps(&x));
    let mut inverse = downhill(&g);
    let (mut fresh, mut last_step, mut gain) = (true, 0.0, f64::INFINITY);
    let mut stop = Stop::Budget;
    let mut iterations = 0;
    // Each step costs its differences and a few trials.
    while iterations < ITERATIONS.min(budget / (2 * k + 2)) {
        let mut d: Vec<f64> = inverse.iter().map(|row| -dot(row, &g)).collect();
        let mut slope = dot(&d, &g);
        if slope.is_nan() || slope >= 0.0 {
            inverse = downhill(&g);
            d = inverse.iter().map(|row| -dot(row, &g)).collect();
            slope = dot(&d, &g);
            fresh = true;
        }
        gain = -slope / 2.0;
        if gain <= floor(value) && (!fresh || dot(&g, &g).sqrt() < 1e-7) {
            stop = Stop::Optimum;
            break;
        }
        iterations += 1;
        let Some((next, lower)) = step(&mut f, &x, value, &d, slope) else {
            if fresh {
                stop = if gain < 1e-5 {
                    Stop::Optimum
                } else {
                    Stop::NoDescent
                };
                break;
            }
            inverse = downhill(&g);
            fresh = true;
            continue;
        };
        let g_next = gradient(&mut f, &next, &slope_steps(&next));
        let (s, y) = (minus(&next, &x), minus(&g_next, &g));
        last_step = s.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
        update(&mut inverse, &s, &y, fresh);
        fresh = false;
        (x, value, g) = (next, lower, g_next);
    }
    let record = Convergence {
        converged: stop == Stop::Optimum,
        stop,
        iterations,
        evaluations: used,
        gradient: g.iter().fold(0.0_f64, |m, v| m.max(v.abs())),
        expected_gain: gain,
        last_step,
        smallest_curvature: 0.0,
    };
    Minimum { x, value, record }
}

/// Goes along `d`, shortened until the value falls enough.
pub(super) fn step(
    f: &mut Function,
    x: &[f64],
    value: f64,
    d: &[f64],
    slope: f64,
) -> Option<(Vec<f64>, f64)> {
    let longest = d
        .iter()
        .zip(x)
        .map(|(d, x)| d.abs() / (LONGEST * x.abs().max(1.0)))
        .fold(0.0_f64, f64::max);
    let mut t = if longest > 1.0 { 1.0 / longest } else { 1.0 };
    for _ in 0..40 {
        let next: Vec<f64> = x.iter().zip(d).map(|(x, d)| x + t * d).collect();
        let lower = f(&next);
        if lower.is_finite() && lower <= value + 1e-4 * t * slope && lower < value {
            return Some((next, lower));
        }
        let bend = lower - value - t * slope;
        let guess = if bend.is_finite() && bend > 0.0 {
            -slope * t * t / (2.0 * bend)
        } else {
            t / 4.0
        };
        t = guess.clamp(t / 10.0, t / 2.0);
    }
    None
}

/// The BFGS change of the inverse curvature; left out when the curvature is not positive.
fn update(inverse: &mut Vec<Vec<f64>>, s: &[f64], y: &[f64], fresh: bool) {
    let (k, sy) = (s.len(), dot(s, y));
    if sy <= 1e-12 * (dot(s, s) * dot(y, y)).sqrt() {
        return;
    }
    if fresh {
        *inverse = unit(k, sy / dot(y, y));
    }
    let hy: Vec<f64> = inverse.iter().map(|row| dot(row, y)).collect();
    let yhy = dot(y, &hy);
    for i in 0..k {
        for j in 0..k {
            inverse[i][j] +=
                (1.0 + yhy / sy) * s[i] * s[j] / sy - (hy[i] * s[j] + s[i] * hy[j]) / sy;
        }
    }
}
