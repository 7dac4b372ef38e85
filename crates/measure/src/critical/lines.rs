//! The fits that are straight lines: three by least squares, two robust.
//! Errors of a quotient by the delta method; see docs/methods/training.md.

use crate::critical::{CriticalFit, Method};
use crate::fit::{Line, line};
use crate::{Interval, MeasureError, check, dist, robust};

/// Returns the fit of a method that is a line; never called for the nonlinear one.
pub(super) fn by(
    method: Method,
    distances: &[f64],
    times: &[f64],
    level: f64,
) -> Result<CriticalFit, MeasureError> {
    match method {
        Method::SpeedOnInverseTime => {
            let inverse: Vec<f64> = times.iter().map(|t| 1.0 / t).collect();
            let speeds: Vec<f64> = distances.iter().zip(times).map(|(d, t)| d / t).collect();
            let l = line(&inverse, &speeds)?;
            let (cs, d) = ((l.intercept, l.intercept_se), (l.slope, l.slope_se));
            with_intervals(method, cs, d, l.df, level)
        }
        Method::TimeOnDistance => time_on_distance(distances, times, level),
        Method::TheilSen => {
            let found = robust::theil_sen(times, distances, level)?;
            Ok(CriticalFit {
                speed_interval: Some(found.slope_interval.interval)
                    .filter(|_| found.slope_interval.reaches_level),
                ..bare(method, found.line.slope, found.separate_intercept)
            })
        }
        Method::Siegel => {
            let found = robust::siegel(times, distances)?;
            Ok(bare(method, found.slope, found.intercept))
        }
        Method::DistanceOnTime | Method::TimeOnSpeed => {
            let l = line(times, distances)?;
            let (cs, d) = ((l.slope, l.slope_se), (l.intercept, l.intercept_se));
            with_intervals(Method::DistanceOnTime, cs, d, l.df, level)
        }
    }
}

/// t = -D′ / CS + d / CS, so CS = 1 / slope and D′ = -intercept / slope.
fn time_on_distance(
    distances: &[f64],
    times: &[f64],
    level: f64,
) -> Result<CriticalFit, MeasureError> {
    let l: Line = line(distances, times)?;
    if l.slope <= 0.0 {
        return Err(MeasureError::Undefined {
            what: "critical speed by time on distance",
            why: "longer distances were not run in longer times; check the trials".to_owned(),
        });
    }
    let speed = check::result("critical speed", 1.0 / l.slope)?;
    let distance = check::result("distance above critical speed", -l.intercept * speed)?;
    let speed_se = l.slope_se.map(|se| se * speed * speed);
    let distance_se = match (l.slope_se, l.intercept_se) {
        (Some(b), Some(a)) => {
            let joint = -check::mean(distances) * b * b;
            let variance = a * a + distance * distance * b * b + 2.0 * distance * joint;
            Some(variance.max(0.0).sqrt() * speed)
        }
        _ => None,
    };
    let mut fit = with_intervals(
        Method::TimeOnDistance,
        (speed, speed_se),
        (distance, distance_se),
        l.df,
        level,
    )?;
    // The interval of the slope turned round is exact; its lower end may reach no speed at all.
    if let Some(se) = l.slope_se {
        let reach = dist::two_sided(level, Some(l.df as f64))? * se;
        fit.speed_interval = (l.slope > reach).then(|| Interval {
            lower: 1.0 / (l.slope + reach),
            upper: 1.0 / (l.slope - reach),
            level,
        });
    }
    Ok(fit)
}

pub(super) fn bare(method: Method, speed: f64, distance: f64) -> CriticalFit {
    CriticalFit {
        method,
        speed,
        distance,
        speed_se: None,
        distance_se: None,
        speed_interval: None,
        distance_interval: None,
        convergence: None,
    }
}

/// Puts t intervals around both numbers; two trials have none.
pub(super) fn with_intervals(
    method: Method,
    (speed, speed_se): (f64, Option<f64>),
    (distance, distance_se): (f64, Option<f64>),
    df: usize,
    level: f64,
) -> Result<CriticalFit, MeasureError> {
    let around = |value: f64, se: Option<f64>| -> Result<Option<Interval>, MeasureError> {
        let Some(se) = se.filter(|_| df > 0) else {
            return Ok(None);
        };
        let reach = dist::two_sided(level, Some(df as f64))? * se;
        let ends = (value - reach, value + reach);
        Ok(Some(Interval {
            lower: check::result("the lower end", ends.0)?,
            upper: check::result("the upper end", ends.1)?,
            level,
        }))
    };
    Ok(CriticalFit {
        speed_se,
        distance_se,
        speed_interval: around(speed, speed_se)?,
        distance_interval: around(distance, distance_se)?,
        ..bare(method, speed, distance)
    })
}
