//! References: eligibility, grade, standing, and "no adequate reference".

use plimsoll_interpret::reference::{
    MatchGrade, ReferenceAnswer, ReferenceMatch, ReferenceQuery, ReferenceStanding,
    find_references, stand_in_squad,
};
use plimsoll_interpret::{Confidence, Sex};

use crate::catalogue;

fn query(test: &str, metric: &str, sex: Sex, age: f64, value: f64) -> ReferenceQuery {
    ReferenceQuery {
        test: test.to_owned(),
        metric: metric.to_owned(),
        sex: Some(sex),
        age_years: Some(age),
        value: Some(value),
        ..ReferenceQuery::default()
    }
}

fn found(query: &ReferenceQuery) -> Vec<ReferenceMatch> {
    match find_references(&catalogue(), query).expect("an answer") {
        ReferenceAnswer::Found { matches } => matches,
        ReferenceAnswer::NoAdequateReference { why, .. } => panic!("{why}"),
    }
}

#[test]
fn thirty_people_give_a_z_and_fewer_a_mean() {
    let matches = found(&query("ir1", "distance_m", Sex::Male, 24.0, 1445.0));
    let basketball = matches
        .iter()
        .find(|m| m.group.contains("basketball"))
        .expect("a match");
    let ReferenceStanding::Placed { z, centile } = basketball.standing else {
        panic!("placed")
    };
    // (1445 - 1235) / 210 = 1, 84.1 %.
    assert!((z - 1.0).abs() < 1e-12, "{z}");
    assert!((centile - 84.134_474_606_854_3).abs() < 1e-9);
    assert_eq!((basketball.n, basketball.year), (Some(30), Some(2024)));
    let division = matches
        .iter()
        .find(|m| m.group.contains("division 3"))
        .expect("a match");
    assert_eq!(
        division.standing,
        ReferenceStanding::MeanOnly {
            mean: 1933.0,
            sd: Some(395.0),
            why: "only 6 people, under 30".to_owned()
        }
    );
    assert_eq!(division.grade, MatchGrade::Loose);
}

#[test]
fn sex_and_age_decide_and_standard_grades() {
    let boys = found(&query("ir1", "distance_m", Sex::Male, 14.0, 1800.0));
    assert!(boys.iter().all(|m| m.group.contains("men or boys")));
    assert!(boys.iter().any(|m| m.id == "deprez2014a"));
    assert!(
        !boys.iter().any(|m| m.group.contains("division")),
        "adults are not boys of 14"
    );
    let mut wanted = query("ir1", "distance_m", Sex::Male, 24.0, 1300.0);
    wanted.standard = Some("field hockey".to_owned());
    let matches = found(&wanted);
    assert_eq!(matches[0].id, "mirani2024");
    assert_eq!(matches[0].grade, MatchGrade::Close);
    assert!(matches[0].group.contains("field hockey"));
    assert!(matches[1..].iter().all(|m| m.grade > MatchGrade::Close));
    let other = matches
        .iter()
        .find(|m| m.group.contains("basketball"))
        .expect("a match");
    assert!(
        other
            .reasons
            .iter()
            .any(|r| r.starts_with("another standard: basketball"))
    );
}

#[test]
fn rows_from_memory_are_hidden_until_asked_for() {
    let mut wanted = query("vo2max_treadmill", "vo2max", Sex::Male, 25.0, 50.0);
    let matches = found(&wanted);
    let table = matches
        .iter()
        .find(|m| m.id == "kaminsky2015")
        .expect("a match");
    assert_eq!(table.hidden_rows, 6);
    assert_eq!(table.confidence, Confidence::SourceReadAbstract);
    assert_eq!(
        table.standing,
        ReferenceStanding::OffTable {
            words: "above P50".to_owned()
        }
    );
    wanted.from_memory = true;
    let matches = found(&wanted);
    let table = matches
        .iter()
        .find(|m| m.id == "kaminsky2015")
        .expect("a match");
    assert_eq!(
        (table.hidden_rows, table.confidence),
        (0, Confidence::FromMemory)
    );
    assert!(
        table.reasons.iter().any(|r| r == "from memory, not seen")
            || table.grade > MatchGrade::Close
    );
    let ReferenceStanding::Placed { centile, .. } = table.standing else {
        panic!("placed")
    };
    // Between P50 = 48.0 and P75 = 55.2: 2 / 7.2 of 0.6745 in z is 0.1874, P57.4.
    assert!((centile - 57.43).abs() < 0.01, "{centile}");
    wanted.value = Some(20.0);
    let table = found(&wanted)
        .into_iter()
        .find(|m| m.id == "kaminsky2015")
        .expect("a match");
    assert_eq!(
        table.standing,
        ReferenceStanding::OffTable {
            words: "below P5".to_owned()
        }
    );
    wanted.value = Some(70.0);
    let table = found(&wanted)
        .into_iter()
        .find(|m| m.id == "kaminsky2015")
        .expect("a match");
    assert_eq!(
        table.standing,
        ReferenceStanding::OffTable {
            words: "above P95".to_owned()
        }
    );
}

#[test]
fn an_estimate_against_measured_values_is_indicative() {
    let mut wanted = query("vo2max_treadmill", "vo2max", Sex::Female, 25.0, 40.0);
    wanted.is_estimate = true;
    for found in found(&wanted) {
        assert!(
            found.reasons.iter().any(|r| r.ends_with("indicative only")),
            "{found:?}"
        );
        assert!(found.grade > MatchGrade::Close);
    }
}

