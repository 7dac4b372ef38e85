//! Delay found by tapping along: how much later than the screen says the sound is heard.
//! People tap early by habit; the delay is good to that habit, and the interval says how steady.

use thiserror::Error;

use crate::own::median;

/// Fewest taps that are used.
pub const LEAST_TAPS: usize = 8;
/// Largest distance of a tap from its cue, s.
pub const REACH_S: f64 = 0.75;
/// Chance that the interval misses the median on one side, at most.
const TAIL: f64 = 0.025;

/// What a row of taps says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Delay {
    /// Median of tap minus cue, s; positive when the sound comes later than the screen.
    pub median_s: f64,
    /// Its 95 % interval, s.
    pub interval_s: (f64, f64),
    /// Taps used.
    pub used: usize,
    /// Taps left out: no cue near, or a second tap for one.
    pub left_out: usize,
}

/// Why there is no delay.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum TapError {
    /// Too few taps near a cue.
    #[error(
        "{found} taps fell within 0.75 s of a cue; 8 are needed. Tap along with twelve cues, without \
         looking at the screen"
    )]
    TooFew {
        /// Taps that could be used.
        found: usize,
    },
    /// A time that is not a number.
    #[error("a time is not a number; times are seconds from one clock")]
    NotANumber,
}

/// Finds the delay from cue times and tap times of one clock, seconds.
///
/// The interval lies between two taps in order of size, so many from either end that a fair coin
/// seldom falls one way so often: it holds whatever the taps are like (derived from the binomial).
///
/// # Errors
///
/// [`TapError`] for too few taps or a time that is not a number.
pub fn delay(cues_s: &[f64], taps_s: &[f64]) -> Result<Delay, TapError> {
    if cues_s.iter().chain(taps_s).any(|t| !t.is_finite()) {
        return Err(TapError::NotANumber);
    }
    let mut offsets: Vec<(usize, f64)> = Vec::new();
    for tap in taps_s {
        let near = cues_s.iter().enumerate().map(|(i, cue)| (i, tap - cue));
        if let Some(best) = near.min_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))
            && best.1.abs() <= REACH_S
        {
            offsets.push(best);
        }
    }
    // One tap for a cue: the nearest.
    offsets.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.abs().total_cmp(&b.1.abs())));
    offsets.dedup_by_key(|(cue, _)| *cue);
    let values: Vec<f64> = offsets.iter().map(|(_, offset)| *offset).collect();
    if values.len() < LEAST_TAPS {
        return Err(TapError::TooFew {
            found: values.len(),
        });
    }
    let n = values.len();
    let mut sorted = values.clone();
    sorted.sort_by(f64::total_cmp);
    let edge = from_the_end(n);
    Ok(Delay {
        median_s: median(values).unwrap_or_default(),
        interval_s: (sorted[edge], sorted[n - 1 - edge]),
        used: n,
        left_out: taps_s.len() - n,
    })
}

/// Returns how many taps may be left out at either end: the most with which a median lies beyond
/// with a chance of at most [`TAIL`].
fn from_the_end(n: usize) -> usize {
    // The chance of exactly k of n coins, k from 0 up.
    let mut exactly = 0.5_f64.powi(i32::try_from(n).unwrap_or(i32::MAX));
    let (mut beyond, mut k) = (0.0, 0);
    while k < n / 2 && beyond + exactly <= TAIL {
        beyond += exactly;
        exactly *= (n - k) as f64 / (k + 1) as f64;
        k += 1;
    }
    k.saturating_sub(1)
}
