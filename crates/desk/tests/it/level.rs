//! Levels out of the archive: what they hold, when they are refused, and what a shifted wave is taken for.

use plimsoll_desk::Choices;
use plimsoll_desk::level::{SquadLevels, members, wave_finding};
use plimsoll_interpret::Size;

use crate::club::{Club, day, usual};

#[test]
fn a_level_lies_between_the_persons_results_and_the_squads_and_gets_surer_with_tests() {
    let club = Club::new(14, 6, |person, day| Some(usual(person, day)));
    let levels = club.levels(None).expect("levels");
    for person in &club.people {
        let found = levels
            .person(&person.to_string(), day(5), 0.01)
            .expect("a level");
        assert_eq!(found.points.len(), 6);
        for point in &found.points {
            assert!(point.lower < point.level && point.level < point.upper);
            assert!((point.p_up + point.p_trivial + point.p_down - 1.0).abs() < 1e-9);
        }
        let results: Vec<f64> = found.points.iter().filter_map(|p| p.result).collect();
        let spread = results
            .iter()
            .fold(0.0f64, |m, r| m.max((r / results[0]).ln().abs()));
        let moved = found.points.iter().fold(0.0f64, |m, p| {
            m.max((p.level / found.points[0].level).ln().abs())
        });
        assert!(moved <= spread + 0.02, "levels move less than results");
        let next = &found.next;
        assert!(
            next.low90 < found.points[5].lower && found.points[5].upper < next.high90,
            "one more result is less sure than the level"
        );
    }
}

#[test]
fn a_real_rise_is_seen_and_none_is_not() {
    let club = Club::new(14, 6, |person, day| {
        let gain = if person < 3 && day >= 3 { 22 } else { 0 };
        Some(usual(person, day) + gain)
    });
    let levels = club.levels(Some(Size::Percent(5.0))).expect("levels");
    for (n, person) in club.people.iter().enumerate() {
        let found = levels
            .person(&person.to_string(), day(5), 0.01)
            .expect("a level");
        let since_start = &found.points[0];
        if n < 3 {
            assert!(since_start.p_up > 0.95, "{n}: {}", since_start.p_up);
        } else {
            assert!(since_start.p_up < 0.75, "{n}: {}", since_start.p_up);
        }
        assert_eq!(found.change.as_ref().map(|c| c.since), Some(day(4)));
    }
}

#[test]
fn what_a_person_is_given_does_not_hang_on_the_order_of_people_or_on_later_dates() {
    let club = Club::new(9, 4, |person, day| Some(usual(person, day)));
    let test = club.catalogue.get("ir1").expect("shipped");
    let scale = club.facts.scale("ir1");
    let all = members(
        &club.writer,
        &club.facts,
        test,
        &Choices::default(),
        Some(day(2)),
    )
    .expect("read");
    assert!(
        all.iter()
            .all(|m| m.entries.iter().all(|e| e.date() <= day(2)))
    );
    let mut turned = all.clone();
    turned.reverse();
    let (one, two) = (
        SquadLevels::of(test, scale, &all).expect("levels"),
        SquadLevels::of(test, scale, &turned).expect("levels"),
    );
    let id = club.people[4].to_string();
    let (a, b) = (
        one.person(&id, day(2), 0.01).expect("a level"),
        two.person(&id, day(2), 0.01).expect("a level"),
    );
    for (x, y) in a.points.iter().zip(&b.points) {
        assert!(
            (x.level / y.level - 1.0).abs() < 1e-4,
            "{} {}",
            x.level,
            y.level
        );
    }
}

#[test]
fn with_little_to_go_on_it_says_so() {
    let nobody = Club::new(2, 1, |_, _| None);
    assert!(
        nobody
            .levels(None)
            .err()
            .expect("refused")
            .contains("nobody has a result")
    );
    let few = Club::new(2, 1, |person, _| Some(usual(person, 0)));
    let levels = few.levels(None).expect("priors carry it");
    assert!(
        levels.basis().contains("0 people have two results or more"),
        "{}",
        levels.basis()
    );
    let one = levels
        .person(&few.people[0].to_string(), day(0), 0.01)
        .expect("a level");
    assert_eq!((one.points.len(), one.change.is_none()), (1, true));
    let zero = Club::new(1, 2, |_, _| Some(0));
    let levels = zero.levels(None).expect("a bound is something");
    let found = levels
        .person(&zero.people[0].to_string(), day(1), 0.01)
        .expect("a level");
    assert!(
        found
            .points
            .iter()
            .all(|p| p.level.is_finite() && p.level > 0.0)
    );
    assert!(levels.person("nobody", day(1), 0.01).is_err());
    let same = Club::new(12, 5, |_, _| Some(30));
    let levels = same.levels(None).expect("equal results are results");
    let found = levels
        .person(&same.people[0].to_string(), day(4), 0.01)
        .expect("a level");
    assert!(
        found
            .points
            .iter()
            .all(|p| p.upper.is_finite() && p.lower > 0.0)
    );
}

#[test]
fn a_shifted_wave_is_noticed_and_nothing_is_blamed_that_scores_cannot_tell() {
    let quiet = Club::new(14, 6, |person, day| Some(usual(person, day)));
    let finding =
        wave_finding(&quiet.levels(None).expect("levels"), day(5)).expect("enough runners");
    assert_eq!(finding.runners, 14);
    assert_eq!(finding.words, "", "a usual day: {}", finding.shift);
    // A short course on the last day: everybody far above what they do.
    let short = Club::new(14, 6, |person, day| {
        Some(usual(person, day) + if day == 5 { 14 } else { 0 })
    });
    let finding = wave_finding(
        &short.levels(Some(Size::Percent(5.0))).expect("levels"),
        day(5),
    )
    .expect("enough");
    assert!(finding.shift > 0.15, "{}", finding.shift);
    assert!(
        finding.words.contains("cannot be told apart"),
        "{}",
        finding.words
    );
    let few = Club::new(4, 3, |person, day| Some(usual(person, day)));
    assert_eq!(
        wave_finding(&few.levels(None).expect("levels"), day(2)),
        None
    );
}