#[test]
fn no_adequate_reference_says_what_was_looked_for() {
    let wanted = query("ir1", "distance_m", Sex::Female, 13.0, 900.0);
    let answer = find_references(&catalogue(), &wanted).expect("an answer");
    let ReferenceAnswer::NoAdequateReference {
        looked_for,
        why,
        nearest,
    } = answer
    else {
        panic!("none is known")
    };
    assert_eq!(
        looked_for,
        "distance_m in ir1, female, 13 y, standard not given"
    );
    assert_eq!(
        why,
        "no population of this sex and age is known for it; add one as a file"
    );
    assert!(
        nearest.iter().any(|n| n.contains("men or boys")),
        "{nearest:?}"
    );
    let wanted = query("int30_15_40", "final_speed_kmh", Sex::Female, 25.0, 17.0);
    let answer = find_references(&catalogue(), &wanted).expect("an answer");
    let ReferenceAnswer::NoAdequateReference { why, .. } = answer else {
        panic!("hidden")
    };
    assert!(
        why.contains("2 rows that fit are from memory and hidden"),
        "{why}"
    );
    let nobody = ReferenceQuery {
        sex: None,
        ..query("ir1", "distance_m", Sex::Male, 24.0, 1.0)
    };
    let answer = find_references(&catalogue(), &nobody).expect("an answer");
    let ReferenceAnswer::NoAdequateReference { why, .. } = answer else {
        panic!("no sex")
    };
    assert_eq!(why, "references are split by sex and age: give both");
}

#[test]
fn ranges_and_cut_points_are_not_centiles() {
    let mut wanted = query("int30_15_40", "final_speed_kmh", Sex::Male, 25.0, 19.0);
    wanted.from_memory = true;
    assert!(
        found(&wanted)
            .iter()
            .any(|m| matches!(m.standing, ReferenceStanding::Range { .. }))
    );
    let mut wanted = query("msr20", "vo2max", Sex::Female, 12.0, 39.0);
    wanted.from_memory = true;
    let matches = found(&wanted);
    let welk = matches
        .iter()
        .find(|m| m.id == "welk2011")
        .expect("a match");
    let below = ReferenceStanding::CutPoint {
        at: 40.1,
        reached: Some(false),
    };
    assert_eq!(welk.standing, below);
    let ruiz = matches
        .iter()
        .find(|m| m.id == "ruiz2016")
        .expect("a match");
    let above = ReferenceStanding::CutPoint {
        at: 34.6,
        reached: Some(true),
    };
    assert_eq!(ruiz.standing, above);
}

#[test]
fn converted_standard_errors_are_marked() {
    let matches = found(&query("ir2", "distance_m", Sex::Male, 27.0, 900.0));
    let converted: Vec<_> = matches.iter().filter(|m| m.sd_from_sem).collect();
    assert_eq!(converted.len(), 2);
    let without = matches
        .iter()
        .find(|m| m.group.contains("international elite"))
        .expect("a match");
    assert!(matches!(
        without.standing,
        ReferenceStanding::MeanOnly { sd: None, .. }
    ));
}

/// No answer puts a word such as "good" on a value.
#[test]
fn no_category_words() {
    let mut texts = String::new();
    for (sex, age) in [(Sex::Male, 14.0), (Sex::Male, 24.0), (Sex::Female, 24.0)] {
        for (test, metric) in [
            ("ir1", "distance_m"),
            ("ir2", "distance_m"),
            ("msr20", "vo2max"),
        ] {
            let mut wanted = query(test, metric, sex, age, 1000.0);
            wanted.from_memory = true;
            let answer = find_references(&catalogue(), &wanted).expect("an answer");
            texts.push_str(&serde_json::to_string(&answer).expect("JSON").to_lowercase());
        }
    }
    assert!(texts.len() > 1000);
    for word in [
        "excellent",
        "\"good",
        "poor",
        "superior",
        "below average",
        "unfit",
        "very good",
    ] {
        assert!(!texts.contains(word), "{word}");
    }
}

#[test]
fn broken_values_are_worded() {
    let fault = find_references(
        &catalogue(),
        &query("ir1", "distance_m", Sex::Male, 24.0, f64::NAN),
    );
    assert_eq!(
        fault.expect_err("a fault").to_string(),
        "value is NaN; allowed is a finite number; correct the value"
    );
}

#[test]
fn a_small_squad_gives_a_rank() {
    let squad = [1200.0, 1600.0, 1600.0, 2000.0];
    let got = stand_in_squad(&squad, 1600.0, true).expect("a place");
    assert_eq!(
        (got.n, got.rank, got.mean, got.placed),
        (4, 2, 1600.0, None)
    );
    let times = stand_in_squad(&[300.0, 280.0, 290.0], 280.0, false).expect("a place");
    assert_eq!(times.rank, 1);
    let large: Vec<f64> = (0..30).map(|i| 1000.0 + 40.0 * f64::from(i)).collect();
    let got = stand_in_squad(&large, 1580.0, true).expect("a place");
    let (z, centile) = got.placed.expect("a z from 30 on");
    assert!(z.abs() < 1e-9 && (centile - 50.0).abs() < 1e-9);
    assert!(stand_in_squad(&[], 1.0, true).is_err());
    assert!(stand_in_squad(&[1.0], f64::NAN, true).is_err());
    let same = stand_in_squad(&[5.0; 40], 5.0, true).expect("a place");
    assert_eq!(same.placed, None, "no spread, no z");
}
