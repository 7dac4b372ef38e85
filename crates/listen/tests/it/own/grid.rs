//! The grid of hard conditions, a small part of it in each test run.
//! All of it: `cargo run --release -p plimsoll-listen --example grid`.

use plimsoll_listen::{Heard, Kind};
use plimsoll_sound::Plan;

use super::degrade::{Noise, Score};
use super::{Clip, hear, minutes};

/// Levels are against the mean power of the cues, over the whole band recorded.
const RATE: f64 = 8_000.0;
/// Largest error of the speed over four minutes, ppm: a cue is timed to some 0.1 ms, and 35 of
/// them over 200 s leave less than 1 ppm; a break falsely seen would cost hundreds.
const SPEED_PPM: f64 = 20.0;

fn played() -> (Plan, Clip) {
    minutes("ir1", 4)
}

/// Returns how well a recording was heard that runs `slow` times as slowly as the track.
fn score(plan: &Plan, clip: &Clip, slow: f64) -> (Heard, Score) {
    let heard = hear(clip, None);
    assert_eq!(
        (heard.kind, heard.test.as_deref()),
        (Kind::Own, Some("ir1")),
        "{:?}",
        heard.meaning
    );
    let score = Score::new(plan, &heard, |t| vec![t * slow]);
    assert_eq!(score.wrong, 0, "{score:?}");
    (heard, score)
}

/// Asserts a share of cues confirmed, %, and a median error, ms.
fn assert_heard(what: &str, score: &Score, percent: f64, median_ms: f64) {
    assert!(score.sounded > 30, "{what}: {score:?}");
    assert!(score.percent() >= percent, "{what}: {score:?}");
    assert!(score.error_ms(0.5) < median_ms, "{what}: {score:?}");
}

#[test]
fn loud_noise_moves_no_cue_and_hides_few() {
    let (plan, clip) = played();
    let clip = clip.recorded(1.0, RATE);
    // Wind is loudest below the cues, but counts in the level: least is confirmed there.
    let cells = [
        (Noise::White, 0.0, 95.0),
        (Noise::Wind, 0.0, 75.0),
        (Noise::Babble, 5.0, 95.0),
        // Starts and turns only: see "Finish cues below 0 dB" in the method.
        (Noise::White, -5.0, 50.0),
    ];
    for (noise, snr_db, percent) in cells {
        let noisy = clip.clone().with_noise(noise, snr_db, 51);
        let (heard, score) = score(&plan, &noisy, 1.0);
        assert_heard(&format!("{noise:?} {snr_db}"), &score, percent, 0.1);
        let ppm = heard.speed_error_ppm.expect("speed");
        assert!(ppm.abs() < SPEED_PPM, "{noise:?} {snr_db}: {ppm}");
    }
}

#[test]
fn a_hall_and_a_telephone_move_no_cue() {
    let (plan, clip) = played();
    let narrow = clip.recorded(1.0, RATE);
    let hall = narrow.in_hall(1.0, 52).with_noise(Noise::White, 20.0, 52);
    assert_heard("hall", &score(&plan, &hall, 1.0).1, 95.0, 0.5);
    let telephone = clip.telephone().with_noise(Noise::White, 10.0, 53);
    assert_heard("telephone", &score(&plan, &telephone, 1.0).1, 95.0, 0.5);
}

#[test]
fn a_clock_five_per_mille_off_is_measured_to_twenty_per_million() {
    let (plan, clip) = played();
    for truth in [-5_000.0, 5_000.0] {
        let slow = 1.0 / (1.0 + truth / 1e6);
        let clip = clip.recorded(slow, RATE).with_noise(Noise::White, 10.0, 54);
        let (heard, score) = score(&plan, &clip, slow);
        assert_heard(&format!("{truth} ppm"), &score, 95.0, 0.5);
        let ppm = heard.speed_error_ppm.expect("speed");
        assert!((ppm - truth).abs() < SPEED_PPM, "{ppm} for {truth}");
    }
}

/// Walls that send the sound back over 24, 48 and 96 m more than the straight way.
#[test]
fn an_echo_moves_no_cue_and_is_no_restart() {
    let (plan, clip) = played();
    for metres in [24.0, 48.0, 96.0] {
        let clip = clip.recorded(1.0, RATE).echoed(metres / 343.0, 0.501);
        let clip = clip.with_noise(Noise::White, 20.0, 55);
        let (heard, score) = score(&plan, &clip, 1.0);
        assert_heard(&format!("echo {metres} m"), &score, 95.0, 0.5);
        assert_eq!(heard.gaps, [], "{metres} m");
    }
}

/// Cues that are expected where only noise sounds.
#[test]
fn no_cue_is_confirmed_while_the_loudspeaker_is_silent() {
    let (plan, clip) = played();
    let clip = clip.recorded(1.0, RATE).dropped(60.0, 120.0);
    let heard = hear(&clip.with_noise(Noise::White, 0.0, 56), None);
    assert_eq!(heard.test.as_deref(), Some("ir1"), "{:?}", heard.meaning);
    // A cue with its code lasts 0.6 s at most.
    let sounds = |t: f64| {
        if (59.4..=180.0).contains(&t) {
            Vec::new()
        } else {
            vec![t]
        }
    };
    let score = Score::new(&plan, &heard, sounds);
    assert_eq!(score.wrong, 0, "{score:?}");
    assert!((15..30).contains(&score.sounded), "{score:?}");
    assert!(heard.cues_expected > score.sounded + 10, "{heard:?}");
    assert!(score.percent() >= 90.0, "{score:?}");
}
