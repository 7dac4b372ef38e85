//! What playback, air and a cheap recorder do to a track: each as one function, seeded.
//! And how near to the truth a recording of it was heard.

use plimsoll_listen::Heard;
use plimsoll_sound::{CodeKind, Plan, TrackCue};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Sound with its sampling rate.
#[derive(Clone)]
pub(crate) struct Clip {
    pub samples: Vec<f32>,
    pub rate: f64,
}

/// Kinds of background.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Noise {
    White,
    Wind,
    Babble,
}

impl Clip {
    /// Played `slow` times as slowly and recorded at `rate`: a windowed sinc between the samples.
    pub fn recorded(&self, slow: f64, rate: f64) -> Self {
        const HALF: i64 = 24;
        let step = self.rate / rate / slow;
        // Below the narrower of the two bands.
        let band = (1.0 / step).min(1.0) * 0.95;
        let length = (self.samples.len() as f64 / step) as usize;
        let reach = (HALF as f64 / band).ceil() as i64;
        let at = |i: usize| {
            let place = i as f64 * step;
            let middle = place.floor() as i64;
            let (from, to) = (middle - reach, middle + reach);
            // Most of a track is silence, which stays so.
            let mut sum = 0.0;
            for n in from.max(0)..=to.min(self.samples.len() as i64 - 1) {
                let sample = self.samples[n as usize];
                if sample != 0.0 {
                    let x = place - n as f64;
                    let window = (std::f64::consts::FRAC_PI_2 * x / (reach + 1) as f64).cos();
                    let turn = std::f64::consts::PI * x * band;
                    let sinc = if turn.abs() < 1e-9 {
                        1.0
                    } else {
                        turn.sin() / turn
                    };
                    sum += f64::from(sample) * band * sinc * window * window;
                }
            }
            sum as f32
        };
        Self {
            samples: (0..length).map(at).collect(),
            rate,
        }
    }

    /// Silence put in at an instant.
    pub fn paused(mut self, at_s: f64, length_s: f64) -> Self {
        let at = (at_s * self.rate) as usize;
        let zeros = vec![0.0; (length_s * self.rate) as usize];
        self.samples.splice(at..at, zeros);
        self
    }

    /// A stretch taken out.
    pub fn jumped(mut self, at_s: f64, length_s: f64) -> Self {
        let at = (at_s * self.rate) as usize;
        self.samples.drain(at..at + (length_s * self.rate) as usize);
        self
    }

    /// From an instant on, the track again from an earlier instant.
    pub fn restarted(mut self, at_s: f64, from_s: f64) -> Self {
        let (at, from) = ((at_s * self.rate) as usize, (from_s * self.rate) as usize);
        let again = self.samples[from..].to_vec();
        self.samples.truncate(at);
        self.samples.extend(again);
        self
    }

    /// A stretch in which the loudspeaker is silent.
    pub fn dropped(mut self, at_s: f64, length_s: f64) -> Self {
        let at = (at_s * self.rate) as usize;
        let end = at + (length_s * self.rate) as usize;
        self.samples[at..end].fill(0.0);
        self
    }

    /// The second part of the track at another speed.
    pub fn slower_from(&self, at_s: f64, slow: f64) -> Self {
        let at = (at_s * self.rate) as usize;
        let tail = Self {
            samples: self.samples[at..].to_vec(),
            rate: self.rate,
        };
        let mut samples = self.samples[..at].to_vec();
        samples.extend(tail.recorded(slow, self.rate).samples);
        Self {
            samples,
            rate: self.rate,
        }
    }

    /// An echo from a wall: a copy later and weaker.
    pub fn echoed(mut self, after_s: f64, level: f32) -> Self {
        let after = (after_s * self.rate) as usize;
        for i in (after..self.samples.len()).rev() {
            self.samples[i] += level * self.samples[i - after];
        }
        self
    }

    /// A hall: a direct sound and a tail of echoes that fall by 60 dB in `rt60` seconds. The tail
    /// has about 0.4 of the power of the direct sound.
    pub fn in_hall(&self, rt60: f64, seed: u64) -> Self {
        self.in_hall_with(rt60, -4.0, seed)
    }

