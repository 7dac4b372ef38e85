//! The tone code as sound: fifteen short tones of sixteen pitches, phase starting anew in each.
//! Pitches lie in the telephone band, so that a phone's microphone and its call path keep them.

use std::f64::consts::TAU;

use super::word::{SYMBOLS, Word};

/// Length of one tone, ms.
pub const SYMBOL_MS: u32 = 20;
/// Length of the rise and of the fall of one tone, ms; a raised cosine.
pub const EDGE_MS: u32 = 3;
/// Number of pitches.
pub const TONES: usize = 16;
/// Lowest pitch, Hz.
pub const FIRST_HZ: u32 = 1_125;
/// Step from one pitch to the next, Hz.
pub const SPACING_HZ: u32 = 125;

/// Returns the pitch of a tone, Hz.
pub fn frequency(tone: u8) -> f64 {
    f64::from(FIRST_HZ + SPACING_HZ * u32::from(tone))
}

/// The sixteen tones at one sampling rate, made once.
#[derive(Debug, Clone)]
pub struct Toner {
    tones: Vec<Vec<f32>>,
}

impl Toner {
    /// Makes the tones; the rate is in samples per second, at least 8,000.
    pub fn new(rate: u32) -> Self {
        let length = (rate * SYMBOL_MS / 1000) as usize;
        let edge = f64::from(rate * EDGE_MS) / 1000.0;
        let tone = |number: u8| {
            let step = TAU * frequency(number) / f64::from(rate);
            let sample = |i: usize| {
                let from_end = i.min(length - 1 - i) as f64 + 0.5;
                let rise = (from_end / edge).min(1.0);
                let envelope = 0.5 - 0.5 * (std::f64::consts::PI * rise).cos();
                (envelope * (step * i as f64).sin()) as f32
            };
            (0..length).map(sample).collect()
        };
        Self {
            tones: (0..TONES as u8).map(tone).collect(),
        }
    }

    /// Returns the length of a whole code, samples.
    pub fn samples(&self) -> usize {
        self.tones.first().map_or(0, Vec::len) * SYMBOLS
    }

    /// Returns a word as sound, amplitude 1.
    pub fn render(&self, word: &Word) -> Vec<f32> {
        let tones = word.tones().iter();
        tones
            .flat_map(|tone| self.tones[*tone as usize].iter().copied())
            .collect()
    }
}

impl Word {
    /// Returns the word as sound at any rate, such as that of a recording of a track played too
    /// slowly: samples a second of the track's own time.
    pub fn sound(&self, rate: f64) -> Vec<f32> {
        let (symbol, edge) = (f64::from(SYMBOL_MS) / 1000.0, f64::from(EDGE_MS) / 1000.0);
        let length = (symbol * SYMBOLS as f64 * rate).round() as usize;
        let sample = |i: usize| {
            let t = i as f64 / rate;
            let place = ((t / symbol) as usize).min(SYMBOLS - 1);
            let within = t - place as f64 * symbol;
            let rise = (within.min(symbol - within).max(0.0) / edge).min(1.0);
            let envelope = 0.5 - 0.5 * (std::f64::consts::PI * rise).cos();
            let hz = frequency(self.tones()[place]);
            (envelope * (TAU * hz * within).sin()) as f32
        };
        (0..length).map(sample).collect()
    }
}
