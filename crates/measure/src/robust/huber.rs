//! A line by Huber's weights: least squares near the line, less weight far from it.
//! The scale is re-estimated at each step; wild x values are not guarded against.
//! Sources: Huber 1964, 1981 (errors, equation 6.5); from memory.

use crate::{MeasureError, check, fit};

/// From this many scales on a point weighs less: 95 % efficient with normal errors.
const TURN: f64 = 1.345;
/// Makes the median absolute deviation of a normal its SD.
pub(super) const NORMAL_MAD: f64 = 0.674_489_750_196_081_7;
const MOST_STEPS: u32 = 500;
/// Largest relative step at the end.
const SETTLED: f64 = 1e-12;

/// A line by Huber's weights.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Huber {
    /// Slope, unit of y over unit of x.
    pub slope: f64,
    /// Value at x = 0, unit of y.
    pub intercept: f64,
    /// Standard error of the slope.
    pub slope_se: f64,
    /// Standard error of the intercept.
    pub intercept_se: f64,
    /// Scale of the errors: median absolute error over 0.6745, unit of y.
    pub scale: f64,
    /// Steps until the line no longer moved.
    pub iterations: u32,
}

/// Returns Huber's line of y on x from three or more points.
///
/// # Errors
///
/// [`MeasureError`] for input as in [`fit::line`], when most points lie on one line exactly (no
/// scale), or when the line does not settle.
pub fn huber(x: &[f64], y: &[f64]) -> Result<Huber, MeasureError> {
    check::differences("points of a line", x, y, 3)?;
    let start = fit::line(x, y)?;
    let (mut slope, mut intercept) = (start.slope, start.intercept);
    for iterations in 1..=MOST_STEPS {
        let rests = rests(x, y, slope, intercept);
        let scale = scale(&rests)?;
        let weights: Vec<f64> = rests
            .iter()
            .map(|r| (TURN * scale / r.abs().max(f64::MIN_POSITIVE)).min(1.0))
            .collect();
        let (next_slope, next_intercept) = weighted(x, y, &weights)?;
        let moved = (next_slope - slope).abs() / next_slope.abs().max(1e-9)
            + (next_intercept - intercept).abs() / next_intercept.abs().max(1e-9);
        (slope, intercept) = (next_slope, next_intercept);
        if moved < SETTLED {
            return errors(x, y, slope, intercept, iterations);
        }
    }
    Err(MeasureError::NotConverged {
        what: "the Huber line",
        iterations: MOST_STEPS,
    })
}

fn rests(x: &[f64], y: &[f64], slope: f64, intercept: f64) -> Vec<f64> {
    x.iter()
        .zip(y)
        .map(|(a, b)| b - intercept - slope * a)
        .collect()
}

fn scale(rests: &[f64]) -> Result<f64, MeasureError> {
    let sizes = rests.iter().map(|r| r.abs()).collect();
    let middle = check::median(sizes).unwrap_or(0.0);
    let largest = rests.iter().fold(0.0_f64, |m, r| m.max(r.abs()));
    if middle <= largest * 1e-12 {
        return Err(MeasureError::NoSpread {
            what: "the errors about the line",
            hint: "most points lie on one line: take the least-squares or the Theil-Sen line",
        });
    }
    check::result("the scale of the errors", middle / NORMAL_MAD)
}

fn weighted(x: &[f64], y: &[f64], weights: &[f64]) -> Result<(f64, f64), MeasureError> {
    let total: f64 = weights.iter().sum();
    let mean = |v: &[f64]| v.iter().zip(weights).map(|(a, w)| a * w).sum::<f64>() / total;
    let (mx, my) = (mean(x), mean(y));
    let (mut sxx, mut sxy) = (0.0, 0.0);
    for ((a, b), w) in x.iter().zip(y).zip(weights) {
        sxx += w * (a - mx).powi(2);
        sxy += w * (a - mx) * (b - my);
    }
    let slope = check::result("the slope", sxy / sxx)?;
    Ok((slope, check::result("the intercept", my - slope * mx)?))
}

fn errors(
    x: &[f64],
    y: &[f64],
    slope: f64,
    intercept: f64,
    iterations: u32,
) -> Result<Huber, MeasureError> {
    let n = x.len() as f64;
    let rests = rests(x, y, slope, intercept);
    let scale = scale(&rests)?;
    let inside = rests.iter().filter(|r| r.abs() <= TURN * scale).count() as f64 / n;
    let pulls: f64 = rests
        .iter()
        .map(|r| (r / scale).clamp(-TURN, TURN).powi(2))
        .sum();
    // The share inside has the variance p (1 - p); two terms were fitted.
    let correction = 1.0 + 2.0 / n * (inside * (1.0 - inside)) / inside.powi(2);
    let variance = correction.powi(2) * (pulls * scale.powi(2) / (n - 2.0)) / inside.powi(2);
    let mean = check::mean(x);
    let sxx: f64 = x.iter().map(|v| (v - mean).powi(2)).sum();
    let slope_se = (variance / sxx).sqrt();
    let intercept_se = (variance * (1.0 / n + mean * mean / sxx)).sqrt();
    Ok(Huber {
        slope,
        intercept,
        slope_se: check::result("the error of the slope", slope_se)?,
        intercept_se: check::result("the error of the intercept", intercept_se)?,
        scale,
        iterations,
    })
}