    /// A hall whose tail has the power of the direct sound and `tail_db` more.
    pub fn in_hall_with(&self, rt60: f64, tail_db: f64, seed: u64) -> Self {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let mut taps: Vec<(usize, f32)> = (0..300)
            .map(|_| {
                let after = random.random::<f64>() * rt60 * 0.8 + 0.004;
                let level =
                    10_f64.powf(-3.0 * after / rt60) * if random.random() { 1.0 } else { -1.0 };
                ((after * self.rate) as usize, level as f32)
            })
            .collect();
        let power: f32 = taps.iter().map(|(_, level)| level * level).sum();
        let gain = (10_f64.powf(tail_db / 20.0) as f32) / power.sqrt();
        for (_, level) in &mut taps {
            *level *= gain;
        }
        let mut out = self.samples.clone();
        for (i, sample) in self.samples.iter().enumerate().filter(|(_, s)| **s != 0.0) {
            for (after, level) in &taps {
                if let Some(to) = out.get_mut(i + after) {
                    *to += sample * level;
                }
            }
        }
        Self {
            samples: out,
            rate: self.rate,
        }
        .unclipped()
    }

    /// A telephone: nothing below 300 Hz or above 3.4 kHz, at 8,000 samples a second.
    pub fn telephone(&self) -> Self {
        let mut clip = self.recorded(1.0, 8_000.0);
        // The resampling above holds 3.8 kHz; one pole each way does the rest.
        let (mut low, mut before) = (0.0_f32, 0.0_f32);
        for sample in &mut clip.samples {
            let high = *sample - before + 0.79 * low;
            (before, low) = (*sample, high);
            *sample = high;
        }
        clip
    }

    /// Background at a level below (+) or above (−) the power of the cues, dB.
    pub fn with_noise(mut self, noise: Noise, snr_db: f64, seed: u64) -> Self {
        let loud: Vec<f32> = self
            .samples
            .iter()
            .copied()
            .filter(|s| s.abs() > 0.05)
            .collect();
        let power = loud.iter().map(|s| f64::from(s * s)).sum::<f64>() / loud.len().max(1) as f64;
        let background = background(noise, self.samples.len(), self.rate, seed);
        let own = background.iter().map(|s| f64::from(s * s)).sum::<f64>()
            / background.len().max(1) as f64;
        let gain = (power / own / 10_f64.powf(snr_db / 10.0)).sqrt() as f32;
        for (sample, noise) in self.samples.iter_mut().zip(background) {
            *sample += noise * gain;
        }
        self.unclipped()
    }

    /// Made quieter where it would not fit into 16 bits.
    pub fn unclipped(mut self) -> Self {
        let peak = self.samples.iter().fold(0.0_f32, |m, s| m.max(s.abs()));
        let gain = 0.7 / peak.max(0.7);
        for sample in &mut self.samples {
            *sample *= gain;
        }
        self
    }

    /// As a 16-bit WAV file of one channel.
    pub fn wav(&self) -> Vec<u8> {
        let data: Vec<u8> = self
            .samples
            .iter()
            .flat_map(|s| ((s * 32_767.0).round() as i16).to_le_bytes())
            .collect();
        let (rate, size) = (self.rate as u32, data.len() as u32);
        let mut file = b"RIFF".to_vec();
        file.extend((36 + size).to_le_bytes());
        file.extend(b"WAVEfmt ");
        file.extend(16_u32.to_le_bytes());
        file.extend([1, 0, 1, 0]);
        file.extend(rate.to_le_bytes());
        file.extend((rate * 2).to_le_bytes());
        file.extend([2, 0, 16, 0]);
        file.extend(b"data");
        file.extend(size.to_le_bytes());
        file.extend(data);
        file
    }
}

/// Background of about unit power.
pub(crate) fn background(noise: Noise, length: usize, rate: f64, seed: u64) -> Vec<f32> {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let mut white = move || {
        // The sum of four is near enough to a bell.
        let sum: f32 = (0..4).map(|_| random.random::<f32>() - 0.5).sum();
        sum * 1.732
    };
    match noise {
        Noise::White => (0..length).map(|_| white()).collect(),
        Noise::Wind => {
            // Three leaky sums: falls about as 1/f from 20 Hz up; gusts of a few seconds.
            let mut states = [0.0_f32; 3];
            let leaks = [0.02, 0.12, 0.6].map(|l: f64| (l * 8_000.0 / rate) as f32);
            (0..length)
                .map(|i| {
                    let gust = 0.6 + 0.4 * (i as f64 / rate * 1.3).sin() as f32;
                    let drive = white();
                    for (state, leak) in states.iter_mut().zip(leaks) {
                        *state += leak * (drive - *state);
                    }
                    gust * (states[0] * 8.0 + states[1] * 2.0 + states[2] * 0.5)
                })
                .collect()
        }
        Noise::Babble => {
            let mut out = vec![0.0_f32; length];
            for voice in 0..8_u64 {
                speak(&mut out, rate, seed.wrapping_mul(31).wrapping_add(voice));
            }
            out
        }
    }
}

