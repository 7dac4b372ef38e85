//! Probabilities and quantiles of the normal, t, chi-square and F distributions.
//! Total: every input outside the domain is a fault, no call panics.
//! Checked against scipy 1.17.1 anchors in tests/it/published/scipy_1_17_1.rs.

use statrs::distribution::{ChiSquared, ContinuousCDF, FisherSnedecor};
use statrs::function::beta::beta_reg;
use statrs::function::erf;
use statrs::function::gamma::{gamma_lr, gamma_ur};

use crate::{MeasureError, check, tails};

/// From here on t and normal differ by less than rounding.
const NORMAL_FROM_DF: f64 = 1e10;

/// Returns P(Z <= z) for a standard normal Z, between 0 and 1.
pub fn normal_cdf(z: f64) -> Result<f64, MeasureError> {
    Ok(phi(check::finite("z", z)?))
}

/// Returns the z below which a fraction `p` (between 0 and 1, ends excluded) lies.
pub fn normal_quantile(p: f64) -> Result<f64, MeasureError> {
    let p = probability(p)?;
    check::result("the normal quantile", normal_quantile_of(p))
}

/// Returns P(T <= t) for Student's t with `df` (1 or more); without `df`, for a normal.
pub fn student_cdf(t: f64, df: Option<f64>) -> Result<f64, MeasureError> {
    let t = check::finite("t", t)?;
    Ok(lower_tail(t, check::freedom(df)?))
}

/// Returns the t below which a fraction `p` lies, for `df` (1 or more); without `df`, the z.
pub fn student_quantile(p: f64, df: Option<f64>) -> Result<f64, MeasureError> {
    let p = probability(p)?;
    let Some(df) = check::freedom(df)?.filter(|&df| df < NORMAL_FROM_DF) else {
        return normal_quantile(p);
    };
    // The lower half is solved and mirrored, which keeps both tails exact.
    let tail = p.min(1.0 - p);
    let size = student_upper_quantile(tail, df);
    check::result("the t quantile", if p < 0.5 { -size } else { size })
}

/// Returns the two-sided multiplier of a confidence level: 1.96 for 0.95 without `df`.
pub fn two_sided(level: f64, df: Option<f64>) -> Result<f64, MeasureError> {
    student_quantile(0.5 + check::level(level)? / 2.0, df)
}

/// Returns the chi-square quantile at `p` for `df` from 0.01 to a million.
pub fn chi_square_quantile(p: f64, df: f64) -> Result<f64, MeasureError> {
    let p = probability(p)?;
    let df = spread_freedom("degrees of freedom", df)?;
    let law = ChiSquared::new(df).map_err(|_| MeasureError::Overflow {
        what: "the chi-square quantile",
    })?;
    check::result("the chi-square quantile", law.inverse_cdf(p))
}

/// Returns the F quantile at `p` for two degrees of freedom from 0.01 to a million.
pub fn f_quantile(p: f64, df1: f64, df2: f64) -> Result<f64, MeasureError> {
    let p = probability(p)?;
    let df1 = spread_freedom("first degrees of freedom", df1)?;
    let df2 = spread_freedom("second degrees of freedom", df2)?;
    let law = FisherSnedecor::new(df1, df2).map_err(|_| MeasureError::Overflow {
        what: "the F quantile",
    })?;
    check::result("the F quantile", law.inverse_cdf(p))
}

/// Returns the quantile at `p` of the non-central t with `df` (1 to a million) and `shift`
/// (within 1e5 of 0).
pub fn noncentral_t_quantile(p: f64, df: f64, shift: f64) -> Result<f64, MeasureError> {
    let p = probability(p)?;
    let (what, most) = ("degrees of freedom", (1.0..=1e6).contains(&df));
    let df = check::within(what, df, most, "1 to a million")?;
    let shift = check::within("shift", shift, shift.abs() <= 1e5, "-100000 to 100000")?;
    tails::noncentral_t_quantile(p, df, shift)
}

/// Returns the factor k with which mean +/- k SD of `n` normal values (2 to a million) holds at
/// least `share` of their population with probability `chance`.
pub fn tolerance_factor(n: usize, share: f64, chance: f64) -> Result<f64, MeasureError> {
    let (share, chance) = (probability(share)?, probability(chance)?);
    let what = "number of values";
    let n = check::within(
        what,
        n as f64,
        (2..=1_000_000).contains(&n),
        "2 to a million",
    )?;
    tails::tolerance_factor(n, share, chance)
}

/// P(T <= t) for checked input; infinite t allowed.
pub(crate) fn lower_tail(t: f64, df: Option<f64>) -> f64 {
    let Some(df) = df.filter(|&df| df < NORMAL_FROM_DF) else {
        return phi(t);
    };
    let half = student_tail(t.abs(), df);
    if t < 0.0 { half } else { 1.0 - half }
}

/// Beyond these the library's series no longer ends.
fn spread_freedom(what: &'static str, df: f64) -> Result<f64, MeasureError> {
    check::within(what, df, (0.01..=1e6).contains(&df), "0.01 to a million")
}

fn probability(p: f64) -> Result<f64, MeasureError> {
    check::within(
        "probability",
        p,
        p > 0.0 && p < 1.0,
        "a fraction between 0 and 1",
    )
}

/// Through the incomplete gamma function: the library's error function keeps ten digits only.
fn phi(z: f64) -> f64 {
    let square = 0.5 * z * z;
    if z.abs() < 1e-8 {
        return 0.5 + z / (2.0 * std::f64::consts::PI).sqrt();
    }
    if square < 0.5 {
        return 0.5 + (0.5 * gamma_lr(0.5, square)).copysign(z);
    }
    // From 38 standard deviations on the tail is 0 in doubles.
    let tail = if square > 750.0 {
        0.0
    } else {
        0.5 * gamma_ur(0.5, square)
    };
    if z < 0.0 { tail } else { 1.0 - tail }
}

/// Solved in the lower half, where the tail keeps its digits, with one correction step.
fn normal_quantile_of(p: f64) -> f64 {
    let tail = p.min(1.0 - p);
    let rough = -std::f64::consts::SQRT_2 * erf::erfc_inv(2.0 * tail);
    let density = (-0.5 * rough * rough).exp() / (2.0 * std::f64::consts::PI).sqrt();
    let step = (phi(rough) - tail) / density;
    let z = if step.is_finite() {
        rough - step
    } else {
        rough
    };
    if p < 0.5 { z } else { -z }
}

/// P(T > t) for t >= 0.
fn student_tail(t: f64, df: f64) -> f64 {
    if t.is_infinite() {
        return 0.0;
    }
    let square = t * t;
    // Near the centre the other side of the incomplete beta keeps the digits.
    if square < 1.0 {
        0.5 - 0.5 * beta_reg(0.5, 0.5 * df, square / (df + square))
    } else {
        0.5 * beta_reg(0.5 * df, 0.5, df / (df + square))
    }
}

/// The t >= 0 with an upper tail of `tail` (at most 0.5), by bisection on the exact tail.
fn student_upper_quantile(tail: f64, df: f64) -> f64 {
    if tail >= 0.5 {
        return 0.0;
    }
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    while student_tail(high, df) > tail && high < f64::MAX / 4.0 {
        low = high;
        high *= 2.0;
    }
    for _ in 0..200 {
        let middle = low + (high - low) / 2.0;
        if middle <= low || middle >= high {
            break;
        }
        if student_tail(middle, df) > tail {
            low = middle;
        } else {
            high = middle;
        }
    }
    low + (high - low) / 2.0
}
