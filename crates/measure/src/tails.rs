//! Exact distributions beyond the common four: non-central t, F tail, tolerance factor, counts.
//! For checked input inside the crate; the modules that use them say what they answer.
//! Formulas: textbook integrals over the chi density; checked against scipy 1.17.1.

use statrs::function::beta::beta_reg;
use statrs::function::gamma::gamma_ur;

use crate::{MeasureError, check, dist, quad};

/// From here on F and chi-square quantiles are asked with this df, which widens by < 0.1 %.
const MOST_DF: f64 = 1e6;

/// P(Z <= z), any z.
pub(crate) fn phi(z: f64) -> f64 {
    dist::lower_tail(z, None)
}

/// Standard normal density.
pub(crate) fn density(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt()
}

/// Degrees of freedom held where the quantiles still end.
pub(crate) fn held(df: f64) -> f64 {
    df.clamp(0.01, MOST_DF)
}

/// P(F > f) for f >= 0 and df within `held`.
pub(crate) fn f_above(f: f64, df1: f64, df2: f64) -> f64 {
    let (df1, df2) = (held(df1), held(df2));
    if f <= 0.0 {
        return 1.0;
    }
    beta_reg(df2 / 2.0, df1 / 2.0, df2 / (df2 + df1 * f))
}

/// P(T <= t) of the non-central t, as the mean of a normal tail over the chi density.
pub(crate) fn noncentral_t(t: f64, df: f64, shift: f64) -> f64 {
    // s = chi / root df; unnormalised density, its integral divides out.
    let spread = 12.0 / (2.0 * df).sqrt();
    let (low, high) = ((1.0 - spread).max(0.0), 1.0 + spread);
    let chi = |s: f64| {
        if s <= 0.0 {
            return if df > 1.0 { 0.0 } else { (df / 2.0).exp() };
        }
        ((df - 1.0) * s.ln() - 0.5 * df * (s * s - 1.0)).exp()
    };
    let mut steps = vec![1.0];
    if t != 0.0 {
        let (middle, width) = (shift / t, 8.0 / t.abs());
        steps.extend([middle - width, middle, middle + width]);
    }
    let top = quad::integrate(low, high, &steps, 5, |s| chi(s) * phi(t * s - shift));
    let all = quad::integrate(low, high, &steps, 5, chi);
    (top / all).clamp(0.0, 1.0)
}

/// Returns the quantile of the non-central t at `p` (between 0 and 1).
pub(crate) fn noncentral_t_quantile(p: f64, df: f64, shift: f64) -> Result<f64, MeasureError> {
    let spread = 1.0 + shift.abs() / df.sqrt();
    quad::rising_root("the non-central t quantile", shift, spread, |t| {
        noncentral_t(t, df, shift) - p
    })
}

/// Returns the factor k with which mean +/- k SD of `n` values (2 or more) covers a share
/// `share` of a normal population with probability `chance`.
pub(crate) fn tolerance_factor(n: f64, share: f64, chance: f64) -> Result<f64, MeasureError> {
    let df = n - 1.0;
    let z = dist::normal_quantile(0.5 + share / 2.0)?;
    let reach: Vec<(f64, f64)> = quad::nodes(0.0, 8.5, 4)
        .map(|(m, w)| (2.0 * w * density(m), half_width(m / n.sqrt(), share, z)))
        .collect();
    let covered = |log_factor: f64| {
        let k = log_factor.exp();
        reach
            .iter()
            .map(|(w, r)| w * gamma_ur(df / 2.0, (df * r * r / (2.0 * k * k)).max(1e-300)))
            .sum::<f64>()
            - chance
    };
    let what = "the tolerance factor";
    let root = quad::rising_root(what, z.ln(), 0.5 / n.sqrt(), covered)?;
    check::result(what, root.exp())
}

/// Half width r with which x +/- r holds `share` of a standard normal, by Newton steps.
fn half_width(x: f64, share: f64, start: f64) -> f64 {
    let mut r = start + x * x / 2.0 / (1.0 + x);
    for _ in 0..60 {
        let miss = phi(x + r) - phi(x - r) - share;
        let step = miss / (density(x + r) + density(x - r));
        r -= step.clamp(-0.5, 0.5);
        if step.abs() < 1e-13 {
            break;
        }
    }
    r
}

/// Second derivative of ln gamma, for x > 0.
pub(crate) fn trigamma(x: f64) -> f64 {
    let (mut x, mut sum) = (x, 0.0);
    while x < 12.0 {
        sum += 1.0 / (x * x);
        x += 1.0;
    }
    let y = 1.0 / (x * x);
    let series =
        y * (1.0 / 6.0 - y * (1.0 / 30.0 - y * (1.0 / 42.0 - y * (1.0 / 30.0 - y * 5.0 / 66.0))));
    sum + 1.0 / x + y / 2.0 + series / x
}

/// P(at least `hits`) of independent events with these chances; n x n steps.
pub(crate) fn at_least(chances: &[f64], hits: usize) -> f64 {
    if hits == 0 {
        return 1.0;
    }
    // Mass of 0 .. hits - 1 so far; what reaches `hits` stays there.
    let mut mass = vec![0.0; hits];
    mass[0] = 1.0;
    let mut reached = 0.0;
    for &p in chances {
        reached += mass[hits - 1] * p;
        for count in (1..hits).rev() {
            mass[count] = mass[count] * (1.0 - p) + mass[count - 1] * p;
        }
        mass[0] *= 1.0 - p;
    }
    reached.clamp(0.0, 1.0)
}
