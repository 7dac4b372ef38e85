//! Source: S02 (article on the level 1 recovery test, about 2004-2005), section that spells out the
//! ladder: secondary source read. 14.3 = 560 m, 5 m recovery leg, 10 s, 20 m legs: common practice,
//! no source.

use plimsoll_ladder::{Catalogue, Length, Query};

#[test]
fn counts_and_cumulative_distances_of_the_article() {
    let catalogue = Catalogue::built_in();
    let ladder = catalogue.get("ir1").expect("ir1").ladder().expect("paced");
    let counts: Vec<(f64, usize)> = ladder
        .stages()
        .iter()
        .enumerate()
        .map(|(i, s)| {
            (
                s.speed.as_kmh_f64(),
                ladder.bouts().iter().filter(|b| b.stage == i).count(),
            )
        })
        .collect();
    assert_eq!(
        counts[..5],
        [(10.0, 1), (12.0, 1), (13.0, 2), (13.5, 3), (14.0, 4)]
    );
    assert!(
        counts[5..].iter().all(|(_, n)| *n == 8),
        "then 8 bouts a step"
    );
    assert!(
        counts[5..]
            .windows(2)
            .all(|w| (w[1].0 - w[0].0 - 0.5).abs() < 1e-9),
        "then +0.5 km/h"
    );
    let ends: Vec<u64> = [2, 4, 5, 6, 7, 8]
        .map(|i| ladder.stages()[i].distance.as_mm() / 1000)
        .into();
    assert_eq!(ends, [160, 440, 760, 1080, 1400, 1720]);
}

#[test]
fn fourteen_three_is_fourteen_bouts_and_560_metres() {
    let catalogue = Catalogue::built_in();
    let ir1 = catalogue.get("ir1").expect("ir1");
    let place = ir1
        .place(&Query::Label("14.3".into()))
        .expect("on the ladder");
    assert_eq!((place.bout, place.distance), (14, Length::from_m(560)));
    for (label, metres) in (1..=7).map(|n| (format!("14.{n}"), 440 + 40 * n)) {
        let place = ir1.place(&Query::Label(label)).expect("on the ladder");
        assert_eq!(place.distance, Length::from_m(metres));
    }
    let course = &ir1.definition().course;
    assert_eq!(
        course.recovery_leg.as_ref().map(|l| l.value),
        Some(Length::from_m(5))
    );
    assert_eq!(
        course.leg.as_ref().map(|l| l.value),
        Some(Length::from_m(20))
    );
}

/// The last finish, by hand: 2 × 20 m at each speed plus 90 rests of 10 s.
#[test]
fn ninety_one_bouts_end_at_1714_58_seconds() {
    let catalogue = Catalogue::built_in();
    let ladder = catalogue.get("ir1").expect("ir1").ladder().expect("paced");
    let running: f64 = ladder
        .bouts()
        .iter()
        .map(|b| 144.0 / b.speed.as_kmh_f64())
        .sum();
    let last = ladder.last().expect("bouts");
    assert_eq!((last.number, last.distance), (91, Length::from_m(3640)));
    assert!((last.finish.as_secs_f64() - (running + 900.0)).abs() < 1e-6);
    assert!((last.finish.as_secs_f64() - 1714.58).abs() < 0.01);
}
