//! The three standard deviations that papers call repeatability, each under its own name.
//! Does not choose between them.
//! Source: Bland & Altman 1986 (Lancet i:307-310) and 1999, example recomputed and reproduced.

use super::icc::mean_squares;
use crate::{MeasureError, check};

/// Two trials of the same people, seen three ways; all in the unit of the data.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repeatability {
    /// SD of the differences about their mean; leaves learning out.
    pub sd_about_mean: f64,
    /// Root mean square of the differences (divisor n): counts learning as error.
    pub sd_about_zero: f64,
    /// Within-person SD of a one-way analysis of variance.
    pub within_sd_anova: f64,
}

impl Repeatability {
    /// Returns twice the SD about zero, the coefficient of the 1986 paper.
    pub fn coefficient_about_zero(&self) -> f64 {
        2.0 * self.sd_about_zero
    }

    /// Returns twice the SD about the mean.
    pub fn coefficient_about_mean(&self) -> f64 {
        2.0 * self.sd_about_mean
    }

    /// Returns 1.96 x root 2 x the within-person SD, the coefficient of the 1999 paper.
    pub fn coefficient_anova(&self) -> f64 {
        1.96 * std::f64::consts::SQRT_2 * self.within_sd_anova
    }
}

/// Returns the three repeatability SDs of test-retest pairs.
pub fn repeatability(first: &[f64], second: &[f64]) -> Result<Repeatability, MeasureError> {
    let differences = check::differences("test-retest pairs", first, second, 2)?;
    let n = differences.len() as f64;
    let rows: Vec<Vec<f64>> = first
        .iter()
        .zip(second)
        .map(|(&a, &b)| vec![a, b])
        .collect();
    let about_zero = (differences.iter().map(|d| d * d).sum::<f64>() / n).sqrt();
    Ok(Repeatability {
        sd_about_mean: check::result("the SD about the mean", check::sd(&differences))?,
        sd_about_zero: check::result("the SD about zero", about_zero)?,
        within_sd_anova: mean_squares(&rows)?.within.sqrt(),
    })
}
