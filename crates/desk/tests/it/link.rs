//! A second test heard beside the first: what it adds, and when it is refused. Clubs are invented.

use plimsoll_archive::{ResultFacts, Writer};
use plimsoll_desk::level::{SquadLevels, members};
use plimsoll_desk::{Choices, plain_day};
use plimsoll_interpret::Size;
use plimsoll_judge::{Amount, Outcome, StopReason};

use crate::club::{Club, day, usual};

fn add(writer: &mut Writer, club_day: usize, bouts: &[(plimsoll_archive::PersonId, u32)]) {
    let catalogue = plimsoll_ladder::Catalogue::built_in();
    let test = catalogue.get("ir2").expect("shipped");
    let date = day(club_day);
    let id = writer.add_day(&plain_day(date, test)).expect("taken");
    for (person, bouts) in bouts {
        let facts = ResultFacts::of(Outcome {
            ladder: "ir2".to_owned(),
            amount: Amount::Bouts(*bouts),
            reason: StopReason::Exhaustion,
        });
        writer.add_result(*person, id, &facts).expect("taken");
    }
}

fn linked(club: &Club) -> Result<SquadLevels, String> {
    let choices = Choices {
        error: Some(Size::Percent(8.0)),
        ..Choices::default()
    };
    let test = club.catalogue.get("ir2").expect("shipped");
    let all = members(&club.writer, &club.facts, test, &choices, None).expect("read");
    club.levels(Some(Size::Percent(6.0)))?
        .with(test, club.facts.scale("ir2"), &all)
        .map_err(|e| e.to_string())
}

#[test]
fn a_second_test_adds_dates_and_certainty_and_says_what_it_rests_on() {
    let mut club = Club::new(14, 2, |person, of_day| Some(usual(person, of_day)));
    // Planted: a third of the bouts on the other ladder, four weeks after the last run of the first.
    let twice: Vec<_> = club
        .people
        .iter()
        .enumerate()
        .map(|(n, person)| (*person, usual(n, 2) / 3))
        .collect();
    add(&mut club.writer, 2, &twice);
    let alone = club.levels(Some(Size::Percent(6.0))).expect("levels");
    let both = linked(&club).expect("linked");
    assert!(
        both.basis().contains("14 people who ran both"),
        "{}",
        both.basis()
    );
    for person in &club.people {
        let one = alone
            .person(&person.to_string(), day(2), 0.01)
            .expect("a level");
        let two = both
            .person(&person.to_string(), day(2), 0.01)
            .expect("a level");
        assert_eq!(one.points.len(), two.points.len(), "the same three dates");
        assert_eq!(two.linked.len(), 1);
        assert_eq!(
            (two.linked[0].date, two.linked[0].test.as_str()),
            (day(2), "ir2")
        );
        let width = |level: &plimsoll_desk::level::PersonLevel| {
            let last = level.points.last().expect("a date");
            (last.upper / last.lower).ln()
        };
        assert!(width(&two) < width(&one), "heard, it is surer");
        assert!(
            two.points[2].result.is_none(),
            "in metres of the other ladder it is no result of this one"
        );
    }
}

#[test]
fn who_did_better_on_the_second_test_is_higher_for_it() {
    let mut club = Club::new(14, 2, |person, of_day| Some(usual(person, of_day)));
    let list: Vec<_> = club
        .people
        .iter()
        .enumerate()
        .map(|(n, person)| (*person, usual(n, 2) / 3 + if n == 5 { 5 } else { 0 }))
        .collect();
    add(&mut club.writer, 2, &list);
    let alone = club.levels(Some(Size::Percent(6.0))).expect("levels");
    let both = linked(&club).expect("linked");
    let gain = |n: usize| {
        let id = club.people[n].to_string();
        let of = |levels: &SquadLevels| {
            let found = levels.person(&id, day(2), 0.01).expect("a level");
            found.points.last().expect("a date").level
        };
        (of(&both) / of(&alone)).ln()
    };
    let mut others: Vec<f64> = (0..14).filter(|n| *n != 5).map(gain).collect();
    others.sort_by(f64::total_cmp);
    assert!(gain(5) > others[12], "{} beside {others:?}", gain(5));
}

#[test]
fn without_enough_people_or_a_common_rise_it_is_refused_in_words() {
    let mut few = Club::new(14, 2, |person, of_day| Some(usual(person, of_day)));
    let five: Vec<_> = few.people.iter().take(5).map(|p| (*p, 12)).collect();
    add(&mut few.writer, 2, &five);
    let why = linked(&few).err().expect("refused");
    assert!(
        why.contains("5 people ran both within 8 weeks, 8 are needed"),
        "{why}"
    );
    let mut turned = Club::new(14, 2, |person, of_day| Some(usual(person, of_day)));
    let list: Vec<_> = turned
        .people
        .iter()
        .enumerate()
        .map(|(n, person)| (*person, 25 - n as u32))
        .collect();
    add(&mut turned.writer, 2, &list);
    let why = linked(&turned).err().expect("refused");
    assert!(why.contains("do not rise together"), "{why}");
}
