//! The line fit on lists with misses, false times and only a stretch of the track.

use plimsoll_listen::align::{AlignError, AlignOptions, align};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Trials, and how many intervals of the rate must hold the true one: 95 % with room for the
/// spread of a count of 200 (four standard deviations of 3.1).
const TRIALS: u64 = 200;
const LEAST_INSIDE: usize = 177;

fn track() -> Vec<f64> {
    let mut times = vec![0.0];
    for k in 1..200 {
        times.push(times[k - 1] + 9.0 - 0.025 * k as f64);
    }
    times
}

/// Near-normal error of 5 ms from the sum of twelve uniform numbers.
fn error(rng: &mut ChaCha8Rng) -> f64 {
    0.005 * ((0..12).map(|_| rng.random::<f64>()).sum::<f64>() - 6.0)
}

#[test]
fn stretches_with_a_third_missing_and_a_third_false_are_found() {
    let track = track();
    let mut inside = 0;
    for seed in 0..TRIALS {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        let b = rng.random_range(0.955..1.045);
        let a = rng.random_range(-900.0..900.0);
        let from = rng.random_range(0..120);
        let to = rng.random_range(from + 50..200);
        let mut heard = Vec::new();
        for t in &track[from..to] {
            if rng.random_bool(0.7) {
                heard.push(a + b * t + error(&mut rng));
            }
        }
        let (first, last) = (a + b * track[from], a + b * track[to - 1]);
        for _ in 0..heard.len() / 3 {
            heard.push(rng.random_range(first..last));
        }
        heard.sort_by(f64::total_cmp);
        let found = align(&track, &heard, &AlignOptions::default()).expect("a line");
        let line = found.line;
        let far = |t: f64| (line.offset_s + line.rate * t - a - b * t).abs();
        assert!(
            far(track[from]) < 0.015 && far(track[to - 1]) < 0.015,
            "{seed} {line:?}"
        );
        let hits = line.rate_interval.0 <= b && b <= line.rate_interval.1;
        inside += usize::from(hits);
        assert!(
            line.rate_interval.1 - line.rate_interval.0 < 2e-4,
            "{seed} {line:?}"
        );
    }
    assert!(
        inside >= LEAST_INSIDE,
        "{inside} of {TRIALS} intervals hold the rate"
    );
}

#[test]
fn faults_say_what_is_wrong() {
    let track = track();
    let options = AlignOptions::default();
    let none: Vec<f64> = (0..30).map(|k| f64::from(k * k) * 0.37).collect();
    let error = align(&track, &none[..3], &options).expect_err("too few");
    assert_eq!(
        error.to_string(),
        "the heard list holds 3 times, at least 6 are needed; use a longer stretch"
    );
    let mut mixed = track.clone();
    mixed.swap(3, 4);
    let error = align(&mixed, &none, &options).expect_err("unsorted");
    assert_eq!(
        error,
        AlignError::NotSorted {
            list: "track",
            at: 5
        }
    );
    let strict = AlignOptions {
        least_pairs: 25,
        ..options
    };
    let error = align(&track, &none, &strict).expect_err("no line");
    assert!(
        matches!(
            error,
            AlignError::NoLine {
                least: 25,
                track: 200,
                ..
            }
        ),
        "{error}"
    );
    let wide = AlignOptions {
        max_rate_error: 0.5,
        ..options
    };
    let error = align(&track, &track, &wide).expect_err("an option");
    assert_eq!(
        error.to_string(),
        "max_rate_error is 0.5, allowed is above 0, at most 0.2; change the option"
    );
}

#[test]
fn the_slow_count_finds_what_runs_do_not() {
    // Four of five cues of every run are missing: no run of neighbours is left.
    let track = track();
    let heard: Vec<f64> = track.iter().step_by(5).map(|t| 12.0 + 1.01 * t).collect();
    let found = align(&track, &heard, &AlignOptions::default()).expect("a line");
    assert!((found.line.rate - 1.01).abs() < 1e-9 && found.pairs.len() == 40);
}
