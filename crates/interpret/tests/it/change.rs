//! Change between results: verdicts, bounds, which result is compared with.

use plimsoll_interpret::change::{
    ChangeContext, ChangeReport, FlagCode, Observation, Verdict, assess_change,
};
use plimsoll_interpret::reliability::ErrorAnswer;
use plimsoll_interpret::{Person, Sex, Size, Unit};

use crate::{catalogue, person};

fn metres(day: i64, value: f64) -> Observation {
    Observation {
        trial_number: Some(3),
        ..Observation::new(day, value, Unit::Metres)
    }
}

fn man() -> Person {
    person(Sex::Male, 24.0)
}

fn assess(before: &[Observation], now: &Observation) -> ChangeReport {
    let man = man();
    assess_change(&catalogue(), before, now, &ChangeContext::new("ir1", &man)).expect("a report")
}

#[test]
fn a_large_rise_is_likely_better_and_a_small_one_is_not_told_from_noise() {
    let report = assess(&[metres(0, 1480.0)], &metres(60, 1880.0));
    let pair = report.previous.expect("a comparison");
    assert_eq!(pair.words, "very likely better (more than 99 %)");
    let numbers = pair.numbers.expect("numbers");
    let sum = numbers.chances.up + numbers.chances.trivial + numbers.chances.down;
    assert!((sum - 1.0).abs() < 1e-12);
    assert_eq!(numbers.difference, 400.0);
    // CV 4.9 %: 14.2 % of 1480 m is 210 m, six bouts.
    assert_eq!(
        (numbers.detectable.up, numbers.detectable.up_steps),
        (240.0, Some(6.0))
    );
    assert!(numbers.interval_90.0 < 400.0 && numbers.interval_90.1 > 400.0);
    let report = assess(&[metres(0, 1480.0)], &metres(60, 1560.0));
    assert_eq!(
        report.previous.expect("a comparison").words,
        "cannot tell from noise"
    );
    let report = assess(&[metres(0, 1880.0)], &metres(60, 1480.0));
    assert_eq!(
        report.previous.expect("a comparison").words,
        "very likely worse (more than 99 %)"
    );
}

#[test]
fn the_basis_names_error_and_worthwhile_change() {
    let report = assess(&[metres(0, 1480.0)], &metres(60, 1880.0));
    let ErrorAnswer::Chosen(error) = &report.error else {
        panic!("an error")
    };
    assert!(error.basis.contains("Krustrup 2003"));
    let pair = report.previous.expect("a comparison");
    assert_eq!(
        pair.worthwhile.expect("a change").basis,
        "default smallest worthwhile change 70 m: 0.2 x a typical between-person SD of 350 m \
         (Deprez 2014: 337-470 m by age group) (derived arithmetic)"
    );
}

#[test]
fn a_squads_spread_is_corrected_for_error() {
    let man = man();
    let context = ChangeContext {
        squad_sd: Some(300.0),
        ..ChangeContext::new("ir1", &man)
    };
    let report = assess_change(
        &catalogue(),
        &[metres(0, 1480.0)],
        &metres(60, 1640.0),
        &context,
    )
    .expect("a report");
    let least = report
        .previous
        .expect("a comparison")
        .worthwhile
        .expect("a change");
    let Size::InUnit(size) = least.size else {
        panic!("metres")
    };
    // 0.2 x root(300^2 - (0.049 x 1480)^2)
    let want = 0.2 * (300.0_f64.powi(2) - 72.52_f64.powi(2)).sqrt();
    assert!((size - want).abs() < 1e-9, "{size} v {want}");
    // A spread smaller than the error is not used, and the default says why.
    let context = ChangeContext {
        squad_sd: Some(50.0),
        ..context
    };
    let report = assess_change(
        &catalogue(),
        &[metres(0, 1480.0)],
        &metres(60, 1640.0),
        &context,
    )
    .expect("a report");
    let least = report
        .previous
        .expect("a comparison")
        .worthwhile
        .expect("a change");
    assert!(
        least.basis.contains("the squad's SD was not used"),
        "{}",
        least.basis
    );
}

