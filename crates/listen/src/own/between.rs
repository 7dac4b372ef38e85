//! A sampled curve between its samples: a windowed sinc, eight places to the sample.
//! Cues have partials up to 3.5 kHz: at 8,000 samples a second a peak may hide between two.

use std::f64::consts::PI;
use std::ops::Range;

/// Places to a sample.
const FINE: usize = 8;
/// Samples used on either side.
const HALF: usize = 16;
/// Beside samples smaller than this share of the largest no peak is looked for: between two
/// samples a partial of 3.5 kHz loses at most four fifths, and the others far less.
const SHARE: f32 = 0.35;

/// The interpolator, made once.
pub(super) struct Between {
    kernels: [[f32; 2 * HALF]; FINE],
}

impl Between {
    pub fn new() -> Self {
        let kernel = |phase: usize| {
            let shift = phase as f64 / FINE as f64;
            std::array::from_fn(|i| {
                // Tap i stands at sample i − (HALF − 1) from the one before the place.
                let x = i as f64 - (HALF as f64 - 1.0) - shift;
                let window = (PI * x / (2.0 * HALF as f64)).cos().max(0.0).powi(2);
                let sinc = if x.abs() < 1e-9 {
                    1.0
                } else {
                    (PI * x).sin() / (PI * x)
                };
                (window * sinc) as f32
            })
        };
        Self {
            kernels: std::array::from_fn(kernel),
        }
    }

    /// Returns the place and the height of the largest value by size within a range of samples.
    pub fn peak(&self, curve: &[f32], within: Range<usize>) -> (f64, f32) {
        let largest = curve[within.clone()]
            .iter()
            .fold(0.0_f32, |m, c| m.max(c.abs()));
        let mut best = (within.start * FINE, 0.0_f32);
        for n in within {
            let beside = curve.get(n + 1).map_or(0.0, |c| c.abs());
            if curve[n].abs().max(beside) < SHARE * largest {
                continue;
            }
            for phase in 0..FINE {
                let height = self.value(curve, n * FINE + phase).abs();
                if height > best.1 {
                    best = (n * FINE + phase, height);
                }
            }
        }
        let (place, height) = best;
        let beside = |p: usize| self.value(curve, p).abs();
        let (left, right) = (beside(place.saturating_sub(1)), beside(place + 1));
        let bend = left - 2.0 * height + right;
        let shift = if bend < 0.0 {
            0.5 * (left - right) / bend
        } else {
            0.0
        };
        let shift = f64::from(shift.clamp(-1.0, 1.0));
        ((place as f64 + shift) / FINE as f64, height)
    }

    /// Returns the value at a place counted in eighths of a sample.
    fn value(&self, curve: &[f32], place: usize) -> f32 {
        let (n, kernel) = (place / FINE, &self.kernels[place % FINE]);
        let first = n as i64 - (HALF as i64 - 1);
        match usize::try_from(first) {
            Ok(first) if first + 2 * HALF <= curve.len() => {
                let (taps, _) = curve[first..first + 2 * HALF].as_chunks::<8>();
                let (kernel, _) = kernel.as_chunks::<8>();
                let mut sums = [0.0_f32; 8];
                for (tap, k) in taps.iter().zip(kernel) {
                    for i in 0..8 {
                        sums[i] += tap[i] * k[i];
                    }
                }
                sums.iter().sum()
            }
            _ => {
                let at = |i: usize| usize::try_from(first + i as i64).ok();
                let taps = (0..2 * HALF).map(|i| at(i).and_then(|n| curve.get(n)).copied());
                taps.zip(kernel)
                    .map(|(tap, k)| tap.unwrap_or(0.0) * k)
                    .sum()
            }
        }
    }
}
