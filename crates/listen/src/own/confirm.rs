//! Each expected cue looked for where it should be, with the very sound it should have.
//! A matched filter (North 1963, Proc. IEEE 51:1016–1027), refined between samples.

use std::io::{Read, Seek, Write};
use std::sync::Arc;

use plimsoll_sound::{CODE_GAP_MS, CODE_LEVEL, Sound, Word};
use realfft::num_complex::Complex;
use realfft::{ComplexToReal, RealFftPlanner, RealToComplex};

use super::between::Between;
use crate::error::ListenError;
use crate::intake::{Scratch, WORKING_RATE};

/// Samples looked at for one cue, and the size of the transform.
const WINDOW: usize = 8192;
/// How far from the expected place a cue may be, samples: 60 ms.
const REACH: usize = 480;
/// How many times the usual correlation a cue must reach. Noise gets beyond 5.5 once in 25,000
/// windows.
const LEAST: f32 = 5.5;
/// Or how much of the sound there it must explain, as a correlation coefficient: a clear cue has no
/// noise beside it to be compared with.
pub(super) const CLEAR: f32 = 0.5;
/// Least share of the power that came with a cue which the cue explains: another cue than the one
/// looked for explains little of itself.
const MOST: f64 = 0.3;
/// Background before a cue: from and to before its onset, samples. Speech keeps clear of it.
const BEFORE: (usize, usize) = (1840, 160);
/// Level given where there is no background at all, dB.
const SILENT_DB: f64 = 90.0;

/// A cue found.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Found {
    /// Onset, s from the beginning of the recording.
    pub at_s: f64,
    /// Level above the background, dB.
    pub level_db: f64,
    /// Share of the sound there that it explains, as a correlation coefficient.
    pub alike: f32,
    /// Height against the sound as rendered.
    pub amplitude: f64,
}

/// Looks for cues.
pub(crate) struct Confirmer {
    forward: Arc<dyn RealToComplex<f32>>,
    back: Arc<dyn ComplexToReal<f32>>,
    spectrum: Vec<Complex<f32>>,
    other: Vec<Complex<f32>>,
    samples: Vec<f32>,
    work: Vec<f32>,
    correlation: Vec<f32>,
    between: Between,
    sizes: Vec<f32>,
}

impl Confirmer {
    pub fn new() -> Self {
        let mut planner = RealFftPlanner::new();
        let forward = planner.plan_fft_forward(WINDOW);
        let back = planner.plan_fft_inverse(WINDOW);
        Self {
            spectrum: forward.make_output_vec(),
            other: forward.make_output_vec(),
            samples: vec![0.0; WINDOW],
            work: vec![0.0; WINDOW],
            correlation: vec![0.0; WINDOW],
            between: Between::new(),
            sizes: Vec::with_capacity(WINDOW),
            forward,
            back,
        }
    }

    /// Looks for a cue with its code near an instant, played `rate` times as slowly.
    pub fn look<F: Read + Write + Seek>(
        &mut self,
        scratch: &mut Scratch<F>,
        sound: Sound,
        word: &Word,
        expected_s: f64,
        rate: f64,
    ) -> Result<Option<Found>, ListenError> {
        let (template, power) = template(sound, word, rate);
        let used = template.len().min(WINDOW - 4 * REACH);
        // The expected onset lies in the middle of the lags.
        let lags = WINDOW - used;
        let centre = lags / 2;
        let working = f64::from(WORKING_RATE);
        let first = (expected_s * working).round() as i64 - centre as i64;
        scratch.read(first, &mut self.samples)?;
        self.correlate(&template[..used]);
        let correlation = &self.correlation[..lags];
        let usual = usual(correlation, &mut self.sizes);
        let (at, height) = self
            .between
            .peak(correlation, centre - REACH..centre + REACH);
        let peak = (at.round() as usize).min(lags - 1);
        let strength = if usual > 0.0 { height / usual } else { 0.0 };
        let energy: f32 = template[..used].iter().map(|x| x * x).sum();
        let there: f32 = self.samples[peak..peak + used].iter().map(|x| x * x).sum();
        let alike = if there > 0.0 {
            height / (energy * there).sqrt()
        } else {
            0.0
        };
        let amplitude = f64::from(height / energy);
        let onset = first + at.round() as i64;
        let background = background(scratch, onset)?;
        if alike < CLEAR {
            // In noise: it stands out, and it is most of what came with it.
            let explained = amplitude * amplitude * f64::from(energy) / used as f64;
            let came = above_700_hz(&self.samples[peak..peak + used]) - background;
            if strength < LEAST || explained < MOST * came {
                return Ok(None);
            }
        }
        let level_db = level_db(amplitude * amplitude * power, background);
        Ok(Some(Found {
            at_s: (first as f64 + at) / working,
            level_db,
            alike,
            amplitude,
        }))
    }

