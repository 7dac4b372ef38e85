//! Quantiles in three definitions, deviation from the median, trimmed mean.
//! Must not choose a definition silently: the caller names it.
//! Source: Hyndman & Fan 1996, definitions 6, 7 and 8; from memory.

use super::huber::NORMAL_MAD;
use crate::{MeasureError, check};

/// How a quantile between two values is placed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum QuantileType {
    /// Expected share below, i / (n + 1).
    Six,
    /// Ends are the extremes, (i - 1) / (n - 1): the default of most software.
    Seven,
    /// About median-unbiased whatever the law, (i - 1/3) / (n + 1/3).
    Eight,
}

/// Returns the quantile at `p` (0 to 1) of one or more values; beyond the first and last place it
/// is the extreme value.
///
/// # Errors
///
/// [`MeasureError`] for an empty list, a value that is not finite, or `p` outside 0 to 1.
pub fn quantile(values: &[f64], p: f64, kind: QuantileType) -> Result<f64, MeasureError> {
    check::list("values of a quantile", values, 1)?;
    let p = check::within("share", p, (0.0..=1.0).contains(&p), "0 to 1")?;
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let n = sorted.len() as f64;
    let place = match kind {
        QuantileType::Six => (n + 1.0) * p,
        QuantileType::Seven => (n - 1.0) * p + 1.0,
        QuantileType::Eight => (n + 1.0 / 3.0) * p + 1.0 / 3.0,
    }
    .clamp(1.0, n);
    let below = place.floor() as usize;
    let lower = sorted[below - 1];
    let upper = sorted[below.min(sorted.len() - 1)];
    Ok(lower + (place - place.floor()) * (upper - lower))
}

/// Returns the median absolute deviation from the median, scaled to be the SD of a normal.
///
/// # Errors
///
/// [`MeasureError`] for an empty list or a value that is not finite.
pub fn deviation_from_median(values: &[f64]) -> Result<f64, MeasureError> {
    check::list("values of a deviation", values, 1)?;
    let centre = check::median(values.to_vec()).unwrap_or(0.0);
    let sizes = values.iter().map(|v| (v - centre).abs()).collect();
    let middle = check::median(sizes).unwrap_or(0.0);
    check::result("the deviation from the median", middle / NORMAL_MAD)
}

/// Returns the mean without a share (0 to below 0.5) of the values at each end, rounded down.
///
/// # Errors
///
/// [`MeasureError`] for an empty list, a value that is not finite, or a share out of range.
pub fn trimmed_mean(values: &[f64], share: f64) -> Result<f64, MeasureError> {
    check::list("values of a mean", values, 1)?;
    let holds = (0.0..0.5).contains(&share);
    let share = check::within("share cut off at each end", share, holds, "0 to below 0.5")?;
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let cut = (share * sorted.len() as f64).floor() as usize;
    check::result("the mean", check::mean(&sorted[cut..sorted.len() - cut]))
}
