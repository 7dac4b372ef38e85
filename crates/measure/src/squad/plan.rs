//! How many trials or people a wanted precision takes.
//! Answers for the design as planned; drop-outs are the caller's to add.
//! Formulas: chi-square interval of a typical error; SE of a change (`change`).

use crate::error::TypicalError;
use crate::{MeasureError, check};

/// More than this is no plan.
const MOST: f64 = 1e6;

/// Returns the people needed with `trials` trials each (2 or more) so that the interval of the
/// typical error at `level` is at most `width` times the error wide, upper minus lower end.
pub fn people_for_error_width(trials: u64, width: f64, level: f64) -> Result<u64, MeasureError> {
    let steps = at_least_two("trials a person", trials)?;
    Ok(freedom_for_width(width, level)?.div_ceil(steps) + 1)
}

/// Returns the trials each needed with `people` people (2 or more) for the same.
pub fn trials_for_error_width(people: u64, width: f64, level: f64) -> Result<u64, MeasureError> {
    let steps = at_least_two("people", people)?;
    Ok(freedom_for_width(width, level)?.div_ceil(steps) + 1)
}

/// Returns the trials to average on each of two occasions so that the standard error of one
/// person's change is at most `wanted` (above 0): TE root(2 / n).
pub fn trials_for_change_se(typical_error: f64, wanted: f64) -> Result<u64, MeasureError> {
    let error = check::positive("typical error", typical_error)?;
    let wanted = check::positive("wanted standard error", wanted)?;
    whole(
        "the number of trials",
        2.0 * (error / wanted).powi(2),
        wanted,
    )
}

/// Returns the people needed so that the standard error of the squad's mean change is at most
/// `wanted` (above 0), with `trials` trials averaged on each occasion and a true spread of
/// changes between people (SD, 0 or more).
pub fn people_for_mean_change(
    typical_error: f64,
    change_sd: f64,
    trials: u64,
    wanted: f64,
) -> Result<u64, MeasureError> {
    let error = check::positive("typical error", typical_error)?;
    let spread = check::not_negative("SD of true changes", change_sd)?;
    let wanted = check::positive("wanted standard error", wanted)?;
    if trials == 0 {
        return Err(MeasureError::TooFew {
            what: "trials on each occasion",
            found: 0,
            needed: 1,
        });
    }
    let noise = 2.0 * (error / wanted).powi(2) / trials as f64;
    let needed = whole(
        "the number of people",
        noise + (spread / wanted).powi(2),
        wanted,
    )?;
    Ok(needed.max(2))
}

fn at_least_two(what: &'static str, count: u64) -> Result<u64, MeasureError> {
    if count < 2 {
        return Err(MeasureError::TooFew {
            what,
            found: count as usize,
            needed: 2,
        });
    }
    Ok(count - 1)
}

/// Rounds up, with slack for a count that is whole but for rounding.
fn whole(what: &'static str, count: f64, wanted: f64) -> Result<u64, MeasureError> {
    let count = (count * (1.0 - 1e-12)).ceil().max(1.0);
    if count > MOST {
        return Err(MeasureError::Undefined {
            what,
            why: format!("it would take {count:.0}; choose a larger standard error than {wanted}"),
        });
    }
    Ok(count as u64)
}

/// The fewest degrees of freedom with an interval this narrow; wider with fewer, so halved.
fn freedom_for_width(width: f64, level: f64) -> Result<u64, MeasureError> {
    let width = check::positive("wanted width", width)?;
    let at = |df: u64| -> Result<f64, MeasureError> {
        let error = TypicalError {
            value: 1.0,
            df: df as f64,
        };
        Ok(2.0 * error.interval(level)?.half_width())
    };
    let (mut short, mut enough) = (0, MOST as u64);
    if at(enough)? > width {
        return Err(MeasureError::Undefined {
            what: "the number of people and trials",
            why: format!("it would take more than a million; choose a larger width than {width}"),
        });
    }
    while enough - short > 1 {
        let middle = short + (enough - short) / 2;
        if at(middle)? > width {
            short = middle;
        } else {
            enough = middle;
        }
    }
    Ok(enough)
}
