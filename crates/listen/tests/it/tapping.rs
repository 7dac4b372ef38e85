//! Delay by tapping, and what a speed error is worth.

use plimsoll_ladder::Catalogue;
use plimsoll_listen::tap::{TapError, delay};
use plimsoll_listen::worth_bouts;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Twelve cues two to three seconds apart, tapped late by a delay, unsteadily, two of them wildly.
fn taps(rng: &mut ChaCha8Rng, late: f64) -> (Vec<f64>, Vec<f64>) {
    let mut at = 1.0;
    let mut cues = Vec::new();
    let mut taps = Vec::new();
    for i in 0..12 {
        at += rng.random_range(2.0..3.0);
        cues.push(at);
        let unsteady: f64 = (0..12).map(|_| rng.random::<f64>()).sum::<f64>() - 6.0;
        let wild = if i % 6 == 3 { 0.4 } else { 0.0 };
        taps.push(at + late + 0.03 * unsteady + wild);
    }
    (cues, taps)
}

#[test]
fn the_delay_is_found_and_its_interval_holds_it() {
    let mut rng = ChaCha8Rng::seed_from_u64(12);
    let mut held = 0;
    for _ in 0..400 {
        let late = rng.random_range(-0.05..0.3);
        let (cues, taps) = taps(&mut rng, late);
        let found = delay(&cues, &taps).expect("twelve taps");
        assert!((found.median_s - late).abs() < 0.06, "{found:?} for {late}");
        held += usize::from(found.interval_s.0 <= late && late <= found.interval_s.1);
    }
    // Two wild taps of twelve lean the median; the nominal share is 95 %.
    assert!(held >= 340, "{held} of 400");
}

#[test]
fn double_and_stray_taps_are_left_out() {
    let cues: Vec<f64> = (0..12).map(|i| f64::from(i) * 2.5).collect();
    let mut taps: Vec<f64> = cues.iter().map(|c| c + 0.12).collect();
    taps.extend([taps[3] + 0.2, 26.4 + 5.0]);
    let found = delay(&cues, &taps).expect("taps");
    assert!((found.median_s - 0.12).abs() < 1e-9);
    assert_eq!((found.used, found.left_out), (12, 2));
}

#[test]
fn too_few_taps_say_how_many_are_needed() {
    let error = delay(&[1.0, 3.0, 5.0], &[1.1, 3.1, 5.1]).expect_err("three taps");
    assert_eq!(error, TapError::TooFew { found: 3 });
    assert!(error.to_string().contains("8 are needed"));
    assert_eq!(delay(&[f64::NAN], &[1.0]), Err(TapError::NotANumber));
}

/// Derived: on the level 1 ladder the speed rises by 0.5 km/h every eight bouts, so that 1 % of
/// 14.5 km/h is 0.145 × 16 = 2.3 bouts and 1 % of 18 km/h 2.9.
#[test]
fn one_percent_is_two_to_three_bouts_on_the_level_1_ladder() {
    let catalogue = Catalogue::built_in();
    let test = catalogue.get("ir1").expect("built in");
    let ladder = test.ladder().expect("paced");
    for (kmh, bouts) in [(14.5, 2.32), (18.0, 2.88)] {
        let stage = ladder
            .stages()
            .iter()
            .position(|s| (s.speed.as_kmh_f64() - kmh).abs() < 1e-9);
        let own: Vec<u32> = ladder
            .bouts()
            .iter()
            .filter(|b| Some(b.stage) == stage)
            .map(|b| b.number)
            .collect();
        let middle = own[own.len() / 2];
        let slow = worth_bouts(test, middle, -10_000.0).expect("a ladder that climbs");
        assert!((slow - bouts).abs() < 0.15, "{kmh} km/h: {slow}");
    }
    // Above 14.5 km/h the steps are even, so that fast costs what slow gives.
    let last = ladder.last().map_or(0, |b| b.number);
    let even = worth_bouts(test, last - 20, 5_000.0).zip(worth_bouts(test, last - 20, -5_000.0));
    assert!(
        even.is_some_and(|(fast, slow)| fast < 0.0 && (fast + slow).abs() < 0.05),
        "{even:?}"
    );
    // A ladder with one speed has nothing to give.
    assert_eq!(
        worth_bouts(catalogue.get("int12_6").expect("built in"), 10, 0.0),
        Some(0.0)
    );
}
