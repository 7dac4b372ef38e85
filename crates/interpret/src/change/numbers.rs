//! The numbers of one comparison: difference, chances, interval, detectable change.
//! Logs where the error is a percentage and the test's error grows with the value, else raw.
//! Formulas: `plimsoll_measure::change`.

use plimsoll_measure::change::{Chance, Comparison, log_change, whole_steps};
use serde::Serialize;

use crate::data::{Scale, TestScale};
use crate::reliability::ErrorChoice;
use crate::{InterpretError, Size};

/// Level of the interval. Interpretation notes: show the interval too.
pub(crate) const INTERVAL_LEVEL: f64 = 0.90;
/// Level of the detectable change, as the default table prints it.
pub(crate) const DETECTABLE_LEVEL: f64 = 0.95;

/// Three chances that sum to 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Chances {
    /// That the true value rose by more than the smallest worthwhile change.
    pub up: f64,
    /// That it changed by less than that, either way.
    pub trivial: f64,
    /// That it fell by more than that.
    pub down: f64,
}

/// The smallest observed change that noise alone would rarely make.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Detectable {
    /// Confidence level, a fraction.
    pub level: f64,
    /// Upward, in the unit of the test, in whole steps where the score has steps.
    pub up: f64,
    /// Downward, above 0, in the unit of the test, in whole steps where the score has steps.
    pub down: f64,
    /// Upward before rounding to steps, in percent of the earlier value.
    pub up_percent: f64,
    /// Downward before rounding to steps, in percent of the earlier value.
    pub down_percent: f64,
    /// Upward in whole steps, where the score has steps.
    pub up_steps: Option<f64>,
    /// Downward in whole steps, where the score has steps.
    pub down_steps: Option<f64>,
}

/// The numbers of one comparison, in the unit of the test unless said otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Numbers {
    /// Later minus earlier value.
    pub difference: f64,
    /// The same in percent of the earlier value.
    pub percent: f64,
    /// The chances.
    pub chances: Chances,
    /// Lower and upper end of the 90 % interval of the true change.
    pub interval_90: (f64, f64),
    /// The detectable change.
    pub detectable: Detectable,
    /// The typical error used, at the earlier value.
    pub typical_error: f64,
    /// The smallest worthwhile change used, at the earlier value.
    pub worthwhile: f64,
}

/// Returns the typical error of a choice in the unit of the test, at a value.
pub(crate) fn error_in_unit(choice: &ErrorChoice, value: f64) -> f64 {
    match choice.size {
        Size::InUnit(error) => error,
        Size::Percent(cv) => cv / 100.0 * value,
    }
}

fn in_unit(size: Size, value: f64) -> f64 {
    match size {
        Size::InUnit(amount) => amount,
        Size::Percent(percent) => percent / 100.0 * value,
    }
}

/// Returns the numbers of a comparison of two values above 0.
pub(crate) fn numbers(
    from: f64,
    to: f64,
    error: &ErrorChoice,
    worthwhile: Size,
    scale: Option<&TestScale>,
) -> Result<(Numbers, Chance), InterpretError> {
    let step = scale.and_then(|s| s.step);
    let percent = match worthwhile {
        Size::Percent(percent) => percent,
        Size::InUnit(amount) => 100.0 * amount / from,
    };
    let on_logs = scale.is_none_or(|s| s.scale == Scale::Log);
    let (chance, interval, up_percent, down_percent) = match error.size {
        Size::Percent(cv) if on_logs => {
            let change = log_change(from, to, cv, error.df, (1, 1))?;
            let interval = change.interval_percent(INTERVAL_LEVEL)?;
            let (up, down) = change.detectable_percent(DETECTABLE_LEVEL)?;
            let ends = (interval.lower / 100.0 * from, interval.upper / 100.0 * from);
            (change.chance(percent)?, ends, up, down)
        }
        _ => {
            // A percentage for a test judged in its unit is taken at the middle of both values.
            let te = error_in_unit(error, f64::midpoint(from, to));
            let pair = Comparison::new(te, error.df, 1, 1)?;
            let interval = pair.interval(to - from, INTERVAL_LEVEL)?;
            let size = 100.0 * pair.detectable(DETECTABLE_LEVEL)? / from;
            let chance = pair.chance(to - from, in_unit(worthwhile, from))?;
            (chance, (interval.lower, interval.upper), size, size)
        }
    };
    let (up, down) = (up_percent / 100.0 * from, down_percent / 100.0 * from);
    let steps = |change: f64| step.map(|step| whole_steps(change, step)).transpose();
    let (up_steps, down_steps) = (steps(up)?, steps(down)?);
    let numbers = Numbers {
        difference: to - from,
        percent: 100.0 * (to - from) / from,
        chances: Chances {
            up: chance.up,
            trivial: chance.trivial,
            down: chance.down,
        },
        interval_90: interval,
        detectable: Detectable {
            level: DETECTABLE_LEVEL,
            up: up_steps.map_or(up, |s| s.size),
            down: down_steps.map_or(down, |s| s.size),
            up_percent,
            down_percent,
            up_steps: up_steps.map(|s| s.steps),
            down_steps: down_steps.map(|s| s.steps),
        },
        typical_error: error_in_unit(error, from),
        worthwhile: in_unit(worthwhile, from),
    };
    Ok((numbers, chance))
}