#[test]
fn the_first_result_is_not_a_baseline() {
    let now = Observation::new(10, 1480.0, Unit::Metres);
    let report = assess(&[], &now);
    assert!(report.previous.is_none() && report.best.is_none());
    assert_eq!(report.flags[0].code, FlagCode::FirstTrial);
    assert!(report.flags[0].words.contains("not a baseline"));
    assert!(
        report.flags[0]
            .evidence
            .iter()
            .any(|e| e.source.contains("Lamb & Rogers 2007"))
    );
}

#[test]
fn previous_is_the_latest_before_and_best_the_highest_comparable() {
    let before = [
        metres(30, 1600.0),
        metres(0, 1760.0),
        metres(90, 2400.0),
        Observation {
            surface: Some("turf".into()),
            ..metres(10, 2000.0)
        },
        Observation {
            ill: Some(true),
            ..metres(12, 1900.0)
        },
        Observation {
            lower_bound: true,
            ..metres(14, 1880.0)
        },
        Observation {
            trial_number: Some(1),
            ..metres(-5, 1840.0)
        },
        Observation {
            rules: Some("b".into()),
            ..metres(16, 1960.0)
        },
    ];
    let now = Observation {
        surface: Some("grass".into()),
        rules: Some("a".into()),
        ..metres(60, 1640.0)
    };
    let report = assess(&before, &now);
    let previous = report.previous.expect("previous");
    assert_eq!((previous.day, previous.value), (30, 1600.0));
    let best = report.best.expect("best");
    assert_eq!(
        (best.day, best.value),
        (0, 1760.0),
        "later results do not count"
    );
    assert!(best.flags.iter().any(|f| f.code == FlagCode::BestOfSeveral));
}

#[test]
fn at_least_allows_one_side_only() {
    let open = |o: Observation| Observation {
        lower_bound: true,
        ..o
    };
    let words = |old: Observation, now: Observation| {
        let pair = assess(&[old], &now).previous.expect("a comparison");
        let open = now.lower_bound
            || now.ceiling
            || pair
                .flags
                .iter()
                .any(|f| matches!(f.code, FlagCode::LowerBoundBefore | FlagCode::CeilingBefore));
        assert!(
            open && pair.numbers.is_none(),
            "chances that a bound makes empty are not shown"
        );
        pair.words
    };
    assert_eq!(
        words(metres(0, 1480.0), open(metres(60, 1720.0))),
        "likely better (at least 94 %)"
    );
    assert_eq!(
        words(metres(0, 1480.0), open(metres(60, 1240.0))),
        "unclear: this result is only known as \"at least\", and what is known of it shows no rise"
    );
    assert_eq!(
        words(open(metres(0, 1880.0)), metres(60, 1480.0)),
        "very likely worse (more than 99 %)"
    );
    assert_eq!(
        words(open(metres(0, 1480.0)), metres(60, 1880.0)),
        "unclear: the earlier result is only known as \"at least\", and this one is not clearly \
         below it"
    );
    assert_eq!(
        words(open(metres(0, 1480.0)), open(metres(60, 1880.0))),
        "unclear: both results are only known as \"at least\""
    );
    let ceiling = |o: Observation| Observation { ceiling: true, ..o };
    assert_eq!(
        words(metres(0, 1480.0), ceiling(metres(60, 3640.0))),
        "very likely better (more than 99 %)"
    );
}

#[test]
fn other_rules_or_another_course_make_it_unclear() {
    let old = Observation {
        rules: Some("a".into()),
        ..metres(0, 1480.0)
    };
    let now = Observation {
        rules: Some("b".into()),
        ..metres(60, 1880.0)
    };
    let pair = assess(&[old], &now).previous.expect("a comparison");
    assert_eq!(pair.words, "unclear: ladder or rule settings differ");
    assert!(
        pair.numbers.is_some(),
        "the numbers are still there to read"
    );
    let old = Observation {
        course_length_mm: Some(20_000),
        ..metres(0, 1480.0)
    };
    let now = Observation {
        course_length_mm: Some(19_800),
        ..metres(60, 1880.0)
    };
    let pair = assess(&[old], &now).previous.expect("a comparison");
    assert_eq!(pair.words, "unclear: the courses differ in length");
    assert!(
        pair.flags[0]
            .words
            .contains("19.8 m long, the earlier one 20 m")
    );
}

