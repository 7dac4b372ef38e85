//! Source: S43 (2011, abstract read): first run 15 m, 9 km/h, steps of 0.6 km/h, 12 s of running,
//! 6 s of rest, 90 s a stage.

use plimsoll_ladder::Catalogue;

#[test]
fn one_signal_every_six_seconds_and_one_metre_a_stage() {
    let catalogue = Catalogue::built_in();
    let test = catalogue.get("int12_6").expect("known");
    let ladder = test.ladder().expect("paced");
    for bout in ladder.bouts() {
        assert_eq!(bout.start.as_nanos() % 6_000_000_000, 0);
        assert_eq!(
            bout.signals[0].at.since(bout.start).as_nanos(),
            6_000_000_000
        );
        assert_eq!(bout.finish.since(bout.start).as_nanos(), 12_000_000_000);
        let leg = 15 + bout.stage as u64;
        assert_eq!(bout.signals[0].place.as_mm(), leg * 1000);
        assert!((bout.speed.as_kmh_f64() - (9.0 + 0.6 * bout.stage as f64)).abs() < 1e-9);
    }
    let starts: Vec<i64> = ladder.stages().iter().map(|s| s.start.as_nanos()).collect();
    assert!(starts.windows(2).all(|w| w[1] - w[0] == 90_000_000_000));
}
