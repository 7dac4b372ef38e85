//! How much better a ladder on a line explains the onsets than chance does.
//! Does not search. The model is ours: cues heard or missed, errors normal with a flat tail,
//! other onsets a Poisson process whose rate follows the recording.

use crate::align::{pair, quick};

/// Onsets and what chance makes of them.
#[derive(Debug)]
pub(crate) struct Heard {
    /// Times, seconds, increasing.
    pub times: Vec<f64>,
    /// Logarithm of the local rate about each.
    chance: Vec<f64>,
    /// First to last, seconds.
    span: f64,
}

/// Half the width over which the local rate is counted, seconds.
const LOCAL: f64 = 8.0;

impl Heard {
    /// Sorts onsets, drops what is not a number and doubles.
    pub fn new(onsets: &[f64]) -> Self {
        let mut times: Vec<f64> = onsets.iter().copied().filter(|t| t.is_finite()).collect();
        times.sort_unstable_by(f64::total_cmp);
        times.dedup_by(|later, earlier| *later - *earlier < 1e-3);
        let span = times.last().unwrap_or(&0.0) - times.first().unwrap_or(&0.0);
        let (mut from, mut to) = (0, 0);
        let chance = times
            .iter()
            .map(|t| {
                while times[from] < t - LOCAL {
                    from += 1;
                }
                while to < times.len() && times[to] <= t + LOCAL {
                    to += 1;
                }
                ((to - from) as f64 / (2.0 * LOCAL)).ln()
            })
            .collect();
        Self {
            times,
            chance,
            span,
        }
    }
}

/// A ladder laid on the onsets.
#[derive(Debug, Clone)]
pub(crate) struct Fit {
    /// Offset, seconds.
    pub a: f64,
    /// Rate.
    pub b: f64,
    /// Half the 95 % interval of the rate.
    pub b_half: f64,
    /// First and last matched cue.
    pub stretch: (usize, usize),
    /// Cues matched.
    pub matched: usize,
    /// Cues from the first to the last matched one.
    pub expected: usize,
    /// Robust spread, seconds.
    pub spread: f64,
    /// Log evidence against chance, priors of offset, rate and stretch paid.
    pub gain: f64,
}

/// Widest pairing, seconds.
const SLACK: f64 = 0.08;
/// Least spread of heard cues that is believed, seconds.
const LEAST_SPREAD: f64 = 0.002;
/// Largest, seconds.
const MOST_SPREAD: f64 = 0.03;
/// Part of the heard cues whose error is flat over the pairing width.
const TAIL: f64 = 0.05;
/// Prior range of the offset beside the recording's own length, seconds.
const TRACK_RANGE: f64 = 2_000.0;
/// Price of choosing where the heard stretch begins and ends, natural logarithm.
const STRETCH_PRICE: f64 = 8.0;

/// Fits a ladder near a line and weighs it; nothing when fewer than five cues match or the
/// rate leaves the range.
pub(crate) fn weigh(
    track: &[f64],
    heard: &Heard,
    start: (f64, f64),
    max_rate_error: f64,
) -> Option<Fit> {
    let (mut a, mut b) = start;
    let mut slack = SLACK;
    let mut spread = 0.01;
    let mut reach = 0.0;
    let mut pairs = Vec::new();
    for _ in 0..3 {
        pairs = pair(track, &heard.times, a, b, slack);
        let times: Vec<(f64, f64)> = pairs
            .iter()
            .map(|p| (track[p.0], heard.times[p.1]))
            .collect();
        let fit = quick(&times, a, b, LEAST_SPREAD)?;
        (a, b, reach) = (fit.a, fit.b, fit.reach);
        spread = fit.spread.min(MOST_SPREAD);
        slack = (6.0 * spread).clamp(0.03, SLACK);
    }
    if pairs.len() < 5 || (b - 1.0).abs() > max_rate_error * 1.01 {
        return None;
    }
    let peak = (1.0 - TAIL) / (spread * std::f64::consts::TAU.sqrt());
    let flat = TAIL / (2.0 * SLACK);
    let offs: Vec<f64> = pairs
        .iter()
        .map(|p| {
            let z = (heard.times[p.1] - a - b * track[p.0]) / spread;
            (peak * (-0.5 * z * z).exp() + flat).ln() - heard.chance[p.1]
        })
        .collect();
    let mut miss: f64 = 0.15;
    let mut best = (0, 0, 0.0);
    for _ in 0..2 {
        best = stretch(&pairs, &offs, miss);
        let (from, to, _) = best;
        let expected = pairs[to].0 - pairs[from].0 + 1;
        let missed = expected - (to - from + 1);
        miss = ((missed as f64 + 0.5) / (expected as f64 + 1.0)).clamp(0.005, 0.6);
    }
    let (from, to, sum) = best;
    let matched = to - from + 1;
    let expected = pairs[to].0 - pairs[from].0 + 1;
    let all = heard.times.len() as f64;
    let others = all - matched as f64;
    // The false onsets are rarer than all onsets: the Poisson part of both models.
    let poisson = matched as f64
        + if others > 0.0 {
            others * (others / all).ln()
        } else {
            0.0
        };
    let n = matched as f64;
    let (da, db) = (spread / n.sqrt(), spread / (n.sqrt() * reach.max(1.0)));
    let room = (heard.span + TRACK_RANGE) * 2.0 * max_rate_error;
    let price = (room / (std::f64::consts::TAU * da * db)).ln();
    let fit = Fit {
        a,
        b,
        b_half: 1.96 * 1.05 * db,
        stretch: (pairs[from].0, pairs[to].0),
        matched,
        expected,
        spread,
        gain: sum + poisson - price - STRETCH_PRICE,
    };
    (fit.matched >= 5).then_some(fit)
}

/// Returns the pairs (first, last) between which heard less missed cues weigh most.
fn stretch(pairs: &[(usize, usize)], offs: &[f64], miss: f64) -> (usize, usize, f64) {
    let (heard, missed) = ((1.0 - miss).ln(), miss.ln());
    let mut best = (0, 0, f64::NEG_INFINITY);
    let (mut from, mut sum) = (0, 0.0);
    for k in 0..pairs.len() {
        if k > 0 {
            sum += missed * (pairs[k].0 - pairs[k - 1].0 - 1) as f64;
        }
        if sum <= 0.0 {
            (from, sum) = (k, 0.0);
        }
        sum += offs[k] + heard;
        if sum > best.2 {
            best = (from, k, sum);
        }
    }
    best
}
