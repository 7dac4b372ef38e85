//! The keep-awake bed: a breath of low noise that repeats each second without a seam.
//! Quiet against any crowd, loud enough that a loudspeaker does not take the rest for the end.

use std::f64::consts::TAU;

/// Level, root mean square against full scale: −54 dB.
const LEVEL: f64 = 0.002;
/// Lowest and highest pitch, Hz; whole numbers, so that a second is a whole number of periods.
const FROM_HZ: u32 = 150;
const TO_HZ: u32 = 600;

/// One second of the bed.
pub(super) struct Bed(Vec<f32>);

impl Bed {
    pub fn new(rate: u32) -> Self {
        let tones: Vec<(f64, f64)> = (FROM_HZ..=TO_HZ)
            .step_by(9)
            .enumerate()
            .map(|(i, hz)| {
                // Phases by the golden ratio: spread evenly, so that no peak builds up.
                let phase = (i as f64 * 0.618_033_988_749_895 * (i as f64 + 1.0)).fract();
                (f64::from(hz), phase)
            })
            .collect();
        let level = LEVEL * (2.0 / tones.len() as f64).sqrt();
        let sample = |i: u32| {
            let t = f64::from(i) / f64::from(rate);
            let sum: f64 = tones.iter().map(|(hz, p)| (TAU * (hz * t + p)).sin()).sum();
            (level * sum) as f32
        };
        Self((0..rate).map(sample).collect())
    }

    /// Returns the bed from a sample of the track on, for ever.
    pub fn from(&self, at: u64) -> impl Iterator<Item = f32> {
        let skip = usize::try_from(at % self.0.len().max(1) as u64).unwrap_or(0);
        self.0.iter().copied().cycle().skip(skip)
    }
}
