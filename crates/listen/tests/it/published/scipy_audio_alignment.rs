//! The matched filter and the line fit against the same jobs done with a general library.
//!
//! Source: numpy 2.4.6 and scipy 1.17.1, run; the signals are rebuilt here from their formulas.

use std::f64::consts::TAU;

use plimsoll_listen::align::matched::{MatchedFilter, Peak};
use plimsoll_listen::align::{AlignOptions, Alignment, align};
use serde_json::Value;

/// Peaks against the library's, seconds: a sample lasts 125 us, the noise moves a crest by some
/// microseconds and the two interpolations differ by a few more.
const PEAK: f64 = 2e-5;
/// Rate against the library's and the true one: 20 us over 10 s.
const RATE: f64 = 4e-6;
/// Offset after the second pass against the true one, seconds: the library itself is off by up
/// to 19 us in the loudest noise.
const OFFSET: f64 = 3e-5;
/// Energies, relative: sums of 1e5 rounded terms.
const ENERGY: f64 = 1e-10;

/// Least amplitude of a peak: the pips have 0.7, the loudest noise alone reaches 0.46 and takes
/// 0.1 off a pip.
const LEAST: f64 = 0.52;

fn golden() -> Value {
    serde_json::from_str(include_str!("golden_audio_alignment.json")).expect("valid JSON")
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

fn numbers(value: &Value) -> Vec<f64> {
    value
        .as_array()
        .expect("a list")
        .iter()
        .map(number)
        .collect()
}

/// Counter-based splitmix64, uniform over -1 to 1.
fn noise(seed: u64, at: u64) -> f64 {
    let mut z = seed.wrapping_add((at + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15));
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^= z >> 31;
    (z >> 11) as f64 / (1u64 << 53) as f64 * 2.0 - 1.0
}

/// The rising tone of 0.2 s under a Hann window.
fn chirp(t: f64) -> f64 {
    let (f0, f1, length) = (900.0, 2400.0, 0.2);
    if !(0.0..length).contains(&t) {
        return 0.0;
    }
    let window = 0.5 - 0.5 * (TAU * t / length).cos();
    window * (TAU * (f0 * t + (f1 - f0) / (2.0 * length) * t * t)).sin()
}

fn template(fs: f64, b: f64) -> Vec<f64> {
    let n = (0.2 * b * fs).ceil() as usize;
    (0..n).map(|k| chirp(k as f64 / fs / b)).collect()
}

fn energy(samples: &[f64]) -> f64 {
    samples.iter().map(|s| s * s).sum()
}

/// Filters in uneven blocks, as a stream comes.
fn filter(samples: &[f64], template: &[f64], fs: f64, floor: f64) -> Vec<Peak> {
    let mut filter = MatchedFilter::new(template, fs, floor, 0.3).expect("a template");
    let mut peaks = Vec::new();
    for block in samples.chunks(1_237) {
        peaks.extend(filter.push(block));
    }
    peaks.extend(filter.finish());
    peaks
}

fn line(pips: &[f64], peaks: &[Peak]) -> Alignment {
    let heard: Vec<f64> = peaks.iter().map(|p| p.time_s).collect();
    let options = AlignOptions {
        slack_s: 0.01,
        ..AlignOptions::default()
    };
    align(pips, &heard, &options).expect("a line")
}

#[test]
fn small_cases_give_the_peaks_and_lines_of_the_library() {
    for case in golden()["small_cases"].as_array().expect("cases") {
        let name = case["case"].as_str().expect("a name");
        let (fs, a, b) = (
            number(&case["fs"]),
            number(&case["a_true"]),
            number(&case["b_true"]),
        );
        let pips = numbers(&case["pips"]);
        let (amp, scale) = (number(&case["amp"]), number(&case["noise_scale"]));
        let seed = case["noise_seed"].as_u64().expect("a seed");
        let n = case["n_rec"].as_u64().expect("a length");
        let samples: Vec<f64> = (0..n)
            .map(|k| {
                let t = (k as f64 / fs - a) / b;
                let tone: f64 = pips.iter().map(|pip| chirp(t - pip)).sum();
                amp * tone + scale * noise(seed, k)
            })
            .collect();
        for (x, y) in samples.iter().zip(numbers(&case["rec_first5"])) {
            assert!((x - y).abs() < 1e-12, "{name}: {x} {y}");
        }
        let (x, y) = (energy(&samples), number(&case["rec_energy"]));
        assert!((x / y - 1.0).abs() < ENERGY, "{name}: energy {x} {y}");

        let peaks = filter(&samples, &template(fs, 1.0), fs, LEAST);
        let golden_peaks = numbers(&case["matched_filter_peaks_s"]);
        assert_eq!(peaks.len(), golden_peaks.len(), "{name}: {peaks:?}");
        for (x, y) in peaks.iter().zip(&golden_peaks) {
            let off = x.time_s - y;
            assert!(off.abs() < PEAK, "{name}: {} {y} off {off}", x.time_s);
        }
        let first = line(&pips, &peaks);
        assert_eq!(first.pairs.len(), pips.len(), "{name}");
        let sen = &case["theil_sen_consensus"];
        assert!((first.line.rate - number(&sen["b"])).abs() < RATE, "{name}");
        assert!(
            (first.line.offset_s - number(&sen["a"])).abs() < OFFSET,
            "{name}"
        );

        let rate = first.line.rate;
        let second = line(&pips, &filter(&samples, &template(fs, rate), fs, LEAST)).line;
        println!("{name}: {second:?}");
        assert!((second.rate - b).abs() < RATE, "{name}: {second:?}");
        assert!((second.offset_s - a).abs() < OFFSET, "{name}: {second:?}");
        let stretched = &case["second_pass_stretched_template"];
        assert!(
            (second.rate - number(&stretched["b"])).abs() < RATE,
            "{name}"
        );
        assert!(
            (second.offset_s - number(&stretched["a"])).abs() < OFFSET,
            "{name}"
        );
    }
}

/// The long case: 30 min at 48 kHz, 288 pips, rate 1.003, offset 7.25 s.
///
/// DIFFERENCE: the source does not record where its 288 pips lie, so ours accelerate from
/// 9 s to 3.5 s by a rule of our own; and only a quarter second about every pip is made and
/// filtered, 288 streams instead of one of 86.4 million samples.
#[test]
fn long_case_finds_every_pip_the_rate_and_the_offset() {
    let golden = golden();
    let big = &golden["big"];
    let (fs, a, b) = (
        number(&big["fs"]),
        number(&big["a_true"]),
        number(&big["b_true"]),
    );
    let count = big["n_pips"].as_u64().expect("a number");
    let mut pips = vec![2.0];
    while pips.len() < count as usize {
        let k = pips.len() as f64;
        pips.push(pips[pips.len() - 1] + 3.5 + 5.5 * (1.0 - k / count as f64).powi(2));
    }
    let stretched = template(fs, b);
    let mut heard = Vec::new();
    for pip in &pips {
        let from = ((a + b * pip - 0.02) * fs).floor();
        let samples: Vec<f64> = (0..(0.25 * fs) as u64)
            .map(|k| {
                let at = from + k as f64;
                let t = (at / fs - a) / b;
                0.7 * chirp(t - pip) + 0.3 * noise(777, at as u64)
            })
            .collect();
        let mut filter = MatchedFilter::new(&stretched, fs, LEAST, 0.3).expect("a template");
        let mut peaks = filter.push(&samples);
        peaks.extend(filter.finish());
        assert_eq!(peaks.len(), 1);
        heard.push(from / fs + peaks[0].time_s);
    }
    let found = align(&pips, &heard, &AlignOptions::default()).expect("a line");
    assert_eq!(
        found.pairs.len() as u64,
        big["n_matched"].as_u64().expect("a number")
    );
    assert!((found.line.rate - b).abs() < 1e-7, "{:?}", found.line);
    assert!((found.line.offset_s - a).abs() < 2e-5, "{:?}", found.line);
    assert!(found.residual_max_s < 5e-5, "{}", found.residual_max_s);
}
