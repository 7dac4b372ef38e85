//! Short spectra of 32 ms every 4 ms, with a running median of each band as the background.
//! Does not look for tones.

use std::f64::consts::TAU;
use std::sync::Arc;

use realfft::num_complex::Complex;
use realfft::{RealFftPlanner, RealToComplex};

use crate::onsets::RATE;

/// Samples of a window: 32 ms.
pub(crate) const WINDOW: usize = 256;
/// Samples from window to window: 4 ms.
pub(crate) const HOP: usize = 32;
/// Seconds from window to window.
pub(crate) const STEP: f64 = HOP as f64 / RATE;
/// Bands of a spectrum.
pub(crate) const BANDS: usize = WINDOW / 2 + 1;
/// Width of a band, hertz.
pub(crate) const WIDTH: f64 = RATE / WINDOW as f64;
/// Windows from which the first background is taken: half a second.
const LEARN: usize = 125;
/// How fast the background moves towards the median, decibels a window: 5 dB a second, so a pip
/// of a quarter second lifts it little and a change of place is learnt in some seconds.
const CREEP: f64 = 0.02;
/// Power below which everything is silence, decibels: below the noise of 16 bit samples.
const FLOOR: f64 = -95.0;

/// A spectrum and what is usual there.
#[derive(Debug, Clone)]
pub(crate) struct Frame {
    /// Middle of the window, seconds.
    pub time: f64,
    /// Power of each band, decibels; a full-scale sine has about 0.
    pub power: [f64; BANDS],
    /// Background of each band, decibels.
    pub usual: [f64; BANDS],
}

impl Default for Frame {
    fn default() -> Self {
        Self {
            time: 0.0,
            power: [FLOOR; BANDS],
            usual: [FLOOR; BANDS],
        }
    }
}

/// Turns samples into frames.
pub(crate) struct Spectrum {
    fft: Arc<dyn RealToComplex<f64>>,
    shape: [f64; WINDOW],
    ring: [f64; WINDOW],
    filled: u64,
    input: Vec<f64>,
    output: Vec<Complex<f64>>,
    usual: [f64; BANDS],
    first: Vec<[f64; BANDS]>,
}

impl std::fmt::Debug for Spectrum {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Spectrum")
            .field("filled", &self.filled)
            .finish_non_exhaustive()
    }
}

impl Spectrum {
    /// Makes a spectrum at the first sample.
    pub fn new() -> Self {
        let fft = RealFftPlanner::<f64>::new().plan_fft_forward(WINDOW);
        let mut shape = [0.0; WINDOW];
        for (k, s) in shape.iter_mut().enumerate() {
            // Hann, so that a full-scale sine in the middle of a band has power 1.
            let w = 0.5 - 0.5 * (TAU * (k as f64 + 0.5) / WINDOW as f64).cos();
            *s = 4.0 * w / WINDOW as f64;
        }
        Self {
            input: fft.make_input_vec(),
            output: fft.make_output_vec(),
            fft,
            shape,
            ring: [0.0; WINDOW],
            filled: 0,
            usual: [FLOOR; BANDS],
            first: Vec::with_capacity(LEARN),
        }
    }

    /// Takes one sample; returns whether a frame was filled.
    pub fn push(&mut self, sample: f64, frame: &mut Frame) -> bool {
        let at = (self.filled % WINDOW as u64) as usize;
        self.ring[at] = if sample.is_finite() { sample } else { 0.0 };
        self.filled += 1;
        if self.filled < WINDOW as u64 || !self.filled.is_multiple_of(HOP as u64) {
            return false;
        }
        let from = (self.filled % WINDOW as u64) as usize;
        for (k, slot) in self.input.iter_mut().enumerate() {
            *slot = self.ring[(from + k) % WINDOW] * self.shape[k];
        }
        // The lengths are the plan's own, so this cannot fail; silence stands if it does.
        if self.fft.process(&mut self.input, &mut self.output).is_err() {
            return false;
        }
        for (p, c) in frame.power.iter_mut().zip(&self.output) {
            *p = (10.0 * c.norm_sqr().log10()).max(FLOOR);
        }
        frame.time = (self.filled as f64 - WINDOW as f64 / 2.0) / RATE;
        self.learn(&frame.power);
        frame.usual = self.usual;
        true
    }

    /// Moves the background.
    fn learn(&mut self, power: &[f64; BANDS]) {
        if self.first.len() < LEARN {
            self.first.push(*power);
            let n = self.first.len();
            // The median so far every few windows, then the last time.
            if n.is_multiple_of(25) || n == 5 {
                let mut column = Vec::with_capacity(n);
                for (band, usual) in self.usual.iter_mut().enumerate() {
                    column.clear();
                    column.extend(self.first.iter().map(|row| row[band]));
                    column.sort_unstable_by(f64::total_cmp);
                    *usual = column[n / 2];
                }
            }
            return;
        }
        for (usual, p) in self.usual.iter_mut().zip(power) {
            *usual += if p > usual { CREEP } else { -CREEP };
        }
    }
}
