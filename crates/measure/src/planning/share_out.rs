//! Runners of a wave shared out to assessors so that few stops of one block fall together.
//! Local search with a seeded generator: never worse than the start, the same for the same input.
//! Cost: the expected number of pairs of one block that stop together.

use super::wave::together;
use crate::MeasureError;

/// Kicks after the first descent: each mixes a few runners and descends again.
const KICKS: usize = 40;
/// Passes of one descent; it ends before when no exchange helps.
const PASSES: usize = 200;
/// An exchange must gain this much, so that rounding cannot turn in circles.
const LEAST_GAIN: f64 = 1e-9;
/// Most runners of one wave.
const MOST: usize = 400;

/// Which block each runner is in, and what that costs.
#[derive(Debug, Clone, PartialEq)]
pub struct Shares {
    /// Block of each runner, in the order given.
    pub block: Vec<usize>,
    /// Expected number of pairs of one block whose stops fall together.
    pub cost: f64,
}

/// What the search did.
#[derive(Debug, Clone, PartialEq)]
pub struct Search {
    /// The start.
    pub start: Shares,
    /// The best found.
    pub best: Shares,
    /// Exchanges tried.
    pub tried: u64,
    /// Whether the last descent ended because no exchange of two runners helps.
    pub settled: bool,
}

/// Returns blocks of the same sizes as the start's with fewer stops together, by exchanging two
/// runners at a time. `runners` are chances of each result, as `stops` gives them.
pub fn share_out(runners: &[Vec<f64>], start: &[usize], seed: u64) -> Result<Search, MeasureError> {
    if runners.len() != start.len() {
        return Err(MeasureError::UnequalLengths {
            what: "runners and their blocks",
            first: runners.len(),
            second: start.len(),
        });
    }
    if runners.len() > MOST {
        return Err(MeasureError::TooMany {
            what: "runners of one wave",
            found: runners.len(),
            allowed: MOST,
        });
    }
    let pairs: Vec<Vec<f64>> = runners
        .iter()
        .map(|a| runners.iter().map(|b| together(a, b)).collect())
        .collect();
    let begin = shares(&pairs, start.to_vec());
    let mut random = Random(seed);
    let mut tried = 0;
    let mut block = start.to_vec();
    let mut settled = descend(&pairs, &mut block, &mut tried);
    let mut best = shares(&pairs, block.clone());
    let kicks = if block.len() > 1 { KICKS } else { 0 };
    for _ in 0..kicks {
        block.clone_from(&best.block);
        for _ in 0..3 {
            let (i, j) = (random.below(block.len()), random.below(block.len()));
            block.swap(i, j);
        }
        settled = descend(&pairs, &mut block, &mut tried);
        let found = shares(&pairs, block.clone());
        if found.cost < best.cost - LEAST_GAIN {
            best = found;
        }
    }
    if best.cost > begin.cost {
        best = begin.clone();
    }
    Ok(Search {
        start: begin,
        best,
        tried,
        settled,
    })
}

fn shares(pairs: &[Vec<f64>], block: Vec<usize>) -> Shares {
    let mut cost = 0.0;
    for i in 0..block.len() {
        for j in 0..i {
            if block[i] == block[j] {
                cost += pairs[i][j];
            }
        }
    }
    Shares { block, cost }
}

/// Exchanges two runners wherever that helps; returns whether nothing more does.
fn descend(pairs: &[Vec<f64>], block: &mut [usize], tried: &mut u64) -> bool {
    let n = block.len();
    for _ in 0..PASSES {
        let mut better = false;
        for i in 0..n {
            for j in 0..i {
                if block[i] == block[j] {
                    continue;
                }
                *tried += 1;
                if gain(pairs, block, i, j) > LEAST_GAIN {
                    block.swap(i, j);
                    better = true;
                }
            }
        }
        if !better {
            return true;
        }
    }
    false
}

/// What exchanging two runners of different blocks saves.
fn gain(pairs: &[Vec<f64>], block: &[usize], i: usize, j: usize) -> f64 {
    let mut saved = 0.0;
    for (k, own) in block.iter().enumerate() {
        if k == i || k == j {
            continue;
        }
        if *own == block[i] {
            saved += pairs[i][k] - pairs[j][k];
        } else if *own == block[j] {
            saved += pairs[j][k] - pairs[i][k];
        }
    }
    saved
}

/// A small reproducible source of whole numbers (splitmix64).
struct Random(u64);

impl Random {
    fn below(&mut self, below: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) % below.max(1) as u64) as usize
    }
}
