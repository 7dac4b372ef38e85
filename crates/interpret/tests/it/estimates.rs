//! Estimates: values with doubt, and refusals in words.

use plimsoll_interpret::equations::{
    ChildSpeed, Estimate, EstimateOptions, EstimateResult, Refusal, estimates, estimates_with,
};
use plimsoll_interpret::{Confidence, Performance, Person, Sex};

use crate::{catalogue, performance, person};

fn find<'a>(list: &'a [Estimate], id: &str) -> &'a Estimate {
    list.iter()
        .find(|e| e.equation == id)
        .unwrap_or_else(|| panic!("no `{id}`"))
}

fn refusal(estimate: &Estimate) -> String {
    match &estimate.result {
        EstimateResult::Refused { words, .. } => words.clone(),
        EstimateResult::Value { value, .. } => panic!("{}: a value {value}", estimate.equation),
    }
}

fn shuttle_run() -> Performance {
    Performance {
        final_speed_kmh: Some(12.5),
        shuttles: Some(84),
        stage: Some(9.0),
        level_decimal: Some(10.18),
        ..performance("msr20")
    }
}

#[test]
fn no_published_error_no_interval() {
    let run = Performance {
        distance_m: Some(1480.0),
        ..performance("ir1")
    };
    let list = estimates(&catalogue(), &run, &person(Sex::Male, 24.0), false);
    let found = find(&list, "ir1_bangsbo2008");
    assert!((found.value().expect("a value") - 48.832).abs() < 1e-9);
    let EstimateResult::Value {
        interval_95,
        interval_words,
        ..
    } = &found.result
    else {
        panic!("a value")
    };
    assert_eq!(*interval_95, None);
    assert_eq!(
        interval_words,
        "no standard error of estimate is published, so no interval is given"
    );
    assert_eq!(found.confidence, Confidence::FromMemory);
    assert!(found.cautions.iter().any(|c| c.contains("17.8 %")));
    assert!(
        found
            .cautions
            .iter()
            .any(|c| c == "The ages of the sample are not reported.")
    );
    assert!(found.sample.contains("n=141"));
}

#[test]
fn a_published_error_gives_the_interval() {
    let list = estimates(
        &catalogue(),
        &shuttle_run(),
        &person(Sex::Male, 25.0),
        false,
    );
    let found = find(&list, "msr20_leger1989_adult");
    let EstimateResult::Value {
        value,
        interval_95: Some((low, high)),
        interval_words,
    } = &found.result
    else {
        panic!("an interval")
    };
    assert!((value - 47.6).abs() < 1e-9);
    assert!((high - low - 2.0 * 1.96 * 4.4).abs() < 1e-9);
    assert_eq!(
        interval_words,
        "95 %: plus and minus 1.96 x SEE 4.4 (source read (abstract/summary only))"
    );
}

#[test]
fn the_error_carries_its_own_tag() {
    let list = estimates(
        &catalogue(),
        &shuttle_run(),
        &person(Sex::Male, 25.0),
        false,
    );
    let found = find(&list, "msr20_ramsbottom1988");
    let EstimateResult::Value { interval_words, .. } = &found.result else {
        panic!("a value")
    };
    assert!(
        interval_words.ends_with("SEE 3.5 (from memory)"),
        "{interval_words}"
    );
}

