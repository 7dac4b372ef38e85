//! Numerical integration by 16-point Gauss-Legendre panels, and a bracketed root.
//! For smooth functions over a finite range; the caller names where they are steep.
//! Formula: textbook; nodes solved at first use by Newton steps on the Legendre polynomial.

use std::sync::OnceLock;

use crate::MeasureError;

const POINTS: usize = 16;

/// Nodes and weights on -1 to 1.
fn rule() -> &'static [(f64, f64); POINTS] {
    static RULE: OnceLock<[(f64, f64); POINTS]> = OnceLock::new();
    RULE.get_or_init(|| {
        let mut rule = [(0.0, 0.0); POINTS];
        for (i, slot) in rule.iter_mut().enumerate() {
            let mut x = (std::f64::consts::PI * (i as f64 + 0.75) / (POINTS as f64 + 0.5)).cos();
            let mut slope = 1.0;
            for _ in 0..20 {
                let (value, derivative) = legendre(x);
                slope = derivative;
                x -= value / derivative;
            }
            *slot = (x, 2.0 / ((1.0 - x * x) * slope * slope));
        }
        rule
    })
}

/// Value and slope of the Legendre polynomial of degree 16.
fn legendre(x: f64) -> (f64, f64) {
    let (mut before, mut value) = (1.0, x);
    for degree in 2..=POINTS {
        let d = degree as f64;
        (before, value) = (
            value,
            ((2.0 * d - 1.0) * x * value - (d - 1.0) * before) / d,
        );
    }
    let n = POINTS as f64;
    (value, n * (x * value - before) / (x * x - 1.0))
}

/// Returns the nodes and weights of `panels` equal panels from `low` to `high`.
pub(crate) fn nodes(low: f64, high: f64, panels: usize) -> impl Iterator<Item = (f64, f64)> {
    let half = (high - low) / panels as f64 / 2.0;
    (0..panels).flat_map(move |panel| {
        let centre = low + half * (2.0 * panel as f64 + 1.0);
        rule()
            .iter()
            .map(move |(x, w)| (centre + half * x, half * w))
    })
}

/// Integrates `f` from `low` to `high` with `panels` panels between any two of the `steps`.
pub(crate) fn integrate(
    low: f64,
    high: f64,
    steps: &[f64],
    panels: usize,
    f: impl Fn(f64) -> f64,
) -> f64 {
    let mut cuts = vec![low, high];
    cuts.extend(steps.iter().filter(|s| **s > low && **s < high));
    cuts.sort_by(f64::total_cmp);
    cuts.windows(2)
        .flat_map(|ends| nodes(ends[0], ends[1], panels))
        .map(|(x, w)| w * f(x))
        .sum()
}

/// Returns where a rising function crosses 0, from a first guess and a first step above 0.
pub(crate) fn rising_root(
    what: &'static str,
    guess: f64,
    step: f64,
    f: impl Fn(f64) -> f64,
) -> Result<f64, MeasureError> {
    rising_root_within(what, guess, step, 0.0, f)
}

/// The same, content where the function is within `near` (0 or more) of 0.
pub(crate) fn rising_root_within(
    what: &'static str,
    guess: f64,
    step: f64,
    near: f64,
    f: impl Fn(f64) -> f64,
) -> Result<f64, MeasureError> {
    let (mut low, mut high) = (guess, guess);
    let (mut at_low, mut at_high) = (f(low), f(high));
    let mut step = step.abs();
    for _ in 0..200 {
        if at_low > 0.0 {
            (high, at_high) = (low, at_low);
            low -= step;
            at_low = f(low);
        } else if at_high < 0.0 {
            (low, at_low) = (high, at_high);
            high += step;
            at_high = f(high);
        } else {
            break;
        }
        step *= 2.0;
    }
    let bracketed = at_low <= 0.0 && at_high >= 0.0 && low.is_finite() && high.is_finite();
    if !bracketed {
        return Err(MeasureError::Overflow { what });
    }
    Ok(close_in((low, at_low), (high, at_high), near, f))
}

/// False position with halving of the end that stays (Illinois), safe by bisection.
fn close_in(
    (mut low, mut at_low): (f64, f64),
    (mut high, mut at_high): (f64, f64),
    near: f64,
    f: impl Fn(f64) -> f64,
) -> f64 {
    let mut side = 0;
    for turn in 0..200 {
        let width = high - low;
        if at_low == 0.0 || width <= 1e-14 * low.abs().max(high.abs()) {
            return low;
        }
        if at_high == 0.0 {
            return high;
        }
        let mut middle = (low * at_high - high * at_low) / (at_high - at_low);
        if turn % 4 == 3 || middle <= low || middle >= high || !middle.is_finite() {
            middle = low + width / 2.0;
        }
        let value = f(middle);
        if value.abs() < near {
            return middle;
        }
        if value < 0.0 {
            (low, at_low) = (middle, value);
            if side == -1 {
                at_high /= 2.0;
            }
            side = -1;
        } else {
            (high, at_high) = (middle, value);
            if side == 1 {
                at_low /= 2.0;
            }
            side = 1;
        }
    }
    low + (high - low) / 2.0
}
