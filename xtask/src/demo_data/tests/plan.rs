//! Squads, ages, attendance, the roster and the size of changes are as the club was planned.

use std::collections::BTreeMap;

use jiff::civil::Date;
use plimsoll_ladder::Catalogue;

use super::super::club::{PLAYERS, SWAPPED, TWICE, roster};
use super::super::days::{DAYS, TODAY};
use super::super::model::{results, years};
use super::super::sheets::Cell;
use super::super::warts::{Kind, planted};
use super::{made, player};

#[test]
fn squads_days_and_ages_are_as_planned() {
    assert_eq!((PLAYERS.len(), DAYS.len()), (26, 10));
    assert_eq!(PLAYERS.iter().filter(|p| p.first_day > 0).count(), 2);
    for (day, rows) in made() {
        let came: Vec<_> = rows
            .iter()
            .filter(|r| r.get(Cell::Distance) != "0")
            .map(|r| player(day, r))
            .collect();
        assert!(
            (20..=25).contains(&came.len()),
            "{}: {}",
            day.on,
            came.len()
        );
        for p in came {
            let age = years(p.born, day.on);
            assert!(
                (15.0..20.0).contains(&age),
                "{} is {age} on {}",
                p.name,
                day.on
            );
            assert!(
                p.joined <= day.on && DAYS[p.first_day].on <= day.on,
                "{}",
                p.name
            );
        }
        if day.on == TODAY {
            assert_eq!(rows.len(), 24);
        }
    }
    for p in &PLAYERS {
        let first_of_2026 = jiff::civil::date(2026, 1, 1);
        let under: f64 = p.squad.trim_start_matches('U').parse().expect("U17 or U19");
        let age = years(p.born, first_of_2026);
        assert!(
            age < under && age >= under - 4.0,
            "{} is {age} in {}",
            p.name,
            p.squad
        );
    }
}

#[test]
fn one_date_of_the_roster_is_the_other_way_round_and_one_person_stands_twice() {
    let written = roster().expect("roster");
    let mut births: BTreeMap<Date, Vec<String>> = BTreeMap::new();
    let mut month_first = Vec::new();
    for record in csv::Reader::from_reader(written.as_bytes()).records() {
        let record = record.expect("a record");
        let parts: Vec<i8> = record[1]
            .split('/')
            .take(2)
            .map(|p| p.parse().expect("number"))
            .collect();
        let year: i16 = record[1][6..].parse().expect("year");
        let born = Date::new(year, parts[1], parts[0]).or_else(|_| {
            month_first.push(record[0].to_owned());
            Date::new(year, parts[0], parts[1])
        });
        births
            .entry(born.expect("a date"))
            .or_default()
            .push(record[0].to_owned());
    }
    assert_eq!(month_first, [SWAPPED]);
    let twice: Vec<_> = births.values().filter(|n| n.len() > 1).collect();
    assert_eq!(twice, [&[TWICE.0.to_owned(), TWICE.1.to_owned()]]);
}

#[test]
fn changes_between_tests_have_the_size_of_the_error_put_in() {
    // Error of 6.5 % and the walk of true level between days (about 2.6 % a quarter), within a fifth.
    const EXPECTED: (f64, f64) = (0.055, 0.080);
    let mut last: BTreeMap<&str, f64> = BTreeMap::new();
    let mut changes = Vec::new();
    for (day, lines) in DAYS.iter().zip(results(&Catalogue::built_in())) {
        for line in lines.iter().filter(|_| day.played == "ir1") {
            if matches!(planted(day.on, line.player.name), Some(Kind::Stop(..))) {
                continue;
            }
            let value = (line.bout.distance.as_m_f64() / day.effect).ln();
            if let Some(before) = last.insert(line.player.name, value) {
                changes.push(value - before);
            }
        }
    }
    let n = changes.len() as f64;
    let mean = changes.iter().sum::<f64>() / n;
    let variance = changes.iter().map(|c| (c - mean).powi(2)).sum::<f64>() / (n - 1.0);
    let typical = (variance / 2.0).sqrt();
    assert!((EXPECTED.0..EXPECTED.1).contains(&typical), "{typical}");
    assert!(mean > 0.0, "the club improves: {mean}");
}