/// Adds one made-up voice: syllables of gliding harmonics under two formants.
fn speak(out: &mut [f32], rate: f64, seed: u64) {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let mut at = (random.random::<f64>() * rate) as usize;
    let low = 90.0 + 130.0 * random.random::<f64>();
    while at < out.len() {
        let length = ((0.08 + 0.22 * random.random::<f64>()) * rate) as usize;
        let (f1, f2) = (
            300.0 + 500.0 * random.random::<f64>(),
            900.0 + 1_500.0 * random.random::<f64>(),
        );
        let glide = 1.0 + 0.3 * (random.random::<f64>() - 0.5);
        let harmonics: Vec<(f64, f64)> = (1..=24)
            .map(|h| {
                let hz = low * f64::from(h);
                let near = |f: f64, w: f64| 1.0 / (1.0 + ((hz - f) / w).powi(2));
                (hz, near(f1, 90.0) + 0.6 * near(f2, 140.0))
            })
            .collect();
        for i in 0..length.min(out.len() - at) {
            let x = i as f64 / length as f64;
            let t = i as f64 / rate * (1.0 + (glide - 1.0) * x * 0.5);
            let envelope = (std::f64::consts::PI * x).sin();
            let sum: f64 = harmonics
                .iter()
                .map(|(hz, level)| level * (std::f64::consts::TAU * hz * t).sin())
                .sum();
            out[at + i] += (envelope * sum) as f32;
        }
        at += length + ((0.02 + 0.3 * random.random::<f64>().powi(3)) * rate) as usize;
    }
}

/// Farthest from the truth that a confirmed cue may be, s.
const TRUE_WITHIN_S: f64 = 0.02;

/// How well a track was heard.
#[derive(Debug, Clone, Default)]
pub(crate) struct Score {
    /// Cues that sounded in the recording.
    pub sounded: usize,
    /// Of these, confirmed where they sounded.
    pub confirmed: usize,
    /// Confirmed elsewhere, or where nothing sounded.
    pub wrong: usize,
    /// Distances of the confirmed cues from the truth by size, ms, in order.
    pub errors_ms: Vec<f64>,
}

impl Score {
    /// Compares what was heard with where each instant of the track sounds in the recording: not
    /// at all, once, or twice.
    pub fn new(plan: &Plan, heard: &Heard, sounds: impl Fn(f64) -> Vec<f64>) -> Self {
        let lead = plan.lead.as_nanos() as f64 / 1e9;
        let mut score = Self::default();
        let mut claims: Vec<(f64, f64)> = heard
            .cues
            .iter()
            .filter_map(|c| Some((c.timeline_s + lead, c.heard_s?)))
            .collect();
        // The end of a track cut at a time is in no ladder, and is not looked for.
        let looked_for = |c: &&TrackCue| c.word.is_some_and(|(p, _)| p.kind != CodeKind::Stop);
        for cue in plan.cues.iter().filter(looked_for) {
            let at = cue.at.as_nanos() as f64 / 1e9;
            for truth in sounds(at) {
                score.sounded += 1;
                let own = claims
                    .iter()
                    .position(|(t, h)| (t - at).abs() < 1e-3 && (h - truth).abs() <= TRUE_WITHIN_S);
                if let Some(own) = own {
                    let (_, heard) = claims.swap_remove(own);
                    score.confirmed += 1;
                    score.errors_ms.push((heard - truth).abs() * 1000.0);
                }
            }
        }
        score.wrong = claims.len();
        score.errors_ms.sort_by(f64::total_cmp);
        score
    }

    /// Returns the share of the cues confirmed, percent.
    pub fn percent(&self) -> f64 {
        100.0 * self.confirmed as f64 / self.sounded.max(1) as f64
    }

    /// Returns a quantile of the distances, ms; infinite when there are none.
    pub fn error_ms(&self, quantile: f64) -> f64 {
        let last = self.errors_ms.len().saturating_sub(1);
        let place = (quantile * last as f64).ceil() as usize;
        self.errors_ms.get(place).copied().unwrap_or(f64::INFINITY)
    }
}
