//! How a second test shows the level of a first one, from people who ran both: a line through points with errors both ways.
//! Must not claim a line where the two tests do not move together. Deming's estimator; docs/methods/level.md.

use super::model::{Normal, Test};
use crate::{MeasureError, check};

/// Fewer pairs give no line. Chosen, no source.
const FEWEST: usize = 8;

/// A line from the first test's outcome to the second's, one point a person.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conversion {
    /// Outcome of the second test at the pivot, with its standard error.
    pub offset: Normal,
    /// Outcome of the second test gained per unit of the first, with its jackknife standard error.
    pub slope: Normal,
    /// Mean outcome of the first test.
    pub pivot: f64,
    /// SD by which people differ beyond both errors, on the scale of the second test, 0 or more.
    pub between_people: f64,
    /// Typical error of the second test that was used.
    pub error: f64,
    /// Pairs used.
    pub pairs: usize,
    /// Correlation of the two outcomes.
    pub correlation: f64,
}

impl Conversion {
    /// Fits the line to pairs (first, second) whose typical errors, each above 0, are known.
    ///
    /// # Errors
    ///
    /// [`MeasureError`] with fewer than eight pairs, without spread, or when the two do not rise together beyond
    /// twice the standard error of the slope.
    pub fn fit(
        pairs: &[(f64, f64)],
        first_error: f64,
        second_error: f64,
    ) -> Result<Self, MeasureError> {
        let first_error = check::positive("typical error of the first test", first_error)?;
        let second_error = check::positive("typical error of the second test", second_error)?;
        if pairs.len() < FEWEST {
            return Err(MeasureError::TooFew {
                what: "people who ran both tests",
                found: pairs.len(),
                needed: FEWEST,
            });
        }
        for (x, y) in pairs {
            check::finite("outcome of the first test", *x)?;
            check::finite("outcome of the second test", *y)?;
        }
        let ratio = (second_error / first_error).powi(2);
        let whole = Sums::of(pairs);
        let slope = whole.slope(ratio).ok_or_else(no_line)?;
        let n = pairs.len() as f64;
        let se = jackknife(pairs, ratio)?;
        if slope - 2.0 * se <= 0.0 {
            return Err(no_line());
        }
        let residual = whole.residual_variance(slope);
        let by_errors = second_error.powi(2) + (slope * first_error).powi(2);
        Ok(Self {
            offset: Normal {
                mean: whole.y,
                sd: (residual / n).sqrt(),
            },
            slope: Normal {
                mean: slope,
                sd: se,
            },
            pivot: whole.x,
            between_people: (residual - by_errors).max(0.0).sqrt(),
            error: second_error,
            pairs: pairs.len(),
            correlation: whole.xy / (whole.xx * whole.yy).sqrt(),
        })
    }

    /// Returns the second test as a model of levels has it; people's own difference counts as error.
    pub fn test(&self) -> Test {
        Test {
            offset: self.offset,
            slope: self.slope,
            pivot: self.pivot,
            error: self.error.hypot(self.between_people),
        }
    }
}

fn no_line() -> MeasureError {
    MeasureError::Undefined {
        what: "the conversion between two tests",
        why: "they do not rise together in these people, so one says nothing of the other; add people who ran both"
            .to_owned(),
    }
}

/// Means and sums of squares about them.
struct Sums {
    n: f64,
    x: f64,
    y: f64,
    xx: f64,
    xy: f64,
    yy: f64,
}

impl Sums {
    fn of(pairs: &[(f64, f64)]) -> Self {
        let n = pairs.len() as f64;
        let x = pairs.iter().map(|p| p.0).sum::<f64>() / n;
        let y = pairs.iter().map(|p| p.1).sum::<f64>() / n;
        let sum = |of: &dyn Fn(f64, f64) -> f64| pairs.iter().map(|p| of(p.0 - x, p.1 - y)).sum();
        Self {
            n,
            x,
            y,
            xx: sum(&|a, _| a * a),
            xy: sum(&|a, b| a * b),
            yy: sum(&|_, b| b * b),
        }
    }

    /// The slope for a ratio of the error variances, second over first; nothing without a rise.
    fn slope(&self, ratio: f64) -> Option<f64> {
        if self.xx <= 0.0 || self.yy <= 0.0 || self.xy <= 0.0 {
            return None;
        }
        let more = self.yy - ratio * self.xx;
        let root = more.hypot(2.0 * ratio.sqrt() * self.xy);
        // Two forms of one root: the sum of two numbers of one sign loses nothing.
        let slope = if more >= 0.0 {
            (more + root) / (2.0 * self.xy)
        } else {
            2.0 * ratio * self.xy / (root - more)
        };
        (slope.is_finite() && slope > 0.0).then_some(slope)
    }

    fn residual_variance(&self, slope: f64) -> f64 {
        let squares = self.yy - 2.0 * slope * self.xy + slope * slope * self.xx;
        squares.max(0.0) / (self.n - 2.0)
    }
}

fn jackknife(pairs: &[(f64, f64)], ratio: f64) -> Result<f64, MeasureError> {
    let n = pairs.len();
    let mut slopes = Vec::with_capacity(n);
    let mut rest = Vec::with_capacity(n);
    for out in 0..n {
        rest.clear();
        rest.extend(
            pairs
                .iter()
                .enumerate()
                .filter(|(i, _)| *i != out)
                .map(|(_, p)| *p),
        );
        slopes.push(Sums::of(&rest).slope(ratio).ok_or_else(no_line)?);
    }
    let n = n as f64;
    let mean = slopes.iter().sum::<f64>() / n;
    let squares: f64 = slopes.iter().map(|s| (s - mean).powi(2)).sum();
    check::result(
        "the standard error of the slope",
        ((n - 1.0) / n * squares).sqrt(),
    )
}
