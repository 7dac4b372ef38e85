//! How likely each true change is, as points of a curve for a picture.
//! Same scale, error and degrees of freedom as the numbers beside it.

use plimsoll_measure::change::{Comparison, log_change};

use super::numbers::error_in_unit;
use crate::data::{Scale, TestScale};
use crate::reliability::ErrorChoice;
use crate::{InterpretError, Size};

/// Points of the curve.
const POINTS: usize = 161;
/// How far the curve goes to either side, standard errors.
const REACH: f64 = 3.6;

/// Returns the curve: (true change, density per unit) in the unit of the test, for two values above 0.
///
/// # Errors
///
/// A value or an error that is not a number above 0.
pub fn true_change_curve(
    scale: Option<&TestScale>,
    from: f64,
    to: f64,
    error: &ErrorChoice,
) -> Result<Vec<(f64, f64)>, InterpretError> {
    let on_logs = scale.is_none_or(|s| s.scale == Scale::Log);
    let (pair, seen, logs) = match error.size {
        Size::Percent(cv) if on_logs => (
            log_change(from, to, cv, error.df, (1, 1))?.comparison,
            (to / from).ln(),
            true,
        ),
        _ => {
            let te = error_in_unit(error, f64::midpoint(from, to));
            (Comparison::new(te, error.df, 1, 1)?, to - from, false)
        }
    };
    let step = 2.0 * REACH * pair.se() / (POINTS as f64 - 1.0);
    let place = |i: f64| seen - REACH * pair.se() + step * i;
    let shown = |x: f64| if logs { from * x.exp_m1() } else { x };
    // Chance that the true change is above x.
    let above = |x: f64| pair.chance(seen - x, 0.0).map(|c| c.any_up);
    (0..POINTS)
        .map(|i| {
            let (a, b) = (place(i as f64 - 0.5), place(i as f64 + 0.5));
            let density = (above(a)? - above(b)?) / (shown(b) - shown(a));
            Ok((shown(place(i as f64)), density.max(0.0)))
        })
        .collect()
}