#[test]
fn units_must_agree() {
    let old = Observation::new(0, 70.0, Unit::Shuttles);
    let pair = assess(&[old], &metres(60, 1480.0))
        .previous
        .expect("a comparison");
    assert_eq!(
        pair.words,
        "unclear: one result is in shuttles, the other in m"
    );
    let man = man();
    let kmh = |day, v| Observation::new(day, v, Unit::KmPerHour);
    let context = ChangeContext::new("ir1", &man);
    let report = assess_change(&catalogue(), &[kmh(0, 16.0)], &kmh(60, 17.0), &context);
    let pair = report.expect("a report").previous.expect("a comparison");
    assert!(
        pair.words
            .contains("results of ir1 are compared in m, these are in km/h")
    );
}

#[test]
fn a_time_is_better_when_lower() {
    let man = man();
    let context = ChangeContext {
        error: Some(Size::Percent(2.0)),
        worthwhile: Some(Size::Percent(1.0)),
        ..ChangeContext::new("shuttle1200", &man)
    };
    let at = |day, v| Observation::new(day, v, Unit::Seconds);
    let report = assess_change(
        &catalogue(),
        &[at(0, 300.0), at(10, 280.0)],
        &at(60, 270.0),
        &context,
    )
    .expect("a report");
    let best = report.best.expect("best");
    assert_eq!(best.value, 280.0, "the lowest time is the best");
    let report =
        assess_change(&catalogue(), &[at(0, 300.0)], &at(60, 270.0), &context).expect("a report");
    let pair = report.previous.expect("a comparison");
    assert!(
        matches!(pair.verdict, Verdict::Better { .. }),
        "{}",
        pair.words
    );
    let unfinished = Observation {
        lower_bound: true,
        ..at(60, 200.0)
    };
    let report =
        assess_change(&catalogue(), &[at(0, 300.0)], &unfinished, &context).expect("a report");
    assert_eq!(
        report.previous.expect("a comparison").words,
        "unclear: a run that was not finished gives no time to compare"
    );
}

#[test]
fn no_error_is_unclear_not_a_guess() {
    let girl = person(Sex::Female, 16.0);
    let context = ChangeContext::new("ir1", &girl);
    let report = assess_change(
        &catalogue(),
        &[metres(0, 1480.0)],
        &metres(60, 1880.0),
        &context,
    )
    .expect("a report");
    let pair = report.previous.expect("a comparison");
    assert!(
        pair.words
            .starts_with("unclear: no adequate error estimate"),
        "{}",
        pair.words
    );
    assert!(pair.numbers.is_none());
}

#[test]
fn zero_and_broken_values() {
    let pair = assess(&[metres(0, 0.0)], &metres(60, 400.0))
        .previous
        .expect("a comparison");
    assert_eq!(
        pair.words,
        "unclear: a result of 0 cannot be compared in percent"
    );
    let man = man();
    for bad in [f64::NAN, -1.0, f64::INFINITY] {
        let context = ChangeContext::new("ir1", &man);
        let fault = assess_change(
            &catalogue(),
            &[metres(0, bad)],
            &metres(60, 400.0),
            &context,
        );
        let message = fault.expect_err("a fault").to_string();
        let want = format!("result is {bad}; allowed is 0 or a number above it; correct the value");
        assert_eq!(message, want);
    }
}

#[test]
fn a_report_goes_out_as_json() {
    let report = assess(&[metres(0, 1480.0)], &metres(60, 1880.0));
    let json = serde_json::to_value(&report).expect("JSON");
    assert_eq!(json["previous"]["verdict"]["code"], "better");
    assert_eq!(json["error"]["answer"], "chosen");
    assert!(
        json["previous"]["numbers"]["chances"]["up"]
            .as_f64()
            .expect("a number")
            > 0.9
    );
}

#[test]
fn a_bound_on_another_course_keeps_no_chances_of_an_exact_difference() {
    let now = Observation {
        lower_bound: true,
        course_length_mm: Some(19_800),
        ..metres(60, 1880.0)
    };
    let old = Observation {
        course_length_mm: Some(20_000),
        ..metres(0, 1480.0)
    };
    let pair = assess(&[old], &now).previous.expect("a comparison");
    assert!(
        pair.words.starts_with("unclear: the courses differ"),
        "{}",
        pair.words
    );
    assert_eq!(pair.numbers, None);
}
