//! A recording at the working rate: brought to 8,000 samples a second, kept on the caller's scratch.
//! Memory does not grow with the length: the scratch may be a file.

mod resample;
mod scratch;

pub use scratch::Scratch;

use std::io::{Read, Seek, Write};

use resample::ToWorkingRate;

use crate::error::ListenError;
use crate::read::Recording;

/// Samples per second at which everything is listened to. Cues and codes lie below 3.6 kHz, and a
/// telephone gives no more.
pub const WORKING_RATE: u32 = 8_000;

/// Reads a whole recording: keeps it on the scratch and shows each block to `each`.
pub fn take<F: Read + Write + Seek>(
    recording: &mut Recording,
    file: F,
    mut each: impl FnMut(&[f32]),
) -> Result<Scratch<F>, ListenError> {
    let mut scratch = Scratch::new(file)?;
    let mut resampler = ToWorkingRate::new(recording.rate())?;
    let mut block = Vec::new();
    let mut working = Vec::new();
    loop {
        block.clear();
        let more = recording.next(&mut block)?;
        working.clear();
        if more {
            resampler.push(&block, &mut working)?;
        } else {
            resampler.finish(&mut working)?;
        }
        scratch.append(&working)?;
        each(&working);
        if !more {
            scratch.complete()?;
            return Ok(scratch);
        }
    }
}