#[test]
fn off_for_children_unless_asked_for() {
    let list = estimates(
        &catalogue(),
        &shuttle_run(),
        &person(Sex::Female, 13.2),
        false,
    );
    assert!(list.len() > 8);
    for estimate in &list {
        assert_eq!(
            refusal(estimate),
            "estimates are off for children unless asked for"
        );
    }
    let list = estimates(
        &catalogue(),
        &shuttle_run(),
        &person(Sex::Female, 13.2),
        true,
    );
    let child = find(&list, "msr20_leger1988_child")
        .value()
        .expect("a value");
    // 31.025 + 3.238 x 12.5 - 3.248 x 13 + 0.1536 x 12.5 x 13
    assert!((child - 54.236).abs() < 1e-9, "{child}");
    assert_eq!(
        refusal(find(&list, "msr20_leger1989_adult")),
        "age 13.2 is outside the people the equation was made on (19 to 47 y)"
    );
    assert_eq!(
        refusal(find(&list, "msr20_stickland2003_men")),
        "the equation was made on men or boys only"
    );
    assert_eq!(
        refusal(find(&list, "msr20_matsuzaka2004_speed")),
        "body mass index (kg/m2) is needed and not known"
    );
}

#[test]
fn a_sample_of_unknown_age_says_nothing_about_a_child() {
    let run = Performance {
        distance_m: Some(1480.0),
        ..performance("ir1")
    };
    let list = estimates(&catalogue(), &run, &person(Sex::Male, 15.0), true);
    assert_eq!(
        refusal(find(&list, "ir1_bangsbo2008")),
        "the ages of the people the equation was made on are not reported, so it is not used for \
         a child"
    );
}

#[test]
fn an_unknown_age_is_refused_with_a_way_out() {
    let run = Performance {
        distance_m: Some(1480.0),
        ..performance("ir1")
    };
    let list = estimates(&catalogue(), &run, &Person::default(), false);
    assert_eq!(list.len(), 1, "no heart-rate equation without an age");
    assert_eq!(
        refusal(&list[0]),
        "the age is not known, and estimates are off for children unless asked for; enter the \
         date of birth or ask for estimates of children too"
    );
    assert!(
        estimates(&catalogue(), &run, &Person::default(), true)[0]
            .value()
            .is_some()
    );
}

#[test]
fn the_estimate_nobody_should_see_by_default_is_marked() {
    let run = Performance {
        distance_m: Some(600.0),
        ..performance("ir2")
    };
    let list = estimates(&catalogue(), &run, &person(Sex::Male, 24.0), false);
    let found = find(&list, "ir2_bangsbo2008");
    assert!(!found.shown_by_default);
    assert!((found.value().expect("a value") - 53.46).abs() < 1e-9);
}

#[test]
fn half_stages_come_from_the_level_being_run() {
    let list = estimates(
        &catalogue(),
        &shuttle_run(),
        &person(Sex::Male, 25.0),
        false,
    );
    // Level 10.18: 9.18 stages complete, last half stage 9.0.
    let men = find(&list, "msr20_stickland2003_men")
        .value()
        .expect("a value");
    assert!((men - (2.75 * 9.0 + 28.8)).abs() < 1e-9, "{men}");
    let later = Performance {
        level_decimal: Some(10.6),
        ..shuttle_run()
    };
    let list = estimates(&catalogue(), &later, &person(Sex::Male, 25.0), false);
    let men = find(&list, "msr20_stickland2003_men")
        .value()
        .expect("a value");
    assert!((men - (2.75 * 9.5 + 28.8)).abs() < 1e-9, "{men}");
}

#[test]
fn the_child_equation_can_take_the_announced_stage() {
    let options = EstimateOptions {
        allow_children: true,
        child_speed: ChildSpeed::LastAnnounced,
    };
    let girl = person(Sex::Female, 13.2);
    let list = estimates_with(&catalogue(), &shuttle_run(), &girl, options);
    let announced = find(&list, "msr20_leger1988_child");
    // Level 10 is announced: 8 + 0.5 x 10 = 13 km/h.
    let want = 31.025 + 3.238 * 13.0 - 3.248 * 13.0 + 0.1536 * 13.0 * 13.0;
    assert!((announced.value().expect("a value") - want).abs() < 1e-9);
    assert!(
        announced
            .cautions
            .iter()
            .any(|c| c.contains("last stage announced"))
    );
}

