//! Where sources contradict each other and no figure decides: what was chosen, as settings.
//! Source: the sources named in each definition; items of the officiating notes, section 12.
//! The other items are checked beside their own source: `ir2_2006`, `msr20`, `int30_15`.

use plimsoll_ladder::{Catalogue, Test, Work};

fn with(id: &str, check: impl FnOnce(&Test)) {
    check(Catalogue::built_in().get(id).expect("known"));
}

/// DIFFERENCE (item 2): papers on the recovery tests differ on whether the last, incomplete bout
/// counts. Completed bouts count here; it is a setting, tagged common practice.
#[test]
fn only_completed_bouts_count_in_the_recovery_tests() {
    for id in ["ir1", "ir2", "ir1c"] {
        with(id, |t| {
            let rule = t
                .definition()
                .rules
                .last_incomplete_counts
                .as_ref()
                .expect("a setting");
            assert!(!rule.value);
        });
    }
}

/// DIFFERENCE (item 5): misses end a run by two in all (recovery tests), two in a row (20 m test,
/// Japan and the preschool form), three in a row (30 s / 15 s), or one lag of 2 m (French police).
#[test]
fn the_end_rule_is_a_setting_of_each_test() {
    let rule = |id: &str| {
        let catalogue = Catalogue::built_in();
        let rules = &catalogue.get(id).expect("known").definition().rules;
        let limit = rules.miss_limit.as_ref().map(|l| l.value);
        (limit, rules.miss_counting.as_ref().map(|c| c.value.clone()))
    };
    let set = |n: u32, how: &str| (Some(n), Some(how.to_owned()));
    assert_eq!(rule("ir1"), set(2, "cumulative"));
    assert_eq!(rule("msr20"), set(2, "consecutive"));
    assert_eq!(rule("msr20_whole_jp"), set(2, "consecutive"));
    assert_eq!(rule("int30_15_40"), set(3, "consecutive"));
    assert_eq!(rule("msr20_fr"), set(1, "consecutive"));
}

/// DIFFERENCE (item 7): the author of the 45 s / 15 s test has one run a step, a club report two.
/// One run a step is used: steps are 60 s apart.
#[test]
fn one_run_a_step_in_the_45_15_test() {
    with("int45_15", |t| {
        assert!(
            t.definition()
                .stages
                .iter()
                .all(|s| s.work == Work::Bouts(1))
        );
        let starts: Vec<i64> = t
            .ladder()
            .expect("paced")
            .stages()
            .iter()
            .map(|s| s.start.as_nanos())
            .collect();
        assert!(starts.windows(2).all(|w| w[1] - w[0] == 60_000_000_000));
    });
}

/// DIFFERENCE (item 8): the track test of 1980 rises by one MET every 2 min from a walk, its later
/// form by 1 km/h from 8 km/h. The later form is used.
#[test]
fn the_track_test_rises_by_one_kilometre_an_hour() {
    with("track_2min", |t| {
        for (n, stage) in t.ladder().expect("paced").stages().iter().enumerate() {
            assert!((stage.speed.as_kmh_f64() - (8.0 + n as f64)).abs() < 1e-9);
            assert_eq!(stage.end.since(stage.start).as_nanos(), 120_000_000_000);
        }
    });
}
