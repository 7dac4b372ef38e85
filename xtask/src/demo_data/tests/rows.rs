//! Planted rows are wrong as planned; every other row agrees with its ladder, and none by copying.

use std::collections::BTreeSet;

use plimsoll_judge::StopReason;
use plimsoll_ladder::Catalogue;

use super::super::sheets::{Cell, Row};
use super::super::warts::{Kind, WARTS, planted};
use super::super::{club, days, ladder};
use super::{made, metres, player};

#[test]
fn every_row_without_a_wart_agrees_with_its_ladder() {
    let catalogue = Catalogue::built_in();
    let mut judged = 0;
    for (day, rows) in made() {
        let ladder = ladder(&catalogue, day);
        for row in &rows {
            let who = player(day, row).name;
            let kind = planted(day.on, who);
            if kind == Some(Kind::ZeroForAbsent) {
                continue;
            }
            let stated: StopReason = row.get(Cell::Reason).parse().expect("a known reason");
            let scores = [StopReason::Misses, StopReason::Exhaustion];
            match kind {
                Some(Kind::Stop(reason, note)) => {
                    assert_eq!((stated, row.get(Cell::Notes)), (reason, note));
                    assert!(!scores.contains(&reason));
                }
                _ => assert!(scores.contains(&stated), "{} {who}", day.on),
            }
            if matches!(kind, Some(Kind::CountedOn | Kind::OneBoutFurther)) {
                continue;
            }
            let bout = ladder
                .by_label(row.get(Cell::Level))
                .expect("on the ladder");
            assert_eq!(metres(row), bout.distance.as_m_f64(), "{} {who}", day.on);
            let (minutes, seconds) = row.get(Cell::Time).split_once(':').expect("m:ss");
            let stop =
                minutes.parse::<f64>().expect("min") * 60.0 + seconds.parse::<f64>().expect("s");
            let next = ladder.by_number(bout.number + 1).expect("a next bout");
            assert!(
                stop > bout.finish.as_secs_f64() && stop < next.finish.as_secs_f64(),
                "{} {who}: {stop}",
                day.on
            );
            judged += 1;
        }
    }
    assert!(judged > 200, "{judged}");
}

#[test]
fn the_planted_rows_say_what_they_should() {
    let catalogue = Catalogue::built_in();
    let ir1 = catalogue.get("ir1").and_then(|t| t.ladder()).expect("ir1");
    let days = made();
    for wart in WARTS {
        let (day, rows) = days.iter().find(|(d, _)| d.on == wart.on).expect("a day");
        let row = rows
            .iter()
            .find(|r| player(day, r).name == wart.who)
            .expect(wart.who);
        let bout = ir1.by_label(row.get(Cell::Level));
        match wart.kind {
            Kind::Stop(..) => assert!(bout.is_some()),
            Kind::CountedOn => {
                // The tenth bout of stage 14, had it ten, is the second of stage 15.
                assert_eq!((row.get(Cell::Level), bout), ("14.10", None));
                let meant = ir1.by_label("15.2").expect("15.2");
                assert_eq!(metres(row), meant.distance.as_m_f64());
            }
            Kind::OneBoutFurther => {
                let bout = bout.expect("on the ladder");
                assert_eq!(
                    (bout.label.as_str(), row.get(Cell::Distance)),
                    ("16.3", "1240")
                );
                assert_eq!(bout.distance.as_m_f64(), 1200.0);
            }
            Kind::Spelt(name) => {
                assert_eq!(row.get(Cell::Name), name);
                assert!(!club::roster().expect("roster").contains(name));
            }
            Kind::ZeroForAbsent => {
                assert_eq!((row.get(Cell::Level), row.get(Cell::Distance)), ("0", "0"));
                assert_eq!(row.get(Cell::Reason), "");
            }
        }
    }
}

#[test]
fn the_other_track_was_played_on_one_day_only() {
    let catalogue = Catalogue::built_in();
    let ir1 = catalogue.get("ir1").and_then(|t| t.ladder()).expect("ir1");
    let mut other = 0;
    for (day, rows) in made().iter().filter(|(d, _)| d.played != "ir1") {
        other += 1;
        assert!(days::card(day).contains("\ntest = \"ir1\"\n"));
        for row in rows {
            let label = row.get(Cell::Level);
            let stage: u32 = label
                .split('.')
                .next()
                .expect("a stage")
                .parse()
                .expect("number");
            assert!((18..=20).contains(&stage), "{label}");
            assert!((280.0..=700.0).contains(&metres(row)), "{label}");
            let here = ir1.by_label(label).map(|b| b.distance.as_m_f64());
            assert_ne!(here, Some(metres(row)), "{label} fits ir1 too");
        }
    }
    assert_eq!(other, 1);
}

#[test]
fn nothing_is_copied_down_heaped_or_entered_twice_by_accident() {
    let (mut rows_of_ir1, mut starts, mut hundreds) = (0_usize, 0_usize, 0_usize);
    for (day, rows) in made() {
        let names: BTreeSet<&str> = rows.iter().map(|r| player(day, r).name).collect();
        assert_eq!(names.len(), rows.len(), "{}: somebody twice", day.on);
        let same = |w: &[Row]| {
            w.iter()
                .all(|r| r.get(Cell::Distance) == w[0].get(Cell::Distance))
        };
        assert!(
            !rows.windows(3).any(same),
            "{}: three equal in a row",
            day.on
        );
        if day.played == "ir1" {
            rows_of_ir1 += rows.len();
            starts += rows
                .iter()
                .filter(|r| r.get(Cell::Level).ends_with(".1"))
                .count();
            hundreds += rows.iter().filter(|r| metres(r) % 100.0 == 0.0).count();
        }
    }
    // One bout in eight begins a stage and one in five ends on a round hundred; half as many again
    // is what the import doctor calls heaping.
    assert!(
        starts * 8 * 2 < rows_of_ir1 * 3,
        "{starts} of {rows_of_ir1}"
    );
    assert!(
        hundreds * 5 * 2 < rows_of_ir1 * 3,
        "{hundreds} of {rows_of_ir1}"
    );
}
