//! Numbers of a mixed model in its unit, or in percent when logarithms were taken; digits follow the doubt.

use plimsoll_measure::Interval;
use plimsoll_measure::mixed::ProfileInterval;
use plimsoll_report::format::{number, signed, with_unit};

use super::answer::{Effect, MixedAnswer};
use super::coding::INTERCEPT;

/// Writes numbers of one model: in its unit, or in percent when logarithms were taken.
pub(super) struct Pen<'a> {
    log: bool,
    unit: &'a str,
}

/// Two digits of a size: how many decimals that takes.
fn places(size: f64) -> usize {
    if size.is_finite() && size > 0.0 {
        (1.0 - size.log10().floor()).clamp(0.0, 6.0) as usize
    } else {
        1
    }
}

/// 100 (e^x - 1).
pub(super) fn percent(value: f64) -> f64 {
    100.0 * value.exp_m1()
}

impl<'a> Pen<'a> {
    pub(super) fn of(answer: &'a MixedAnswer) -> Self {
        Self {
            log: answer.ask.log,
            unit: &answer.unit,
        }
    }

    /// A difference or an SD, shown to two digits of `size`.
    pub(super) fn unsigned(&self, value: f64, size: f64) -> String {
        if self.log {
            with_unit(number(percent(value), places(percent(size)).min(2)), "%")
        } else {
            with_unit(number(value, places(size)), self.unit)
        }
    }

    pub(super) fn signed(&self, value: f64, size: f64) -> String {
        if self.log {
            with_unit(signed(percent(value), places(percent(size)).min(2)), "%")
        } else {
            with_unit(signed(value, places(size)), self.unit)
        }
    }

    /// A height, on the scale of the outcome itself.
    pub(super) fn height(&self, value: f64, size: f64) -> String {
        if self.log {
            let own = value.exp();
            with_unit(number(own, places(own * size.exp_m1())), self.unit)
        } else {
            with_unit(number(value, places(size)), self.unit)
        }
    }

    pub(super) fn effect_range(&self, effect: &Effect, interval: &Interval) -> String {
        let show = |v: f64| {
            if is_height(effect) {
                self.height(v, effect.se)
            } else {
                self.signed(v, effect.se)
            }
        };
        self.range(&show(interval.lower), &show(interval.upper))
    }

    pub(super) fn sd_range(&self, sd: f64, found: &ProfileInterval) -> String {
        let size = sd.max(found.interval.upper / 4.0);
        let show = |v: f64| self.unsigned(v, size);
        if found.lower_at_bound {
            return format!("none to {}", show(found.interval.upper));
        }
        self.range(&show(found.interval.lower), &show(found.interval.upper))
    }

    /// Two ends with their unit once.
    fn range(&self, low: &str, high: &str) -> String {
        let unit = if low.ends_with('%') { "%" } else { self.unit };
        let low = low.strip_suffix(unit).map_or(low, str::trim_end);
        format!("{low} to {high}")
    }
}

/// Whether an effect is a height, not a difference.
pub(super) fn is_height(effect: &Effect) -> bool {
    effect.name == INTERCEPT || effect.name == "typical"
}
