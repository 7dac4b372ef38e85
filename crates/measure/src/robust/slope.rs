//! Theil-Sen and Siegel slopes.
//! At most [`MOST_POINTS`] points, since every pair is looked at.
//! Sources: Theil 1950, Sen 1968 (interval, equation 2.6), Siegel 1982; from memory.

use crate::{Interval, MeasureError, check, dist};

/// Most points whose pairs are all looked at.
const MOST_POINTS: usize = 2_000;

/// A line y = intercept + slope x that a minority of wild points cannot move.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RobustLine {
    /// Slope, unit of y over unit of x.
    pub slope: f64,
    /// Value at x = 0 as the median of y - slope x, unit of y.
    pub intercept: f64,
}

/// The interval of a Theil-Sen slope.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SlopeInterval {
    /// The interval, by ranks of the pair slopes.
    pub interval: Interval,
    /// Whether there are enough pairs for the level; if not, it is the whole range of the pair
    /// slopes and holds the slope less often than the level says.
    pub reaches_level: bool,
}

/// A Theil-Sen line with its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RobustSlope {
    /// The median of all pair slopes and the median of y - slope x.
    pub line: RobustLine,
    /// Median of y less slope times median of x: the other intercept in use.
    pub separate_intercept: f64,
    /// Interval of the slope.
    pub slope_interval: SlopeInterval,
}

/// Returns the Theil-Sen line of y on x with the interval of its slope at `level`.
///
/// # Errors
///
/// [`MeasureError`] for fewer than two points, values that are not finite, or x all the same.
pub fn theil_sen(x: &[f64], y: &[f64], level: f64) -> Result<RobustSlope, MeasureError> {
    let level = check::level(level)?;
    points(x, y)?;
    let mut slopes = Vec::with_capacity(x.len() * (x.len() - 1) / 2);
    for i in 0..x.len() {
        for j in i + 1..x.len() {
            slopes.extend(pair_slope(x, y, i, j)?);
        }
    }
    slopes.sort_by(f64::total_cmp);
    let slope = check::median(slopes.clone()).ok_or(SAME_X)?;
    let middle = |values: &[f64]| check::median(values.to_vec()).ok_or(SAME_X);
    let separate = middle(y)? - slope * middle(x)?;
    Ok(RobustSlope {
        line: line(x, y, slope)?,
        separate_intercept: check::result("the intercept", separate)?,
        slope_interval: interval(x, y, &slopes, level)?,
    })
}

/// Returns Siegel's line of y on x: the median over points of the median slope to the others.
///
/// # Errors
///
/// As [`theil_sen`].
pub fn siegel(x: &[f64], y: &[f64]) -> Result<RobustLine, MeasureError> {
    points(x, y)?;
    let mut medians = Vec::with_capacity(x.len());
    for i in 0..x.len() {
        let mut slopes = Vec::with_capacity(x.len());
        for j in (0..x.len()).filter(|&j| j != i) {
            slopes.extend(pair_slope(x, y, i, j)?);
        }
        medians.extend(check::median(slopes));
    }
    let slope = check::median(medians).ok_or(SAME_X)?;
    line(x, y, slope)
}

const SAME_X: MeasureError = MeasureError::NoSpread {
    what: "the x values of the line",
    hint: "add a point at another x",
};

fn points(x: &[f64], y: &[f64]) -> Result<(), MeasureError> {
    check::differences("points of a line", x, y, 2)?;
    if x.len() > MOST_POINTS {
        return Err(MeasureError::TooMany {
            what: "points of a line",
            found: x.len(),
            allowed: MOST_POINTS,
        });
    }
    Ok(())
}

fn pair_slope(x: &[f64], y: &[f64], i: usize, j: usize) -> Result<Option<f64>, MeasureError> {
    let across = check::result("the difference of two x", x[j] - x[i])?;
    if across == 0.0 {
        return Ok(None);
    }
    check::result("a slope between two points", (y[j] - y[i]) / across).map(Some)
}

fn line(x: &[f64], y: &[f64], slope: f64) -> Result<RobustLine, MeasureError> {
    let rests: Vec<f64> = x.iter().zip(y).map(|(a, b)| b - slope * a).collect();
    let intercept = check::median(rests).ok_or(SAME_X)?;
    Ok(RobustLine {
        slope,
        intercept: check::result("the intercept", intercept)?,
    })
}

/// Ranks of the sorted pair slopes, by the normal approximation with ties counted.
fn interval(
    x: &[f64],
    y: &[f64],
    sorted: &[f64],
    level: f64,
) -> Result<SlopeInterval, MeasureError> {
    let z = dist::two_sided(level, None)?;
    let n = x.len() as f64;
    let all = n * (n - 1.0) * (2.0 * n + 5.0);
    let spread = ((all - tied(x) - tied(y)) / 18.0).max(0.0).sqrt();
    let (count, last) = (sorted.len() as f64, sorted.len() - 1);
    let low = ((count - z * spread) / 2.0).round_ties_even() - 1.0;
    let high = ((count + z * spread) / 2.0).round_ties_even();
    let reaches_level = low >= 0.0 && high <= last as f64;
    let lower = sorted[(low.max(0.0) as usize).min(last)];
    let upper = sorted[(high.max(0.0) as usize).min(last)];
    let interval = Interval {
        lower,
        upper,
        level,
    };
    Ok(SlopeInterval {
        interval,
        reaches_level,
    })
}

/// Returns the sum of k (k - 1) (2 k + 5) over groups of k equal values.
pub(super) fn tied(values: &[f64]) -> f64 {
    groups(values)
        .into_iter()
        .map(|k| k * (k - 1.0) * (2.0 * k + 5.0))
        .sum()
}

/// Returns the sizes of the groups of equal values.
pub(super) fn groups(values: &[f64]) -> Vec<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted
        .chunk_by(|a, b| a == b)
        .map(|group| group.len() as f64)
        .collect()
}
