//! Where pips begin in a recording, without knowing the pip: steady tones that rise out of the
//! background. Does not resample and does not decide what was played. Numbers are ours.

mod family;
mod spectrum;
mod tone;

pub use family::{Family, families};

use spectrum::{Frame, Spectrum};
use tone::Tones;

/// Sample rate of the blocks, hertz.
pub const RATE: f64 = 8_000.0;

/// A pip.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Onset {
    /// When it begins: half its amplitude reached, seconds from the first sample.
    pub time_s: f64,
    /// Mean power over the local background in its band of about 45 Hz, decibels.
    pub strength_db: f64,
    /// Frequency, hertz, 400 to 3 800.
    pub frequency_hz: f64,
    /// Half amplitude to half amplitude, seconds, 0.04 or more.
    pub length_s: f64,
}

/// Finds pips in a stream of mono blocks at [`RATE`], in bounded memory.
#[derive(Debug)]
pub struct OnsetFinder {
    spectrum: Spectrum,
    tones: Tones,
    frame: Frame,
}

impl Default for OnsetFinder {
    fn default() -> Self {
        Self::new()
    }
}

impl OnsetFinder {
    /// Makes a finder at the beginning of a recording.
    pub fn new() -> Self {
        Self {
            spectrum: Spectrum::new(),
            tones: Tones::default(),
            frame: Frame::default(),
        }
    }

    /// Takes the next samples, -1 to 1, and returns the pips that have ended.
    ///
    /// A sample that is not a number counts as silence.
    pub fn push(&mut self, samples: &[f32]) -> Vec<Onset> {
        let mut found = Vec::new();
        for sample in samples {
            if self.spectrum.push(f64::from(*sample), &mut self.frame) {
                self.tones.push(&self.frame, &mut found);
            }
        }
        found
    }

    /// Ends the stream and returns the last pips.
    pub fn finish(mut self) -> Vec<Onset> {
        let silence = [0.0f32; spectrum::WINDOW];
        let mut found = self.push(&silence);
        self.tones.finish(&mut found);
        found
    }
}

/// Returns the pips of a whole recording at [`RATE`], by time.
pub fn find(samples: &[f32]) -> Vec<Onset> {
    let mut finder = OnsetFinder::new();
    let mut found = finder.push(samples);
    found.extend(finder.finish());
    found.sort_by(|x, y| x.time_s.total_cmp(&y.time_s));
    found
}
