//! Makes a user's recording like the built-in clips: high-passed, trimmed, faded, equally loud.
//! Facts: the same constants as `scripts/voice/make.py`; the filter is a second-order Butterworth high-pass.

/// Loudness of every clip: root mean square over the whole clip, as a part of full scale (-18.1 dB).
pub const TARGET_RMS: f64 = 0.125;

/// A file whose loudest 5 ms are below this counts as silent, in dB of full scale.
pub(super) const SILENT_DB: i32 = -60;

/// Shortest clip, in ms.
pub(super) const LEAST_MS: u32 = 50;

const HIGH_PASS_HZ: f64 = 150.0;
const TRIM_DB: f64 = -38.0;
const PAD_WINDOWS: usize = 2;
const KNEE: f64 = 0.6;
const CEILING: f64 = 0.93;

/// Returns the clip, or `None` when nothing is heard. `rate` is at least 8000 Hz.
pub(super) fn shape(mut samples: Vec<f32>, rate: u32) -> Option<Vec<f32>> {
    high_pass(&mut samples, f64::from(rate));
    let window = (rate / 200) as usize;
    let loud: Vec<f64> = samples.chunks(window).map(rms).collect();
    let loudest = loud.iter().copied().fold(0.0, f64::max);
    if loudest < decibels(f64::from(SILENT_DB)) {
        return None;
    }
    let floor = loudest * decibels(TRIM_DB);
    let first = loud.iter().position(|value| *value > floor)?;
    let last = loud.iter().rposition(|value| *value > floor)?;
    let from = first.saturating_sub(PAD_WINDOWS) * window;
    let to = ((last + 1 + PAD_WINDOWS) * window).min(samples.len());
    let mut clip = samples[from..to].to_vec();
    if clip.len() < (rate / 1000 * LEAST_MS) as usize {
        return None;
    }
    fade(&mut clip, rate);
    Some(level(&clip))
}

/// Fades the first and the last 3 ms in and out.
pub(super) fn fade(clip: &mut [f32], rate: u32) {
    let length = ((rate * 3 / 1000) as usize).min(clip.len() / 2);
    for i in 0..length {
        let gain = i as f32 / length as f32;
        clip[i] *= gain;
        let end = clip.len() - 1 - i;
        clip[end] *= gain;
    }
}

/// Returns the root mean square.
fn rms(samples: &[f32]) -> f64 {
    let sum: f64 = samples.iter().map(|s| f64::from(*s) * f64::from(*s)).sum();
    (sum / samples.len().max(1) as f64).sqrt()
}

/// Finds the gain that makes the softly limited clip as loud as [`TARGET_RMS`].
fn level(clip: &[f32]) -> Vec<f32> {
    let limited =
        |gain: f64| -> Vec<f32> { clip.iter().map(|s| soft(f64::from(*s) * gain)).collect() };
    // Four times the linear gain is more than the limiter takes away, whatever the clip.
    let (mut low, mut high) = (0.0, 4.0 * TARGET_RMS / rms(clip));
    for _ in 0..24 {
        let gain = f64::midpoint(low, high);
        if rms(&limited(gain)) < TARGET_RMS {
            low = gain;
        } else {
            high = gain;
        }
    }
    limited(low)
}

/// Bends peaks above the knee towards the ceiling.
fn soft(sample: f64) -> f32 {
    let size = sample.abs();
    if size <= KNEE {
        return sample as f32;
    }
    let room = CEILING - KNEE;
    (KNEE + room * ((size - KNEE) / room).tanh()).copysign(sample) as f32
}

fn decibels(db: f64) -> f64 {
    10f64.powf(db / 20.0)
}

/// Runs a Butterworth high-pass of second order over the samples (bilinear transform).
fn high_pass(samples: &mut [f32], rate: f64) {
    let k = (std::f64::consts::PI * HIGH_PASS_HZ / rate).tan();
    let norm = 1.0 / (1.0 + std::f64::consts::SQRT_2 * k + k * k);
    let (a1, a2) = (
        2.0 * (k * k - 1.0) * norm,
        (1.0 - std::f64::consts::SQRT_2 * k + k * k) * norm,
    );
    let (mut z1, mut z2) = (0.0, 0.0);
    for sample in samples {
        let x = f64::from(*sample);
        let y = norm * x + z1;
        z1 = -2.0 * norm * x - a1 * y + z2;
        z2 = norm * x - a2 * y;
        *sample = y as f32;
    }
}
