//! A straight line through points by least squares.
//! One predictor only; no weights, no outlier rule.
//! Formula: textbook normal equations about the means.

use crate::{MeasureError, check};

/// A fitted line y = intercept + slope x.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Slope, unit of y over unit of x.
    pub slope: f64,
    /// Value at x = 0, unit of y.
    pub intercept: f64,
    /// Standard error of the slope; none with two points.
    pub slope_se: Option<f64>,
    /// Standard error of the intercept; none with two points.
    pub intercept_se: Option<f64>,
    /// Degrees of freedom, points minus 2.
    pub df: usize,
}

/// Returns the least-squares line of y on x, from two or more points that differ in x.
pub fn line(x: &[f64], y: &[f64]) -> Result<Line, MeasureError> {
    check::differences("points of a line", x, y, 2)?;
    let (mean_x, mean_y) = (check::mean(x), check::mean(y));
    let sxx: f64 = x.iter().map(|v| (v - mean_x).powi(2)).sum();
    let sxy: f64 = x
        .iter()
        .zip(y)
        .map(|(a, b)| (a - mean_x) * (b - mean_y))
        .sum();
    if sxx <= 0.0 {
        return Err(MeasureError::NoSpread {
            what: "the x values of the line",
            hint: "add a point at another x",
        });
    }
    let slope = check::result("the slope", sxy / sxx)?;
    let intercept = check::result("the intercept", mean_y - slope * mean_x)?;
    let df = x.len() - 2;
    let (mut slope_se, mut intercept_se) = (None, None);
    if df > 0 {
        let rss: f64 = x
            .iter()
            .zip(y)
            .map(|(a, b)| (b - intercept - slope * a).powi(2))
            .sum();
        let variance = rss / df as f64;
        let first = (variance / sxx).sqrt();
        let second = (variance * (1.0 / x.len() as f64 + mean_x * mean_x / sxx)).sqrt();
        slope_se = Some(check::result("the error of the slope", first)?);
        intercept_se = Some(check::result("the error of the intercept", second)?);
    }
    Ok(Line {
        slope,
        intercept,
        slope_se,
        intercept_se,
        df,
    })
}
