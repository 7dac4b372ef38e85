//! A clip at another sample rate, with rubato's synchronous FFT resampler.

use rubato::audioadapter_buffers::owned::InterleavedOwned;
use rubato::{Fft, FixedSync, Resampler};

/// Frames in one block: short enough for clips of a few tenths of a second.
const CHUNK: usize = 1024;

/// Returns how many samples a clip of `length` has at another rate.
pub(super) fn length(length: usize, from: u32, to: u32) -> usize {
    (length as u64 * u64::from(to)).div_ceil(u64::from(from)) as usize
}

/// Returns the clip at the rate `to`, with exactly [`length`] samples, or `None` when rubato refuses the rates.
pub(super) fn resample(samples: &[f32], from: u32, to: u32) -> Option<Vec<f32>> {
    if from == to {
        return Some(samples.to_vec());
    }
    let frames = samples.len();
    let mut resampler =
        Fft::<f32>::new(from as usize, to as usize, CHUNK, 1, FixedSync::Both).ok()?;
    let input = InterleavedOwned::new_from(samples.to_vec(), 1, frames).ok()?;
    let mut output = resampler
        .process_all(&input, frames, None)
        .ok()?
        .take_data();
    output.resize(length(frames, from, to), 0.0);
    Some(output)
}
