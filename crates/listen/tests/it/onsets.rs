//! The onset finder on made sounds: pips in silence, white noise and babble; voices and claps.

use std::f64::consts::TAU;

use plimsoll_ladder::Catalogue;
use plimsoll_listen::foreign::{Options, Recogniser, Verdict, candidates};
use plimsoll_listen::onsets::{Onset, OnsetFinder, RATE, families, find};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Onset times on clean pips, seconds.
const CLEAN: f64 = 0.005;
/// Onset times at 0 dB, seconds: three windows of 4 ms.
const NOISY: f64 = 0.012;

/// Adds a pip with ramps of 5 ms.
fn pip(samples: &mut [f32], at: f64, length: f64, frequency: f64, amplitude: f64) {
    let first = (at * RATE).ceil() as usize;
    let last = ((at + length) * RATE) as usize;
    for k in first..last.min(samples.len()) {
        let t = k as f64 / RATE - at;
        let ramp = (t / 0.005).min((length - t) / 0.005).clamp(0.0, 1.0);
        samples[k] += (amplitude * ramp * (TAU * frequency * t).sin()) as f32;
    }
}

/// Adds white noise of this root mean square.
fn white(samples: &mut [f32], rms: f64, rng: &mut ChaCha8Rng) {
    for s in samples {
        *s += (rms * 3f64.sqrt() * rng.random_range(-1.0..1.0)) as f32;
    }
}

/// Adds one voice: syllables of gliding harmonics under a moving formant, with pauses.
fn voice(samples: &mut [f32], rms: f64, rng: &mut ChaCha8Rng) {
    let mut at = rng.random_range(0.0..0.5);
    let whole = samples.len() as f64 / RATE;
    while at < whole {
        let length = rng.random_range(0.08..0.35);
        let (f0, glide) = (rng.random_range(90.0..240.0), rng.random_range(-0.3..0.3));
        let formant = rng.random_range(400.0..2200.0);
        let mut phase = 0.0;
        let first = (at * RATE) as usize;
        let n = (length * RATE) as usize;
        for k in 0..n.min(samples.len().saturating_sub(first)) {
            let x = k as f64 / n as f64;
            let f = f0 * (1.0 + glide * x);
            phase += TAU * f / RATE;
            let mut sum = 0.0;
            let mut h = 1.0;
            while h * f < 3_800.0 {
                let off = (h * f - formant) / 350.0;
                sum += (0.15 / h.sqrt() + (-0.5 * off * off).exp()) * (h * phase).sin();
                h += 1.0;
            }
            samples[first + k] += (rms * (std::f64::consts::PI * x).sin() * sum) as f32;
        }
        at += length + rng.random_range(0.02..0.25);
    }
}

fn rms(samples: &[f32]) -> f64 {
    let sum: f64 = samples.iter().map(|s| f64::from(*s).powi(2)).sum();
    (sum / samples.len() as f64).sqrt()
}

/// Returns how many of the times are met, and how many onsets meet none.
fn score(onsets: &[Onset], times: &[f64], within: f64) -> (usize, usize) {
    let near = |o: &Onset, t: f64| (o.time_s - t).abs() <= within;
    let met = times
        .iter()
        .filter(|t| onsets.iter().any(|o| near(o, **t)))
        .count();
    let extra = onsets
        .iter()
        .filter(|o| !times.iter().any(|t| near(o, *t)))
        .count();
    (met, extra)
}

#[test]
fn clean_pips_of_any_frequency_and_length_are_timed() {
    let mut rng = ChaCha8Rng::seed_from_u64(1);
    let mut samples = vec![0.0; 8_000 * 90];
    white(&mut samples, 0.001, &mut rng);
    let mut pips = Vec::new();
    for k in 0..56 {
        let at = 1.5 + 1.5 * f64::from(k) + rng.random_range(0.0..0.5);
        let length = [0.05, 0.08, 0.15, 0.3, 0.6][k as usize % 5];
        let frequency = rng.random_range(410.0..3_750.0);
        pip(&mut samples, at, length, frequency, 0.2);
        pips.push((at, length, frequency));
    }
    let found = find(&samples);
    assert_eq!(found.len(), pips.len(), "{found:#?}");
    for (o, (at, length, frequency)) in found.iter().zip(&pips) {
        assert!((o.time_s - at).abs() <= CLEAN, "{o:?} {at}");
        assert!((o.length_s - length).abs() <= 0.01, "{o:?} {length}");
        assert!(
            (o.frequency_hz / frequency - 1.0).abs() <= 0.01,
            "{o:?} {frequency}"
        );
    }
}

