//! Hints about effort, and how many people or trials a precision takes.

use plimsoll_measure::error::TypicalError;
use plimsoll_measure::squad::{
    PredictedStop, Strength, cascade, heaping, low_peak, people_for_error_width,
    people_for_mean_change, trials_for_change_se, trials_for_error_width,
};

use crate::seeded::Seeded;

#[test]
fn heaping_is_seen_against_its_chances() {
    let chances = [0.125; 24];
    let hits = |n: usize| (0..24).map(|i| i < n).collect::<Vec<bool>>();
    let usual = heaping(&hits(3), &chances).expect("a hint");
    assert_eq!((usual.observed, usual.strength), (3, Strength::None));
    assert!((usual.expected - 3.0).abs() < 1e-12);
    assert_eq!(
        heaping(&hits(7), &chances).expect("a hint").strength,
        Strength::Weak
    );
    assert_eq!(
        heaping(&hits(11), &chances).expect("a hint").strength,
        Strength::Strong
    );
    assert_eq!(heaping(&hits(0), &chances).expect("a hint").chance, 1.0);
    // Certain and impossible starts leave nothing to chance.
    assert_eq!(
        heaping(&[true, false], &[1.0, 0.0]).expect("a hint").chance,
        1.0
    );
    assert_eq!(
        heaping(&[true, true], &[1.0, 0.0]).expect("a hint").chance,
        0.0
    );
    assert!(heaping(&[], &[]).is_err() && heaping(&[true], &[]).is_err());
    assert!(heaping(&[true], &[1.1]).is_err() && heaping(&[true], &[f64::NAN]).is_err());
}

fn wave(random: &mut Seeded) -> Vec<PredictedStop> {
    (0..20)
        .map(|_| {
            let predicted = 60.0 + 15.0 * random.normal();
            PredictedStop {
                stop: (predicted - 4.0 + 5.0 * random.normal()).round(),
                predicted,
                sd: 5.0,
            }
        })
        .collect()
}

#[test]
fn cascades_are_seen_and_seldom_imagined() {
    let mut random = Seeded(61);
    let (mut false_alarms, mut seen) = (0, 0);
    for run in 0..300 {
        let mut stops = wave(&mut random);
        let plain = cascade(&stops, 2.0, 1.0).expect("a hint");
        false_alarms += usize::from(plain.strength != Strength::None);
        if run < 50 {
            stops.sort_by(|a, b| a.predicted.total_cmp(&b.predicted));
            // From the eighth on, seven friends stop together.
            for runner in &mut stops[7..14] {
                runner.stop = 55.0;
            }
            let hint = cascade(&stops, 2.0, 1.0).expect("a hint");
            let there = hint.from.is_some_and(|from| (53.0..=55.0).contains(&from));
            seen += usize::from(hint.strength != Strength::None && there);
        }
    }
    assert!(false_alarms <= 15, "{false_alarms} of 300");
    assert!(seen >= 35, "{seen} of 50");
    let stops = wave(&mut random);
    assert!(cascade(&stops[..4], 2.0, 1.0).is_err() && cascade(&stops, -1.0, 1.0).is_err());
    assert!(
        cascade(
            &[PredictedStop {
                sd: 0.0,
                ..stops[0]
            }; 5],
            2.0,
            1.0
        )
        .is_err()
    );
    // All at one time, as predicted to the second: a cascade by any window.
    let all = vec![
        PredictedStop {
            stop: 50.0,
            predicted: 50.0,
            sd: 8.0
        };
        12
    ];
    assert_eq!(
        cascade(&all, 1.0, 1.0).expect("a hint").strength,
        Strength::Strong
    );
}

#[test]
fn low_peaks_against_the_best_of_several() {
    let one = low_peak(198.0, 200.0, 1, 3.0).expect("a peak");
    assert!((one.expected - 200.0).abs() < 1e-9 && one.strength == Strength::None);
    // The best of ten lies 1.54 SD above the usual peak.
    let ten = low_peak(195.4, 200.0, 10, 3.0).expect("a peak");
    assert!((ten.expected - (200.0 - 1.538_752_730_835 * 3.0)).abs() < 1e-8);
    assert!(ten.z.abs() < 0.01 && ten.strength == Strength::None);
    assert_eq!(
        low_peak(180.0, 200.0, 3, 3.0).expect("a peak").strength,
        Strength::Strong
    );
    assert_eq!(
        low_peak(189.5, 200.0, 3, 3.0).expect("a peak").strength,
        Strength::Weak
    );
    for bad in [0.0, -1.0, f64::NAN] {
        assert!(low_peak(bad, 200.0, 3, 3.0).is_err() && low_peak(190.0, 200.0, 3, bad).is_err());
    }
    assert!(low_peak(190.0, 200.0, 0, 3.0).is_err());
}

#[test]
fn plans_are_the_smallest_that_do() {
    let width = |df: f64| {
        let error = TypicalError { value: 1.0, df };
        2.0 * error.interval(0.9).expect("an interval").half_width()
    };
    for wanted in [0.2, 0.5, 1.0] {
        for trials in [2, 3, 5] {
            let people = people_for_error_width(trials, wanted, 0.9).expect("people");
            let df = |people: u64| ((people - 1) * (trials - 1)) as f64;
            assert!(width(df(people)) <= wanted);
            assert!(people == 2 || width(df(people - 1)) > wanted);
            let back = trials_for_error_width(people, wanted, 0.9).expect("trials");
            assert!(back <= trials && width(((people - 1) * (back - 1)) as f64) <= wanted);
        }
    }
    assert_eq!(trials_for_change_se(24.0, 24.0).expect("trials"), 2);
    assert_eq!(trials_for_change_se(24.0, 34.0).expect("trials"), 1);
    assert_eq!(trials_for_change_se(24.0, 12.0).expect("trials"), 8);
    // 2 x 24^2 + 30^2 = 2052; over 10^2: 21 people.
    assert_eq!(
        people_for_mean_change(24.0, 30.0, 1, 10.0).expect("people"),
        21
    );
    assert_eq!(
        people_for_mean_change(24.0, 0.0, 4, 1000.0).expect("people"),
        2
    );
    assert!(
        people_for_error_width(1, 0.5, 0.9).is_err()
            && people_for_error_width(2, 0.0, 0.9).is_err()
    );
    assert!(
        trials_for_error_width(1, 0.5, 0.9).is_err()
            && people_for_error_width(2, 1e-6, 0.9).is_err()
    );
    assert!(trials_for_change_se(24.0, 1e-9).is_err() && trials_for_change_se(0.0, 1.0).is_err());
    assert!(people_for_mean_change(24.0, 0.0, 0, 1.0).is_err());
}
