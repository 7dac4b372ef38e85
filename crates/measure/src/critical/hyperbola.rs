//! The nonlinear fit: least squares of time, t = D′ / (v - CS).
//! For a given CS the best D′ is a quotient, so that one unknown is searched: below the slowest trial.
//! Errors from the curvature at the end, sigma² (JᵀJ)⁻¹ with n - 2 degrees of freedom.

use crate::critical::{CriticalFit, Method, lines};
use crate::{MeasureError, check};

/// Steps of the coarse search; the gap to the slowest trial is halved about every two.
const COARSE: u32 = 200;
const MOST_STEPS: u32 = 300;
/// Largest step at the end, as a share of the speed.
const SETTLED: f64 = 1e-14;

/// How the search for the nonlinear fit ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Convergence {
    /// Whether it settled.
    pub converged: bool,
    /// Steps of the last search.
    pub iterations: u32,
    /// Last step, m/s.
    pub last_step: f64,
}

/// Returns the nonlinear fit of two or more trials.
pub(super) fn time_on_speed(
    distances: &[f64],
    times: &[f64],
    level: f64,
) -> Result<CriticalFit, MeasureError> {
    let speeds: Vec<f64> = distances.iter().zip(times).map(|(d, t)| d / t).collect();
    let slowest = speeds.iter().copied().fold(f64::INFINITY, f64::min);
    let (gap, convergence) = search(&speeds, times, slowest)?;
    let speed = slowest - gap;
    let (distance, rss) = best(&speeds, times, speed);
    if !convergence.converged {
        return Err(MeasureError::NotConverged {
            what: "the nonlinear critical speed",
            iterations: convergence.iterations,
        });
    }
    let df = times.len() - 2;
    let (mut speed_se, mut distance_se) = (None, None);
    if df > 0 {
        // dt/dCS = D′ / (v - CS)², dt/dD′ = 1 / (v - CS).
        let (mut cc, mut cd, mut dd) = (0.0, 0.0, 0.0);
        for v in &speeds {
            let near = 1.0 / (v - speed);
            let by_speed = distance * near * near;
            cc += by_speed * by_speed;
            cd += by_speed * near;
            dd += near * near;
        }
        let det = cc * dd - cd * cd;
        let variance = rss / df as f64;
        speed_se = Some(check::result(
            "the error of the speed",
            (variance * dd / det).sqrt(),
        )?);
        let other = (variance * cc / det).sqrt();
        distance_se = Some(check::result("the error of the distance", other)?);
    }
    let mut fit = lines::with_intervals(
        Method::TimeOnSpeed,
        (check::result("critical speed", speed)?, speed_se),
        (
            check::result("distance above critical speed", distance)?,
            distance_se,
        ),
        df,
        level,
    )?;
    fit.convergence = Some(convergence);
    Ok(fit)
}

/// Returns the best D′ and the squares left at a speed below all trials.
fn best(speeds: &[f64], times: &[f64], speed: f64) -> (f64, f64) {
    let (mut xx, mut xt) = (0.0, 0.0);
    for (v, t) in speeds.iter().zip(times) {
        let x = 1.0 / (v - speed);
        xx += x * x;
        xt += x * t;
    }
    let distance = xt / xx;
    let rss = speeds
        .iter()
        .zip(times)
        .map(|(v, t)| (t - distance / (v - speed)).powi(2))
        .sum();
    (distance, rss)
}

/// Returns the gap between the slowest trial and CS that leaves the fewest squares.
///
/// The gap is searched on a ratio scale from a ten-billionth of the slowest speed to all of it,
/// then closed in on with Gauss-Newton steps, which squares near zero allow and a bracket does not.
fn search(speeds: &[f64], times: &[f64], slowest: f64) -> Result<(f64, Convergence), MeasureError> {
    let at = |k: u32| slowest * 10f64.powf(-10.0 * f64::from(k) / f64::from(COARSE));
    let squares = |gap: f64| best(speeds, times, slowest - gap).1;
    let place = (0..=COARSE)
        .min_by(|a, b| squares(at(*a)).total_cmp(&squares(at(*b))))
        .unwrap_or(0);
    if place == 0 || place == COARSE {
        return Err(MeasureError::Undefined {
            what: "critical speed by time on speed",
            why: "no speed between 0 and that of the slowest trial explains the times: the longer \
                  trials were not slower; repeat a trial"
                .to_owned(),
        });
    }
    let (mut gap, mut step) = (at(place), f64::INFINITY);
    for iterations in 1..=MOST_STEPS {
        let (distance, rss) = best(speeds, times, slowest - gap);
        step = newton(speeds, times, slowest - gap, distance);
        // Shortened until it helps and stays below the slowest trial.
        let mut share = 1.0;
        let floor = rss * (1.0 + 1e-13);
        while share > 1e-6 && (step * share >= gap || squares(gap - step * share) > floor) {
            share /= 2.0;
        }
        if share <= 1e-6 {
            step = 0.0;
        }
        gap -= step * share;
        if step.abs() <= SETTLED * slowest {
            return Ok((gap, ended(true, iterations, step)));
        }
    }
    // Steps that only swap the last digits have settled too.
    Ok((gap, ended(step.abs() <= 1e-10 * slowest, MOST_STEPS, step)))
}

const fn ended(converged: bool, iterations: u32, last_step: f64) -> Convergence {
    Convergence {
        converged,
        iterations,
        last_step,
    }
}

/// Returns the Gauss-Newton step of CS with D′ at its best.
fn newton(speeds: &[f64], times: &[f64], speed: f64, distance: f64) -> f64 {
    let (mut cc, mut cd, mut dd, mut cr, mut dr) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for (v, t) in speeds.iter().zip(times) {
        let x = 1.0 / (v - speed);
        let (c, rest) = (distance * x * x, t - distance * x);
        cc += c * c;
        cd += c * x;
        dd += x * x;
        cr += c * rest;
        dr += x * rest;
    }
    let step = (cr * dd - dr * cd) / (cc * dd - cd * cd);
    if step.is_finite() { step } else { 0.0 }
}
