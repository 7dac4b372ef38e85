//! Moments of z and how far they are from those of a normal.
//! Works on weighted values; a weight counts as that many people.
//! Tests: D'Agostino 1970 (skewness), Anscombe & Glynn 1983 (kurtosis), Anderson & Darling.

use crate::{MeasureError, check, dist};

/// Moments of z in a group.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moments {
    /// How many people.
    pub people: f64,
    /// Mean, 0 when the median fits.
    pub mean: f64,
    /// Standard deviation (divisor people - 1), 1 when S fits.
    pub sd: f64,
    /// Skewness, 0 when L fits.
    pub skewness: f64,
    /// Kurtosis above that of a normal, 0 when the shape is right.
    pub excess_kurtosis: f64,
}

/// Returns the moments of (z, weight) pairs with two or more people that differ.
pub(crate) fn moments(values: &[(f64, f64)]) -> Result<Moments, MeasureError> {
    let people: f64 = values.iter().map(|v| v.1).sum();
    let mean = values.iter().map(|v| v.0 * v.1).sum::<f64>() / people;
    let power = |k: i32| {
        let sum: f64 = values.iter().map(|v| v.1 * (v.0 - mean).powi(k)).sum();
        sum / people
    };
    let (two, three, four) = (power(2), power(3), power(4));
    if people <= 1.0 || two.is_nan() || two <= 0.0 {
        return Err(MeasureError::NoSpread {
            what: "the z values of an age group",
            hint: "take wider age groups",
        });
    }
    Ok(Moments {
        people,
        mean,
        sd: (two * people / (people - 1.0)).sqrt(),
        skewness: check::result("the skewness", three / two.powf(1.5))?,
        excess_kurtosis: check::result("the kurtosis", four / (two * two) - 3.0)?,
    })
}

/// Returns the z of a skewness (third moment over SD cubed) of `people` (8 or more).
pub fn skewness_test(skewness: f64, people: f64) -> Result<f64, MeasureError> {
    let skewness = check::finite("skewness", skewness)?;
    let n = check::within("people", people, people >= 8.0, "8 or more")?;
    let y = skewness * ((n + 1.0) * (n + 3.0) / (6.0 * (n - 2.0))).sqrt();
    let beta = 3.0 * (n * n + 27.0 * n - 70.0) * (n + 1.0) * (n + 3.0)
        / ((n - 2.0) * (n + 5.0) * (n + 7.0) * (n + 9.0));
    let w = (2.0 * (beta - 1.0)).sqrt() - 1.0;
    let delta = 1.0 / (0.5 * w.ln()).sqrt();
    let alpha = (2.0 / (w - 1.0)).sqrt();
    check::result("the z of the skewness", delta * (y / alpha).asinh())
}

/// Returns the z of an excess kurtosis of `people` (20 or more).
pub fn kurtosis_test(excess: f64, people: f64) -> Result<f64, MeasureError> {
    let excess = check::finite("excess kurtosis", excess)?;
    let n = check::within("people", people, people >= 20.0, "20 or more")?;
    let mean = -6.0 / (n + 1.0);
    let variance = 24.0 * n * (n - 2.0) * (n - 3.0) / ((n + 1.0).powi(2) * (n + 3.0) * (n + 5.0));
    let x = (excess - mean) / variance.sqrt();
    let beta = 6.0 * (n * n - 5.0 * n + 2.0) / ((n + 7.0) * (n + 9.0))
        * (6.0 * (n + 3.0) * (n + 5.0) / (n * (n - 2.0) * (n - 3.0))).sqrt();
    let a = 6.0 + 8.0 / beta * (2.0 / beta + (1.0 + 4.0 / (beta * beta)).sqrt());
    let denominator = 1.0 + x * (2.0 / (a - 4.0)).sqrt();
    let root = ((1.0 - 2.0 / a) / denominator).cbrt();
    let z = (1.0 - 2.0 / (9.0 * a) - root) / (2.0 / (9.0 * a)).sqrt();
    check::result("the z of the kurtosis", z)
}

/// How far a distribution is from a normal with its own mean and SD.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Distance {
    /// The Anderson-Darling A^2, before the correction for few people.
    pub(crate) anderson_darling: f64,
    /// Its p, mean and SD taken as estimated (Stephens' approximation).
    pub(crate) p: f64,
    /// Largest gap between the shares below, 0 to 1.
    pub(crate) gap: f64,
}

/// Returns the distance of (z, weight) pairs, sorted by z.
pub(crate) fn distance(sorted: &[(f64, f64)], moments: &Moments) -> Distance {
    // The integral of (F_n - F)^2 / (F (1 - F)) from one value to the next, closed form.
    let piece = |w: f64, low: (f64, f64)| -> f64 {
        let own = if w > 0.0 { w * w * low.0.ln() } else { 0.0 };
        let rest = if w < 1.0 {
            (1.0 - w) * (1.0 - w) * low.1.ln()
        } else {
            0.0
        };
        own - rest
    };
    let tails = |z: f64| {
        let x = (z - moments.mean) / moments.sd;
        let floor = f64::MIN_POSITIVE;
        (
            dist::lower_tail(x, None).max(floor),
            dist::lower_tail(-x, None).max(floor),
        )
    };
    let (mut below, mut sum, mut gap) = (0.0_f64, 0.0, 0.0_f64);
    for &(z, weight) in sorted {
        let here = tails(z);
        let after = (below + weight / moments.people).min(1.0);
        sum += piece(below, here) - piece(after, here);
        gap = gap.max((here.0 - below).abs()).max((here.0 - after).abs());
        below = if 1.0 - after < 1e-12 { 1.0 } else { after };
    }
    let anderson_darling = (moments.people * (sum - 1.0)).max(0.0);
    let n = moments.people;
    let corrected = anderson_darling * (1.0 + 0.75 / n + 2.25 / (n * n));
    Distance {
        anderson_darling,
        p: probability(corrected),
        gap,
    }
}

/// Stephens' approximation to the upper tail, mean and SD estimated.
fn probability(a: f64) -> f64 {
    let p = if a >= 0.6 {
        (1.2937 - 5.709 * a + 0.0186 * a * a).exp()
    } else if a >= 0.34 {
        (0.9177 - 4.279 * a - 1.38 * a * a).exp()
    } else if a >= 0.2 {
        1.0 - (-8.318 + 42.796 * a - 59.938 * a * a).exp()
    } else {
        1.0 - (-13.436 + 101.14 * a - 223.73 * a * a).exp()
    };
    // The parabola of the first branch turns up again far out.
    if a > 100.0 { 0.0 } else { p.clamp(0.0, 1.0) }
}
