//! Tones that hold their frequency for 40 ms or more and stand alone in the spectrum.
//! Does not group them.

use std::collections::VecDeque;

use crate::onsets::Onset;
use crate::onsets::spectrum::{BANDS, Frame, STEP, WIDTH};

/// Bands in which a tone may lie: 400 to 3 800 Hz.
const LOW: usize = 12;
const HIGH: usize = 122;
/// Least power over the background, decibels. A band of white noise exceeds its median by this
/// in one window of 500.
const OVER: f64 = 9.5;
/// Least power over the mean of the bands 3 to 8 away, decibels.
const ALONE: f64 = 7.0;
/// Least part of all power above the background that the tone and its overtones have.
const SHARE: f64 = 0.4;
/// Largest step of the frequency from window to window, hertz.
const STEADY: f64 = 14.0;
/// Largest spread of the frequency over a tone, hertz.
const SPREAD: f64 = 7.5;
/// Windows a tone must hold: with a window of 32 ms a pip of 50 ms fills about 14.
const LEAST: usize = 9;
/// Windows a tone may drop out.
const DROP: usize = 3;
/// Windows after which a tone is background: 3 s.
const MOST: usize = 750;
/// Frames kept to look back for the rise.
const BACK: usize = 12;
/// Shortest pip, seconds.
const SHORTEST: f64 = 0.04;
/// Two tones that begin this near are one sound, seconds.
const TOGETHER: f64 = 0.025;

/// A tone that is sounding.
#[derive(Debug, Clone)]
struct Tone {
    frequency: f64,
    seen: Vec<(f64, f64)>,
    quiet: usize,
    /// Amplitude in its band from before its rise on, with the first time.
    envelope: Vec<f64>,
    from: f64,
    over: f64,
}

/// The tones that are sounding, and the pips found lately.
#[derive(Debug, Default)]
pub(crate) struct Tones {
    open: Vec<Tone>,
    past: VecDeque<[f32; BANDS]>,
    held: Vec<Onset>,
}

impl Tones {
    /// Takes a frame; pips that are certain go to `found`.
    pub fn push(&mut self, frame: &Frame, found: &mut Vec<Onset>) {
        let peaks = peaks(frame);
        for tone in &mut self.open {
            tone.quiet += 1;
            tone.envelope.push(band(&frame.power, tone.frequency));
        }
        for (frequency, over) in peaks {
            let near = self
                .open
                .iter_mut()
                .filter(|t| t.quiet > 0 && (t.frequency - frequency).abs() <= STEADY)
                .min_by(|x, y| {
                    let off = |t: &Tone| (t.frequency - frequency).abs();
                    off(x).total_cmp(&off(y))
                });
            if let Some(tone) = near {
                tone.quiet = 0;
                tone.seen.push((frequency, over));
                tone.over += over;
                let n = tone.seen.len().min(8) as f64;
                tone.frequency += (frequency - tone.frequency) / n;
            } else if self.open.len() < 8 {
                let mut envelope: Vec<f64> = self
                    .past
                    .iter()
                    .map(|power| band(&power.map(f64::from), frequency))
                    .collect();
                let from = frame.time - STEP * envelope.len() as f64;
                envelope.push(band(&frame.power, frequency));
                self.open.push(Tone {
                    frequency,
                    seen: vec![(frequency, over)],
                    quiet: 0,
                    envelope,
                    from,
                    over,
                });
            }
        }
        let held = &mut self.held;
        self.open.retain(|tone| {
            let young = tone.seen.len() < LEAST;
            let ended = tone.quiet > if young { DROP } else { BACK };
            if ended && let Some(onset) = tone.onset() {
                keep(held, onset);
            }
            !ended && tone.envelope.len() < MOST
        });
        self.past.push_back(frame.power.map(|p| p as f32));
        if self.past.len() > BACK {
            self.past.pop_front();
        }
        // A held pip is certain when no open tone can have begun before it.
        let open = self.open.iter().map(|t| t.from).fold(frame.time, f64::min);
        let certain = open - 2.0 * TOGETHER;
        self.held.sort_by(|x, y| x.time_s.total_cmp(&y.time_s));
        let ready = self.held.partition_point(|o| o.time_s < certain);
        found.extend(self.held.drain(..ready));
    }

    /// Ends all tones.
    pub fn finish(&mut self, found: &mut Vec<Onset>) {
        for tone in self.open.drain(..) {
            if let Some(onset) = tone.onset() {
                keep(&mut self.held, onset);
            }
        }
        self.held.sort_by(|x, y| x.time_s.total_cmp(&y.time_s));
        found.append(&mut self.held);
    }
}

