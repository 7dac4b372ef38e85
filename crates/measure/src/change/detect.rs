//! Whole steps, the smallest worthwhile change, and how many repeats a target needs.
//! Does not choose a confidence level or a target.
//! Sources: Hopkins 2009 (0.2 SD, from memory); golden file true_change.json, entry n_trials.

use crate::{MeasureError, check, dist};

/// Slack against a step count that is whole but for rounding.
const ROUNDING: f64 = 1e-9;

/// A detectable change in whole steps of a score that moves in steps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Steps {
    /// Number of whole steps, 1 or more.
    pub steps: f64,
    /// The same in the unit of the score.
    pub size: f64,
}

/// Rounds a change (0 or more) up to whole steps (above 0); at least one step.
pub fn whole_steps(change: f64, step: f64) -> Result<Steps, MeasureError> {
    let change = check::not_negative("change", change)?;
    let step = check::positive("step", step)?;
    let steps = check::result("the number of steps", change / step)?;
    let steps = (steps - ROUNDING).ceil().max(1.0);
    Ok(Steps {
        steps,
        size: check::result("the change in whole steps", steps * step)?,
    })
}

/// Returns `factor` (usually 0.2) times the true between-person SD, which is the observed SD
/// less the error: root(SD^2 - TE^2). A fault when the error is not smaller than the SD.
pub fn smallest_worthwhile(
    between_sd: f64,
    typical_error: f64,
    factor: f64,
) -> Result<f64, MeasureError> {
    let sd = check::positive("between-person SD", between_sd)?;
    let error = check::not_negative("typical error", typical_error)?;
    let factor = check::positive("factor", factor)?;
    if error >= sd {
        return Err(MeasureError::Undefined {
            what: "the smallest worthwhile change",
            why: format!(
                "the typical error ({error}) is not smaller than the between-person SD ({sd}), \
                 so the spread may be error alone; give the change you care about yourself"
            ),
        });
    }
    check::result(
        "the smallest worthwhile change",
        factor * ((sd - error) * (sd + error)).sqrt(),
    )
}

/// Returns the trials to average on each occasion so that the detectable change at `level` is
/// `target` (above 0) or less.
pub fn repeats_needed(typical_error: f64, target: f64, level: f64) -> Result<u64, MeasureError> {
    let error = check::positive("typical error", typical_error)?;
    let target = check::positive("target", target)?;
    let z = dist::two_sided(level, None)?;
    let n = (2.0 * (z * error / target).powi(2) - ROUNDING)
        .ceil()
        .max(1.0);
    if n > 1e9 {
        return Err(MeasureError::Undefined {
            what: "the number of repeats",
            why: format!("it would take {n:.0}; choose a larger target than {target}"),
        });
    }
    Ok(n as u64)
}