#[test]
fn distances_of_the_timed_runs_are_checked() {
    let adult = Person {
        mass_kg: Some(70.0),
        ..person(Sex::Male, 22.0)
    };
    let run = |metres| Performance {
        distance_m: Some(metres),
        time_s: Some(600.0),
        ..performance("run_distance")
    };
    let list = estimates(&catalogue(), &run(2414.0), &adult, false);
    let mile_and_half = find(&list, "run_distance_george1993");
    // 88.02 + 3.716 - 0.1656 x 70 - 2.767 x 10
    assert!((mile_and_half.value().expect("a value") - 52.474).abs() < 1e-9);
    let list = estimates(&catalogue(), &run(2400.0), &adult, false);
    assert_eq!(
        refusal(find(&list, "run_distance_george1993")),
        "distance (m) is 2400: the equation is for 1.5 miles (2414 m)"
    );
    let list = estimates(&catalogue(), &run(1609.0), &adult, false);
    assert_eq!(
        refusal(find(&list, "run_distance_george1993_jog")),
        "heart rate (bpm) is needed and not known"
    );
}

#[test]
fn numbers_that_cannot_be_right_are_refused() {
    for bad in [f64::NAN, f64::INFINITY, -1.0, 1e9] {
        let run = Performance {
            distance_m: Some(bad),
            ..performance("ir1")
        };
        let list = estimates(&catalogue(), &run, &person(Sex::Male, 24.0), false);
        let EstimateResult::Refused { refusal, .. } = &find(&list, "ir1_bangsbo2008").result else {
            panic!("{bad} was taken")
        };
        assert!(
            matches!(refusal, Refusal::Implausible { .. }),
            "{refusal:?}"
        );
    }
    let run = Performance {
        distance_m: Some(1000.0),
        ..performance("run12")
    };
    let old = person(Sex::Male, f64::NAN);
    assert!(
        find(&estimates(&catalogue(), &run, &old, false), "run12_1968")
            .value()
            .is_none()
    );
}

#[test]
fn heart_rate_comes_with_an_age_and_a_wide_interval() {
    let list = estimates(
        &catalogue(),
        &performance("ir1"),
        &person(Sex::Female, 30.0),
        false,
    );
    let found = find(&list, "hrmax_tanaka2001");
    assert_eq!(found.predicts, "heart_rate_max");
    assert_eq!(found.value(), Some(187.0));
    let EstimateResult::Value {
        interval_95: Some((low, high)),
        ..
    } = found.result
    else {
        panic!("an interval")
    };
    assert!(
        high - low > 39.0,
        "a zone from a formula is uncertain by 20 bpm either way"
    );
}

/// Every equation of terms gives a value for somebody: none is dead data.
#[test]
fn every_equation_can_be_reached() {
    let all = catalogue();
    let mut reached = std::collections::BTreeSet::new();
    for sex in [Sex::Male, Sex::Female] {
        for age in [9.0, 13.0, 16.0, 20.0, 24.0, 40.0] {
            for metres in [1400.0, 2414.0] {
                for test in all.equations.iter().flat_map(|e| &e.tests) {
                    let run = Performance {
                        distance_m: Some(metres),
                        time_s: Some(600.0),
                        ..Performance {
                            test: test.clone(),
                            ..shuttle_run()
                        }
                    };
                    let someone = Person {
                        mass_kg: Some(60.0),
                        bmi: Some(20.0),
                        ..person(sex, age)
                    };
                    for estimate in estimates(&all, &run, &someone, true) {
                        if estimate.value().is_some() {
                            reached.insert(estimate.equation);
                        }
                    }
                }
            }
        }
    }
    // These two need inputs that no test gives: a heart rate, and a treadmill speed.
    let unreachable = ["run_distance_george1993_jog", "running_steady"];
    for equation in all.equations.iter().filter(|e| e.code.is_none()) {
        let id = equation.id.as_str();
        assert_eq!(reached.contains(id), !unreachable.contains(&id), "{id}");
    }
}