/// Keeps a pip, or the stronger of two that begin together.
fn keep(held: &mut Vec<Onset>, onset: Onset) {
    let twin = held
        .iter_mut()
        .find(|o| (o.time_s - onset.time_s).abs() < TOGETHER);
    match twin {
        Some(twin) if twin.strength_db < onset.strength_db => *twin = onset,
        Some(_) => {}
        None => held.push(onset),
    }
}

/// Returns the amplitude in the three bands about a frequency.
fn band(power: &[f64; BANDS], frequency: f64) -> f64 {
    let middle = ((frequency / WIDTH).round() as usize).clamp(1, BANDS - 2);
    let sum: f64 = power[middle - 1..=middle + 1]
        .iter()
        .map(|p| 10f64.powf(p / 10.0))
        .sum();
    sum.sqrt()
}

/// Returns the tones of a frame: frequency in hertz and decibels over the background.
fn peaks(frame: &Frame) -> Vec<(f64, f64)> {
    let mut found = Vec::new();
    let mut linear: Option<([f64; BANDS], f64)> = None;
    for k in LOW..=HIGH {
        let p = frame.power[k];
        let over = p - frame.usual[k];
        if over < OVER || p < frame.power[k - 1] || p <= frame.power[k + 1] {
            continue;
        }
        let (power, excess) = linear.get_or_insert_with(|| {
            let power = frame.power.map(|p| 10f64.powf(p / 10.0));
            let excess = (4..BANDS - 1)
                .map(|k| (power[k] - 1.5 * 10f64.powf(frame.usual[k] / 10.0)).max(0.0))
                .sum();
            (power, excess)
        });
        let beside: f64 = power[k - 8..=k - 3]
            .iter()
            .chain(&power[(k + 3).min(BANDS - 1)..(k + 9).min(BANDS)])
            .sum::<f64>()
            / 12.0;
        if power[k] < beside * 10f64.powf(ALONE / 10.0) {
            continue;
        }
        let around = |m: usize| -> f64 {
            let to = (m + 2).min(BANDS - 1);
            power.get(m - 2..=to).map_or(0.0, |b| b.iter().sum())
        };
        let overtones: f64 = (1..=3)
            .map(|n| n * k)
            .filter(|m| *m < BANDS - 1)
            .map(around)
            .sum();
        if overtones < SHARE * *excess {
            continue;
        }
        let [x, y, z] = [frame.power[k - 1], p, frame.power[k + 1]];
        let bend = x - 2.0 * y + z;
        let shift = if bend < 0.0 {
            0.5 * (x - z) / bend
        } else {
            0.0
        };
        found.push(((k as f64 + shift) * WIDTH, over));
    }
    found
}

impl Tone {
    /// Returns the pip, or nothing when the tone is short, wanders or has no sharp rise.
    fn onset(&self) -> Option<Onset> {
        let n = self.seen.len();
        if n < LEAST {
            return None;
        }
        let mut all: Vec<f64> = self.seen.iter().map(|s| s.0).collect();
        all.sort_unstable_by(f64::total_cmp);
        let frequency = all[n / 2];
        let mean = all[n / 8..n - n / 8].iter().sum::<f64>() / (n - 2 * (n / 8)) as f64;
        let inner = &all[n / 8..n - n / 8];
        let var = inner.iter().map(|f| (f - mean).powi(2)).sum::<f64>() / inner.len() as f64;
        if var.sqrt() > SPREAD {
            return None;
        }
        let mut sizes = self.envelope.clone();
        sizes.sort_unstable_by(f64::total_cmp);
        // The loud part is about the windows in which the tone was seen.
        let loud = sizes[sizes.len() - 1 - (n / 2).min(sizes.len() - 1)];
        let floor = sizes[sizes.len() / 20];
        // Powers add: what stood there before is taken off the half.
        let half = (0.25 * loud * loud + 0.75 * floor * floor).sqrt();
        let env = &self.envelope;
        let middle = (0..env.len())
            .max_by(|x, y| env[*x].total_cmp(&env[*y]))
            .unwrap_or(0);
        let rise = (1..=middle)
            .rev()
            .find(|k| env[k - 1] < half && env[*k] >= half)?;
        let fall = (middle..env.len() - 1).find(|k| env[*k] >= half && env[k + 1] < half);
        let cross = |k: usize| k as f64 + (half - env[k]) / (env[k + 1] - env[k]);
        let start = self.from + STEP * cross(rise - 1);
        let end = fall.map_or(self.from + STEP * (env.len() - 1) as f64, |k| {
            self.from + STEP * cross(k)
        });
        let length_s = end - start;
        (length_s >= SHORTEST).then_some(Onset {
            time_s: start,
            strength_db: self.over / n as f64,
            frequency_hz: frequency,
            length_s,
        })
    }
}
