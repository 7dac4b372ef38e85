//! Any sampling rate to the working rate, in step: sample n stands for the instant n / 8,000 s.
//! The filtering is rubato's; here its delay is taken off and its fixed blocks are filled.

use rubato::audioadapter_buffers::direct::SequentialSlice;
use rubato::{Fft, FixedSync, Resampler};

use super::WORKING_RATE;
use crate::error::ListenError;

/// Frames in one block, at least.
const CHUNK: usize = 4096;

/// Returns a block length that is an even number of the shortest blocks with whole samples on both
/// sides: the filter's delay is then a whole number of samples.
fn chunk(rate: usize) -> usize {
    let working = WORKING_RATE as usize;
    let (mut a, mut b) = (rate, working);
    while b > 0 {
        (a, b) = (b, a % b);
    }
    let shortest = rate / a;
    2 * shortest * CHUNK.div_ceil(2 * shortest)
}

/// Brings a stream to the working rate.
pub(super) struct ToWorkingRate {
    /// Nothing when the rate is the working rate already.
    inner: Option<Fft<f32>>,
    rate: u32,
    waiting: Vec<f32>,
    out: Vec<f32>,
    /// Samples still to be dropped from the front: the delay of the filter.
    drop: usize,
    taken: u64,
    given: u64,
}

impl ToWorkingRate {
    pub fn new(rate: u32) -> Result<Self, ListenError> {
        let inner = if rate == WORKING_RATE {
            None
        } else {
            let made = Fft::<f32>::new(
                rate as usize,
                WORKING_RATE as usize,
                chunk(rate as usize),
                1,
                FixedSync::Both,
            );
            Some(made.map_err(|e| ListenError::Resample(e.to_string()))?)
        };
        let drop = inner.as_ref().map_or(0, Resampler::output_delay);
        Ok(Self {
            inner,
            rate,
            waiting: Vec::new(),
            out: Vec::new(),
            drop,
            taken: 0,
            given: 0,
        })
    }

    /// Takes a block and appends what is ready.
    pub fn push(&mut self, block: &[f32], to: &mut Vec<f32>) -> Result<(), ListenError> {
        self.taken += block.len() as u64;
        let Some(inner) = &mut self.inner else {
            to.extend_from_slice(block);
            return Ok(());
        };
        self.waiting.extend_from_slice(block);
        let mut used = 0;
        let need = inner.input_frames_next();
        self.out.resize(inner.output_frames_max(), 0.0);
        while self.waiting.len() - used >= need {
            let input = &self.waiting[used..used + need];
            let made = step(inner, input, &mut self.out)?;
            used += need;
            let made = &self.out[..made];
            let skip = self.drop.min(made.len());
            self.drop -= skip;
            self.given += (made.len() - skip) as u64;
            to.extend_from_slice(&made[skip..]);
        }
        self.waiting.drain(..used);
        Ok(())
    }

    /// Gives what is left, so that as long a sound comes out as went in.
    pub fn finish(&mut self, to: &mut Vec<f32>) -> Result<(), ListenError> {
        if self.inner.is_none() {
            return Ok(());
        }
        let (taken, wanted) = (
            self.taken,
            self.taken * u64::from(WORKING_RATE) / u64::from(self.rate),
        );
        let zeros = vec![0.0; CHUNK * 4];
        while self.given < wanted {
            self.push(&zeros, to)?;
        }
        let over = usize::try_from(self.given - wanted).unwrap_or(0);
        to.truncate(to.len().saturating_sub(over));
        self.taken = taken;
        Ok(())
    }
}

fn step(inner: &mut Fft<f32>, input: &[f32], out: &mut [f32]) -> Result<usize, ListenError> {
    let wrong = |e: String| ListenError::Resample(e);
    let frames = out.len();
    let input = SequentialSlice::new(input, 1, input.len()).map_err(|e| wrong(e.to_string()))?;
    let mut output = SequentialSlice::new_mut(out, 1, frames).map_err(|e| wrong(e.to_string()))?;
    let (_, made) = inner
        .process_into_buffer(&input, &mut output, None)
        .map_err(|e| wrong(e.to_string()))?;
    Ok(made)
}
