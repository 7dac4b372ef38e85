//! Kendall's tau-b and the chance of so large a one without any trend.
//! Exact without ties up to [`EXACT_UP_TO`] points, else the normal approximation.
//! Sources: Kendall 1938, 1945; from memory.

use crate::robust::slope::{groups, tied};
use crate::{MeasureError, check, dist};

/// Up to this many points the number of orders is counted.
const EXACT_UP_TO: usize = 100;
/// Most points whose pairs are all looked at.
const MOST_POINTS: usize = 5_000;

/// How the chance was worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KendallBasis {
    /// By counting orders.
    Exact,
    /// By the normal approximation, with ties counted.
    Normal,
}

/// A rank correlation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kendall {
    /// Tau-b, -1 to 1.
    pub tau: f64,
    /// Chance of a tau at least as far from 0 when there is no trend, 0 to 1.
    pub p: f64,
    /// How the chance was worked out.
    pub basis: KendallBasis,
}

/// Returns Kendall's tau-b of two lists of 2 to 5000 values.
///
/// # Errors
///
/// [`MeasureError`] for lists of unequal length, too short, not finite, or without any spread.
pub fn kendall(x: &[f64], y: &[f64]) -> Result<Kendall, MeasureError> {
    check::differences("pairs of a rank correlation", x, y, 2)?;
    let n = x.len();
    if n > MOST_POINTS {
        return Err(MeasureError::TooMany {
            what: "pairs of a rank correlation",
            found: n,
            allowed: MOST_POINTS,
        });
    }
    let (mut score, mut against) = (0_i64, 0_u64);
    for i in 0..n {
        for j in i + 1..n {
            let side = sign(x[j], x[i]) * sign(y[j], y[i]);
            score += side;
            against += u64::from(side < 0);
        }
    }
    let pairs = (n * (n - 1) / 2) as f64;
    let ties = |values: &[f64]| -> f64 { groups(values).iter().map(|k| k * (k - 1.0) / 2.0).sum() };
    let (tied_x, tied_y) = (ties(x), ties(y));
    for (what, tied) in [("the first values", tied_x), ("the second values", tied_y)] {
        if tied >= pairs {
            let hint = "a rank correlation needs two different values at least";
            return Err(MeasureError::NoSpread { what, hint });
        }
    }
    let tau = score as f64 / ((pairs - tied_x) * (pairs - tied_y)).sqrt();
    let no_ties = tied_x + tied_y == 0.0;
    let (p, basis) = if no_ties && n <= EXACT_UP_TO {
        (counted(n, against), KendallBasis::Exact)
    } else {
        (approximate(x, y, score as f64)?, KendallBasis::Normal)
    };
    Ok(Kendall {
        tau: tau.clamp(-1.0, 1.0),
        p,
        basis,
    })
}

fn sign(a: f64, b: f64) -> i64 {
    i64::from(a > b) - i64::from(a < b)
}

/// Both tails of the number of inversions of n things, as shares of n!.
fn counted(n: usize, against: u64) -> f64 {
    let most = n * (n - 1) / 2;
    let against = usize::try_from(against).unwrap_or(most);
    let fewer = against.min(most - against);
    let mut share = vec![0.0_f64; most + 1];
    share[0] = 1.0;
    for size in 2..=n {
        let mut next = vec![0.0; most + 1];
        let mut window = 0.0;
        for at in 0..=size * (size - 1) / 2 {
            window += share[at];
            if at >= size {
                window -= share[at - size];
            }
            next[at] = window.max(0.0) / size as f64;
        }
        share = next;
    }
    let tail: f64 = share.iter().take(fewer + 1).sum();
    (2.0 * tail).min(1.0)
}

fn approximate(x: &[f64], y: &[f64], score: f64) -> Result<f64, MeasureError> {
    let n = x.len() as f64;
    let sum =
        |values: &[f64], f: fn(f64) -> f64| -> f64 { groups(values).into_iter().map(f).sum() };
    let twos = |k: f64| k * (k - 1.0);
    let threes = |k: f64| k * (k - 1.0) * (k - 2.0);
    let mut variance = (n * (n - 1.0) * (2.0 * n + 5.0) - tied(x) - tied(y)) / 18.0
        + sum(x, twos) * sum(y, twos) / (2.0 * n * (n - 1.0));
    if n > 2.0 {
        variance += sum(x, threes) * sum(y, threes) / (9.0 * n * (n - 1.0) * (n - 2.0));
    }
    if variance <= 0.0 {
        return Ok(1.0);
    }
    let z = score.abs() / variance.sqrt();
    Ok((2.0 * dist::normal_cdf(-z)?).min(1.0))
}
