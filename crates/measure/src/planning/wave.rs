//! What a wave of independent runners comes to: counts, the last stop, runners alone, stops together.
//! Input are chances of each result, as `stops` gives them.
//! Formulas: order statistics; Poisson binomial by the textbook recursion.

use crate::{MeasureError, check};

/// How many of several independent events happen.
#[derive(Debug, Clone, PartialEq)]
pub struct Count {
    /// Chance of exactly k events, k from 0 to all.
    pub chances: Vec<f64>,
    /// Expected number.
    pub mean: f64,
}

impl Count {
    /// Returns the smallest k with a chance of at least `share` (0 to 1) that no more happen.
    pub fn quantile(&self, share: f64) -> usize {
        let mut sum = 0.0;
        for (k, chance) in self.chances.iter().enumerate() {
            sum += chance;
            if sum >= share - 1e-12 {
                return k;
            }
        }
        self.chances.len().saturating_sub(1)
    }

    /// Returns the most likely number, the smaller of two that are.
    pub fn most_likely(&self) -> usize {
        let mut best = 0;
        for (k, chance) in self.chances.iter().enumerate() {
            if *chance > self.chances[best] {
                best = k;
            }
        }
        best
    }

    /// Returns the chance of at least one.
    pub fn any(&self) -> f64 {
        1.0 - self.chances.first().copied().unwrap_or(1.0)
    }
}

/// Returns the distribution of the number of independent events with these chances (0 to 1).
pub fn count_of(chances: &[f64]) -> Result<Count, MeasureError> {
    let mut exact = vec![1.0];
    for &p in chances {
        let p = check::within("chance", p, (0.0..=1.0).contains(&p), "0 to 1")?;
        exact.push(0.0);
        for k in (0..exact.len()).rev() {
            let fewer = if k > 0 { exact[k - 1] } else { 0.0 };
            exact[k] = exact[k] * (1.0 - p) + fewer * p;
        }
    }
    Ok(Count {
        chances: exact,
        mean: chances.iter().sum(),
    })
}

/// Returns, per runner, the chance of completing fewer than `bouts` bouts.
pub fn within(runners: &[Vec<f64>], bouts: usize) -> Vec<f64> {
    let each = runners.iter();
    each.map(|r| r.iter().take(bouts).sum::<f64>().clamp(0.0, 1.0))
        .collect()
}

/// Returns the chance that the best of the runners completes exactly k bouts, k from 0 to all:
/// the difference of the products of their distribution functions. Empty without runners.
pub fn last_stop(runners: &[Vec<f64>]) -> Vec<f64> {
    let n = runners.iter().map(Vec::len).max().unwrap_or(0);
    let mut below = vec![0.0; runners.len()];
    let mut before = 0.0;
    (0..n)
        .map(|k| {
            for (sum, runner) in below.iter_mut().zip(runners) {
                *sum = (*sum + runner.get(k).copied().unwrap_or(0.0)).min(1.0);
            }
            let all: f64 = if k + 1 == n {
                1.0
            } else {
                below.iter().product()
            };
            let here = (all - before).max(0.0);
            before = all;
            here
        })
        .collect()
}

/// Returns the expected number of bouts begun by exactly one runner. A single runner in a wave runs
/// every bout alone.
pub fn alone(runners: &[Vec<f64>]) -> f64 {
    let n = runners.iter().map(Vec::len).max().unwrap_or(0);
    let mut running = vec![1.0_f64; runners.len()];
    let mut sum = 0.0;
    // Bout k + 1 is begun by whoever has completed k; nobody begins one beyond the last.
    for k in 0..n.saturating_sub(1) {
        let (mut none, mut one) = (1.0, 0.0);
        for s in &running {
            one = one * (1.0 - s) + none * s;
            none *= 1.0 - s;
        }
        sum += one;
        for (s, runner) in running.iter_mut().zip(runners) {
            *s = (*s - runner.get(k).copied().unwrap_or(0.0)).clamp(0.0, 1.0);
        }
    }
    sum
}

/// Returns the chance that the stops of two runners fall in the same bout or in neighbouring ones.
/// Who reaches the end of the ladder does not stop.
pub fn together(a: &[f64], b: &[f64]) -> f64 {
    let last = a.len().min(b.len()).saturating_sub(1);
    let at = |k: usize| if k < last { b[k] } else { 0.0 };
    (0..last)
        .map(|k| {
            let before = if k > 0 { at(k - 1) } else { 0.0 };
            a[k] * (before + at(k) + at(k + 1))
        })
        .sum::<f64>()
        .clamp(0.0, 1.0)
}
