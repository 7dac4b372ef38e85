//! Delay found by tapping along: how much later than the screen says the sound is heard.
//! People tap early by habit; the delay is good to that habit, and the interval says how steady.

use thiserror::Error;

/// Fewest taps that are used.
pub const LEAST_TAPS: usize = 8;
/// Largest distance of a tap from its cue, s.
pub const REACH_S: f64 = 0.75;
/// Resamples of the bootstrap.
const RESAMPLES: usize = 2_000;

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
/// The interval is the percentile bootstrap of the median (Efron 1979, Ann. Stat. 7:1–26), with
/// random numbers that are the same each time.
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
    let mut medians: Vec<f64> = (0..RESAMPLES as u64)
        .map(|round| {
            let draw = |i: usize| {
                let bits = mix(round * 1_000_003 + i as u64);
                values[usize::try_from(bits % n as u64).unwrap_or(0)]
            };
            median((0..n).map(draw).collect())
        })
        .collect();
    medians.sort_by(f64::total_cmp);
    let edge = RESAMPLES / 40;
    Ok(Delay {
        median_s: median(values),
        interval_s: (medians[edge], medians[RESAMPLES - 1 - edge]),
        used: n,
        left_out: taps_s.len() - n,
    })
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    let n = values.len();
    if n % 2 == 1 {
        values[n / 2]
    } else {
        f64::midpoint(values[n / 2 - 1], values[n / 2])
    }
}

/// Numbers that look random: the finaliser of splitmix64 (Steele, Lea and Flood 2014).
const fn mix(counter: u64) -> u64 {
    let z = counter.wrapping_mul(0x9e37_79b9_7f4a_7c15);
    let z = (z ^ z >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let z = (z ^ z >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ z >> 31
}
