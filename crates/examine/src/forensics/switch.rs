//! Whether the test changed in mid-file: rows up to a point on one ladder, the rest on another.
//! Compares the best two-ladder split with the best single ladder; a split must earn its freedom.

use super::evidence::Evidence;

/// Prior chance that a file switches ladder once. Chosen, no source.
const PRIOR: f64 = 0.05;
/// Posterior odds a split must reach.
const ODDS: f64 = 20.0;
/// Fewest rows on either side.
const SIDE: usize = 3;

/// A switch of ladder.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Switch {
    /// Ladder before.
    pub from: usize,
    /// Ladder from the switch on.
    pub to: usize,
    /// Index, among the weighed rows, of the first row of the second ladder.
    pub at: usize,
    /// Posterior probability of exactly this row, given that there is a switch between these two.
    pub at_posterior: f64,
    /// Log posterior odds against no switch.
    pub log_odds: f64,
}

/// Returns the switch, when the rows in this order show one. `order` lists weighed rows.
pub(crate) fn find(evidence: &Evidence, order: &[usize], prior: &[f64]) -> Option<Switch> {
    let n = order.len();
    let ladders = evidence.ladders();
    if n < 2 * SIDE || ladders < 2 {
        return None;
    }
    let total: Vec<f64> = (0..ladders)
        .map(|l| order.iter().map(|i| evidence.log(*i, l)).sum())
        .collect();
    let log_prior = |l: usize| prior.get(l).copied().unwrap_or(1.0).ln();
    let single = (0..ladders)
        .map(|l| total[l] + log_prior(l))
        .fold(f64::NEG_INFINITY, f64::max);
    // Walk the split point; keep the best sum of both sides.
    let mut before = vec![0.0_f64; ladders];
    let mut best = (f64::NEG_INFINITY, 0, 0, 0);
    for (at, i) in order.iter().enumerate() {
        if at >= SIDE && n - at >= SIDE {
            let from = argmax(ladders, |l| before[l] + log_prior(l));
            let to = argmax(ladders, |l| total[l] - before[l] + log_prior(l));
            let sum = before[from] + total[to] - before[to] + log_prior(from) + log_prior(to);
            if from != to && sum > best.0 {
                best = (sum, from, to, at);
            }
        }
        for (l, sum) in before.iter_mut().enumerate() {
            *sum += evidence.log(*i, l);
        }
    }
    let (sum, from, to, _) = best;
    if from == to || !sum.is_finite() {
        return None;
    }
    // Spread the prior over places and ordered pairs of ladders.
    let places = (n - 2 * SIDE + 1) as f64;
    let pairs = (ladders * (ladders - 1)) as f64;
    // The single ladder had one prior weight, the pair two; both are relative to equal weights.
    let log_odds = sum - single + (PRIOR / (1.0 - PRIOR)).ln() - places.ln() - pairs.ln()
        + (ladders as f64).ln();
    if log_odds < ODDS.ln() {
        return None;
    }
    let (at, at_posterior) = place(evidence, order, from, to);
    let prefers = |range: &[usize], a: usize, b: usize| {
        range
            .iter()
            .filter(|i| evidence.log(**i, a) > evidence.log(**i, b) + 2.0)
            .count()
    };
    let (left, right) = order.split_at_checked(at)?;
    (prefers(left, from, to) >= 2 && prefers(right, to, from) >= SIDE).then_some(Switch {
        from,
        to,
        at,
        at_posterior,
        log_odds,
    })
}

/// Returns the likeliest first row of the second ladder and its posterior over all places.
fn place(evidence: &Evidence, order: &[usize], from: usize, to: usize) -> (usize, f64) {
    let mut running = 0.0;
    let mut logs: Vec<f64> = Vec::with_capacity(order.len());
    for i in order {
        logs.push(running);
        running += evidence.log(*i, from) - evidence.log(*i, to);
    }
    let n = logs.len();
    let allowed = SIDE..=n - SIDE;
    let inside = || {
        logs.iter()
            .enumerate()
            .filter(|(at, _)| allowed.contains(at))
    };
    let top = inside().map(|(_, v)| *v).fold(f64::NEG_INFINITY, f64::max);
    let sum: f64 = inside().map(|(_, v)| (v - top).exp()).sum();
    // Rows that fit both ladders leave several places equal: the earliest of them is named.
    let at = inside()
        .find(|(_, v)| **v >= top - 1e-9)
        .map_or(SIDE, |(at, _)| at);
    (at, 1.0 / sum)
}

fn argmax(n: usize, value: impl Fn(usize) -> f64) -> usize {
    let mut best = 0;
    for i in 1..n {
        if value(i) > value(best) + 1e-9 {
            best = i;
        }
    }
    best
}