    /// Correlates what was read with a template; lag n is the template beginning at sample n.
    fn correlate(&mut self, template: &[f32]) {
        let scale = 1.0 / WINDOW as f32;
        self.work.copy_from_slice(&self.samples);
        // The lengths are those the plan was made with, so that neither transform can refuse.
        let heard = self.forward.process(&mut self.work, &mut self.spectrum);
        self.work.fill(0.0);
        self.work[..template.len()].copy_from_slice(template);
        let wanted = self.forward.process(&mut self.work, &mut self.other);
        for (heard, wanted) in self.spectrum.iter_mut().zip(&self.other) {
            *heard = *heard * wanted.conj() * scale;
        }
        // Both ends of a real spectrum are real.
        if let Some(first) = self.spectrum.first_mut() {
            first.im = 0.0;
        }
        if let Some(last) = self.spectrum.last_mut() {
            last.im = 0.0;
        }
        let back = self.back.process(&mut self.spectrum, &mut self.correlation);
        debug_assert!(heard.is_ok() && wanted.is_ok() && back.is_ok());
    }
}

/// Returns the mean power above 700 Hz just before an onset.
fn background<F: Read + Write + Seek>(
    scratch: &mut Scratch<F>,
    onset: i64,
) -> Result<f64, ListenError> {
    let mut before = vec![0.0; BEFORE.0 - BEFORE.1];
    scratch.read(onset - BEFORE.0 as i64, &mut before)?;
    Ok(above_700_hz(&before))
}

/// Returns the level of a cue of this power above a background, dB.
fn level_db(power: f64, background: f64) -> f64 {
    if background <= power * 1e-9 {
        return SILENT_DB;
    }
    (10.0 * (power / background).log10()).min(SILENT_DB)
}

/// Returns the usual size of a correlation, as the standard deviation of noise with its median: the
/// cue's own correlation beside its peak is large, and a median does not mind.
fn usual(correlation: &[f32], sizes: &mut Vec<f32>) -> f32 {
    /// Median of the size of a normal variable of unit variance.
    const MEDIAN: f32 = 0.674_49;
    sizes.clear();
    sizes.extend(correlation.iter().map(|c| c.abs()));
    let middle = sizes.len() / 2;
    if sizes.is_empty() {
        return 0.0;
    }
    let (_, median, _) = sizes.select_nth_unstable_by(middle, f32::total_cmp);
    *median / MEDIAN
}

/// Returns a cue with its code as it sounds in the recording, and the mean power of the cue alone.
fn template(sound: Sound, word: &Word, rate: f64) -> (Vec<f32>, f64) {
    let mut template = sound.render(WORKING_RATE, rate);
    let power =
        template.iter().map(|x| f64::from(x * x)).sum::<f64>() / template.len().max(1) as f64;
    let played = f64::from(WORKING_RATE) * rate;
    let from = f64::from(sound.length_ms() + CODE_GAP_MS) / 1000.0 * played;
    template.resize(from.round() as usize, 0.0);
    template.extend(word.sound(played).iter().map(|x| x * CODE_LEVEL));
    (template, power)
}

/// Returns the mean power above 700 Hz: a second-order Butterworth high-pass by the bilinear
/// transform, its first samples left out.
fn above_700_hz(samples: &[f32]) -> f64 {
    let k = (std::f64::consts::PI * 700.0 / f64::from(WORKING_RATE)).tan();
    let root = std::f64::consts::SQRT_2;
    let norm = 1.0 / (1.0 + root * k + k * k);
    let (b0, a1, a2) = (
        norm,
        2.0 * (k * k - 1.0) * norm,
        (1.0 - root * k + k * k) * norm,
    );
    let (mut x1, mut x2, mut y1, mut y2) = (0.0, 0.0, 0.0, 0.0);
    let settle = 80;
    let mut sum = 0.0;
    for (i, sample) in samples.iter().enumerate() {
        let x = f64::from(*sample);
        let y = b0 * (x - 2.0 * x1 + x2) - a1 * y1 - a2 * y2;
        (x2, x1, y2, y1) = (x1, x, y1, y);
        if i >= settle {
            sum += y * y;
        }
    }
    sum / samples.len().saturating_sub(settle).max(1) as f64
}
