//! The z of everybody in a sample under a fit, for the checks of fit.
//! A bin is spread evenly over its chance, so that its width does not look like a misfit.
//! Only for checks: a z for a person comes from `Lms::standing`.

use super::boxcox;
use super::estimate::LmsFit;
use super::sample::Sample;
use crate::{MeasureError, check, dist};

/// Most values a bin is spread over.
const PIECES: f64 = 24.0;
/// Chances are kept this far from 0 and 1.
const EDGE: f64 = 1e-16;

/// A z that stands for `weight` people of an age.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Residual {
    /// Age.
    pub age: f64,
    /// z under the fit.
    pub z: f64,
    /// How many people it stands for.
    pub weight: f64,
}

/// All z of a sample, by rising age, and the degrees of freedom the fit used.
#[derive(Debug, Clone, PartialEq)]
pub struct Residuals {
    pub(crate) items: Vec<Residual>,
    pub(crate) freedom: [f64; 3],
}

/// Returns the z of a sample, which may be another one than the fitted, within its ages.
pub fn residuals(sample: &Sample, fit: &LmsFit) -> Result<Residuals, MeasureError> {
    let mut items = Vec::with_capacity(sample.points.len());
    for group in &sample.groups {
        let (l, m, s) = fit.at(group.age)?.parts();
        let ln_m = m.ln();
        let mut push = |z: f64, weight: f64| -> Result<(), MeasureError> {
            items.push(Residual {
                age: group.age,
                z: check::result("the z of a row", z)?,
                weight,
            });
            Ok(())
        };
        for &(ln_y, weight) in &sample.points[group.points.clone()] {
            push(boxcox::z(l, ln_y - ln_m, s), weight)?;
        }
        for &(low, high, count) in &sample.spans[group.spans.clone()] {
            let end = |ln: f64| {
                if ln.is_finite() {
                    boxcox::z(l, ln - ln_m, s)
                } else {
                    ln
                }
            };
            let pieces = count.ceil().clamp(1.0, PIECES);
            for piece in 0..pieces as u32 {
                let share = (f64::from(piece) + 0.5) / pieces;
                push(between(end(low), end(high), share)?, count / pieces)?;
            }
        }
    }
    Ok(Residuals {
        items,
        freedom: fit.effective_df(),
    })
}

impl Residuals {
    /// Returns the z values, by rising age.
    pub fn items(&self) -> &[Residual] {
        &self.items
    }
}

/// The z at a share of the chance between two z.
fn between(low: f64, high: f64, share: f64) -> Result<f64, MeasureError> {
    if low > 0.0 {
        return Ok(-between(-high, -low, 1.0 - share)?);
    }
    let (a, b) = (dist::lower_tail(low, None), dist::lower_tail(high, None));
    dist::normal_quantile((a + share * (b - a)).clamp(EDGE, 1.0 - EDGE))
}
