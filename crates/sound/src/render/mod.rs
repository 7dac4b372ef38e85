//! A plan as samples, block by block: memory does not grow with the length of a track.
//! Must not touch a file: the caller gives a sink.

mod bed;
mod loudness;
mod pieces;

use std::convert::Infallible;

use crate::code::Toner;
use crate::plan::Plan;

pub use loudness::{Levels, measure};

use bed::Bed;
use pieces::{Shapes, pieces};

/// What takes the samples of a track, in order.
pub trait Sink {
    /// Why it could not take them.
    type Error;
    /// Takes samples of one channel.
    fn write(&mut self, samples: &[i16]) -> Result<(), Self::Error>;
    /// Takes a number of samples of digital silence.
    fn silence(&mut self, samples: u64) -> Result<(), Self::Error>;
}

/// Samples in memory, for short tracks and tests.
impl Sink for Vec<i16> {
    type Error = Infallible;

    fn write(&mut self, samples: &[i16]) -> Result<(), Infallible> {
        self.extend_from_slice(samples);
        Ok(())
    }

    fn silence(&mut self, samples: u64) -> Result<(), Infallible> {
        let length = self.len() + usize::try_from(samples).unwrap_or(usize::MAX);
        self.resize(length, 0);
        Ok(())
    }
}

/// Longest block handed to a sink, samples.
const BLOCK: usize = 1 << 14;

/// Writes a track with a gain in dB, as [`measure`] found it.
pub fn render<S: Sink>(plan: &Plan, gain_db: f64, sink: &mut S) -> Result<(), S::Error> {
    let gain = 10_f64.powf(gain_db / 20.0) as f32;
    let mut out = Out {
        sink,
        bed: plan.bed.then(|| Bed::new(plan.rate)),
        at: 0,
        block: Vec::with_capacity(BLOCK),
    };
    each_cluster(plan, |start, mix| {
        out.fill(start - out.at)?;
        out.sounds(mix, gain)
    })?;
    out.fill(plan.samples - out.at)
}

/// Calls with each stretch of overlapping or touching sounds, unscaled, and where it starts.
fn each_cluster<E>(
    plan: &Plan,
    mut take: impl FnMut(u64, &[f32]) -> Result<(), E>,
) -> Result<(), E> {
    let pieces = pieces(plan);
    let shapes = Shapes::new(plan);
    let toner = Toner::new(plan.rate);
    let mut mix: Vec<f32> = Vec::new();
    let mut rest = pieces.as_slice();
    while let Some(first) = rest.first() {
        let mut end = first.end();
        let count = rest
            .iter()
            .take_while(|piece| {
                let joined = piece.start <= end;
                end = if joined { end.max(piece.end()) } else { end };
                joined
            })
            .count();
        let (cluster, later) = rest.split_at(count);
        let end = end.min(plan.samples);
        mix.clear();
        mix.resize(usize::try_from(end - first.start).unwrap_or(0), 0.0);
        for piece in cluster {
            let at = usize::try_from(piece.start - first.start).unwrap_or(0);
            piece.add_to(&mut mix[at..], &shapes, &toner);
        }
        take(first.start, &mix)?;
        rest = later;
    }
    Ok(())
}

struct Out<'a, S> {
    sink: &'a mut S,
    bed: Option<Bed>,
    at: u64,
    block: Vec<i16>,
}

impl<S: Sink> Out<'_, S> {
    /// Nothing sounds: silence, or the bed alone.
    fn fill(&mut self, samples: u64) -> Result<(), S::Error> {
        if self.bed.is_none() {
            self.at += samples;
            return if samples > 0 {
                self.sink.silence(samples)
            } else {
                Ok(())
            };
        }
        let zeros = [0.0_f32; 4096];
        let mut left = samples;
        while left > 0 {
            let now = usize::try_from(left).unwrap_or(usize::MAX).min(zeros.len());
            self.sounds(&zeros[..now], 1.0)?;
            left -= now as u64;
        }
        Ok(())
    }

    fn sounds(&mut self, mix: &[f32], gain: f32) -> Result<(), S::Error> {
        for part in mix.chunks(BLOCK) {
            self.block.clear();
            match &self.bed {
                None => self.block.extend(part.iter().map(|x| to_i16(x * gain))),
                Some(bed) => {
                    let with_bed = part.iter().zip(bed.from(self.at));
                    self.block
                        .extend(with_bed.map(|(x, b)| to_i16(x * gain + b)));
                }
            }
            self.at += part.len() as u64;
            self.sink.write(&self.block)?;
        }
        Ok(())
    }
}

/// Rounds to sixteen bits; beyond full scale is held there.
fn to_i16(x: f32) -> i16 {
    // The cast saturates.
    (x * 32_767.0).round() as i16
}
