//! Limits of agreement of two trials with exact intervals.
//! Differences are second minus first and taken as normal.
//! Sources: exact limits, non-central t (scipy 1.17.1); both together, Carkeet 2015 (from memory).

use crate::error::{Agreement, agreement};
use crate::{Interval, MeasureError, check, dist, tails};

/// Limits that hold a share of the differences, in the unit of the data.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Mean and SD of second minus first.
    pub agreement: Agreement,
    /// Share of the differences the limits are meant to hold, such as 0.95.
    pub share: f64,
    /// Lower limit.
    pub lower: f64,
    /// Upper limit.
    pub upper: f64,
    /// Exact interval of the lower limit.
    pub lower_interval: Interval,
    /// Exact interval of the upper limit.
    pub upper_interval: Interval,
    /// Both limits together, inner: with the outer ones they hold the true central share.
    pub inner: (f64, f64),
    /// Both limits together, outer.
    pub outer: (f64, f64),
}

/// Multipliers of the SD that depend on the number of pairs only.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Factors {
    n: usize,
    z: f64,
    near: f64,
    far: f64,
    inner: f64,
    outer: f64,
}

/// Works the multipliers out for `n` pairs (2 or more).
pub(crate) fn factors(n: usize, share: f64, level: f64) -> Result<Factors, MeasureError> {
    let level = check::level(level)?;
    let share = check::within(
        "share of the differences",
        share,
        share > 0.0 && share < 1.0,
        "a fraction between 0 and 1, such as 0.95",
    )?;
    let (count, tail) = (n as f64, (1.0 - level) / 2.0);
    let z = dist::normal_quantile(0.5 + share / 2.0)?;
    let shift = z * count.sqrt();
    let of = |p| tails::noncentral_t_quantile(p, count - 1.0, shift);
    Ok(Factors {
        n,
        z,
        near: of(tail)? / count.sqrt(),
        far: of(1.0 - tail)? / count.sqrt(),
        inner: tails::tolerance_factor(count, share, tail)?,
        outer: tails::tolerance_factor(count, share, 1.0 - tail)?,
    })
}

/// Returns the limits of second minus first that hold `share` of the differences, with exact
/// intervals at `level`; from two or more pairs.
pub fn limits_of(
    first: &[f64],
    second: &[f64],
    share: f64,
    level: f64,
) -> Result<Limits, MeasureError> {
    let agreement = agreement(second, first)?;
    apply(
        agreement,
        &factors(agreement.n, share, level)?,
        share,
        level,
    )
}

/// Limits of an agreement with the multipliers of its number of pairs.
pub(crate) fn apply(
    agreement: Agreement,
    factors: &Factors,
    share: f64,
    level: f64,
) -> Result<Limits, MeasureError> {
    debug_assert_eq!(agreement.n, factors.n);
    let at = |multiplier: f64| {
        check::result(
            "a limit of agreement",
            agreement.mean_difference + multiplier * agreement.sd,
        )
    };
    let between = |lower, upper| -> Result<Interval, MeasureError> {
        Ok(Interval {
            lower: at(lower)?,
            upper: at(upper)?,
            level,
        })
    };
    Ok(Limits {
        agreement,
        share,
        lower: at(-factors.z)?,
        upper: at(factors.z)?,
        lower_interval: between(-factors.far, -factors.near)?,
        upper_interval: between(factors.near, factors.far)?,
        inner: (at(-factors.inner)?, at(factors.inner)?),
        outer: (at(-factors.outer)?, at(factors.outer)?),
    })
}
