//! Where to cut a row of runners, weakest first, into waves so that few bouts are run alone.
//! Moves one cut by one runner at a time while that helps: never worse than the start.

use super::wave::alone;
use crate::MeasureError;

/// Moves of a cut; it ends before when none helps.
const MOVES: usize = 200;
/// A move must save this many bouts run alone; less is not worth waves of uneven size. Common
/// practice, no source.
const LEAST_GAIN: f64 = 1.0;

/// The sizes of the waves, and what they cost.
#[derive(Debug, Clone, PartialEq)]
pub struct Splits {
    /// Runners in each wave, in the order given.
    pub sizes: Vec<usize>,
    /// Expected number of bouts begun by a single runner, all waves together.
    pub alone: f64,
    /// The same at the start.
    pub alone_at_start: f64,
}

/// Returns sizes of waves with fewer bouts run alone. Each wave keeps at least `least` runners (or
/// what it had) and at most `most`.
pub fn split_waves(
    runners: &[Vec<f64>],
    sizes: &[usize],
    least: usize,
    most: usize,
) -> Result<Splits, MeasureError> {
    let planned: usize = sizes.iter().sum();
    if planned != runners.len() {
        return Err(MeasureError::UnequalLengths {
            what: "runners and places in the waves",
            first: runners.len(),
            second: planned,
        });
    }
    let mut sizes = sizes.to_vec();
    let mut costs = Vec::new();
    let mut from = 0;
    for size in &sizes {
        costs.push(alone(&runners[from..from + size]));
        from += size;
    }
    let at_start: f64 = costs.iter().sum();
    for _ in 0..MOVES {
        let mut best: Option<(f64, usize, bool, [f64; 2])> = None;
        let mut from = 0;
        for cut in 0..sizes.len().saturating_sub(1) {
            let (a, b) = (sizes[cut], sizes[cut + 1]);
            for grow in [true, false] {
                let (giver, taker) = if grow { (b, a) } else { (a, b) };
                if giver <= least.max(1) || taker >= most {
                    continue;
                }
                let middle = if grow { from + a + 1 } else { from + a - 1 };
                let new = [
                    alone(&runners[from..middle]),
                    alone(&runners[middle..from + a + b]),
                ];
                let gain = costs[cut] + costs[cut + 1] - new[0] - new[1];
                if gain > LEAST_GAIN && best.is_none_or(|found| gain > found.0) {
                    best = Some((gain, cut, grow, new));
                }
            }
            from += a;
        }
        let Some((_, cut, grow, new)) = best else {
            break;
        };
        if grow {
            sizes[cut] += 1;
            sizes[cut + 1] -= 1;
        } else {
            sizes[cut] -= 1;
            sizes[cut + 1] += 1;
        }
        costs[cut] = new[0];
        costs[cut + 1] = new[1];
    }
    Ok(Splits {
        alone: costs.iter().sum::<f64>().min(at_start),
        alone_at_start: at_start,
        sizes,
    })
}