#[test]
fn blocks_of_any_size_give_the_same_onsets() {
    let mut rng = ChaCha8Rng::seed_from_u64(2);
    let mut samples = vec![0.0; 8_000 * 20];
    white(&mut samples, 0.05, &mut rng);
    for k in 0..12 {
        pip(&mut samples, 1.0 + 1.4 * f64::from(k), 0.1, 1_000.0, 0.2);
    }
    let mut finder = OnsetFinder::new();
    let mut found = Vec::new();
    for block in samples.chunks(333) {
        found.extend(finder.push(block));
    }
    found.extend(finder.finish());
    assert_eq!(found, find(&samples));
    assert!(found.len() >= 12);
}

#[test]
fn pips_in_white_noise_and_babble_at_0_db_are_found() {
    for (kind, least, most) in [("white", 38, 2), ("babble", 34, 36)] {
        let mut rng = ChaCha8Rng::seed_from_u64(3);
        let mut samples = vec![0.0; 8_000 * 90];
        // A sine of amplitude 0.1 has a root mean square of 0.0707: so has the noise.
        if kind == "white" {
            white(&mut samples, 0.0707, &mut rng);
        } else {
            for _ in 0..6 {
                voice(&mut samples, 0.02, &mut rng);
            }
            white(&mut samples, 0.002, &mut rng);
            let scale = (0.0707 / rms(&samples)) as f32;
            samples.iter_mut().for_each(|s| *s *= scale);
        }
        let times: Vec<f64> = (0..40).map(|k| 3.0 + 2.1 * f64::from(k)).collect();
        for t in &times {
            pip(&mut samples, *t, 0.15, 1_000.0, 0.1);
        }
        let found = find(&samples);
        let (met, extra) = score(&found, &times, NOISY);
        println!("{kind}: {met} of {} met, {extra} others", times.len());
        let family = &families(&found)[0];
        println!(
            "  family {:.0} Hz: {:?}",
            family.frequency_hz,
            score(&family.onsets, &times, NOISY)
        );
        assert!(
            met >= least && extra <= most,
            "{kind}: {met} met, {extra} others"
        );
        assert!((family.frequency_hz - 1_000.0).abs() < 20.0, "{kind}");
    }
}

#[test]
fn a_voice_wind_and_claps_give_few_onsets() {
    let mut rng = ChaCha8Rng::seed_from_u64(4);
    let mut talk = vec![0.0; 8_000 * 60];
    voice(&mut talk, 0.05, &mut rng);
    white(&mut talk, 0.001, &mut rng);
    let mut claps = vec![0.0; 8_000 * 60];
    for k in 0..120 {
        let first = 4_000 * k + 1_000;
        for (n, s) in claps[first..first + 400].iter_mut().enumerate() {
            *s += (0.5 * (-(n as f64) / 60.0).exp() * rng.random_range(-1.0..1.0)) as f32;
        }
    }
    white(&mut claps, 0.002, &mut rng);
    let mut wind = vec![0.0; 8_000 * 60];
    let (mut slow, mut gust) = (0.0f64, 0.0f64);
    for s in &mut wind {
        gust += 0.0005 * (rng.random_range(-1.0..1.0) - 0.05 * gust);
        slow += 0.05 * (rng.random_range(-1.0..1.0) - slow);
        *s = (slow * (0.5 + gust.abs())) as f32;
    }
    let count = |s: &[f32]| find(s).len();
    let (talk, claps, wind) = (count(&talk), count(&claps), count(&wind));
    println!("voice {talk}, claps {claps}, wind {wind} in 60 s each");
    assert!(
        talk <= 12 && claps <= 2 && wind <= 2,
        "{talk} {claps} {wind}"
    );
}

#[test]
fn a_rendered_ladder_with_noise_is_named_from_its_sound() {
    let mut rng = ChaCha8Rng::seed_from_u64(5);
    let catalogue = Catalogue::built_in();
    let cues = catalogue.get("msr20").expect("shipped").cues();
    let mut samples = vec![0.0; 8_000 * 210];
    white(&mut samples, 0.05, &mut rng);
    voice(&mut samples, 0.01, &mut rng);
    // Played 1.5 % slow from 12.3 s on; the recording ends in the middle.
    for cue in cues {
        let at = 12.3 + cue.at.as_secs_f64() / 0.985;
        if at < 200.0 {
            pip(&mut samples, at, 0.12, 1_000.0, 0.1);
        }
    }
    let found = find(&samples);
    let times: Vec<f64> = found.iter().map(|o| o.time_s).collect();
    let answer = Recogniser::new(candidates(&catalogue)).recognise(&times, &Options::default());
    println!("{answer:?}");
    assert_eq!(
        answer.verdict,
        Verdict::Recognised {
            id: "msr20".to_owned()
        }
    );
    assert!((answer.speed_error_ppm + 15_000.0).abs() < 100.0);
    assert!((answer.offset_s - 12.3).abs() < 0.01);
    assert!(answer.residual_ms < 6.0 && answer.matched * 10 >= answer.expected * 9);
}
