//! Test days and results: round trips, corrections, history.

use plimsoll_archive::{
    Covariates, DayFacts, Encouragement, Familiarity, Illness, ResultFacts, ResultFilter, RpeScale,
};
use plimsoll_judge::{Amount, Censoring, Outcome, StopReason};

use crate::support::{Bench, assert_sound, bouts, called, date, day, new_result, on, sheet, squad};

fn full() -> ResultFacts {
    ResultFacts {
        outcome: Outcome {
            ladder: "ir1".to_owned(),
            amount: Amount::Bouts(14),
            reason: StopReason::Injury,
        },
        bib: Some("07".to_owned()),
        trial_number: Some(2),
        attempt: Some(1),
        covariates: Covariates {
            sleep_h: Some(7.5),
            wake_time: Some("06:45:00".parse().expect("a time")),
            hours_since_meal: Some(2.25),
            caffeine: Some(true),
            caffeine_mg: Some(80.0),
            hours_since_hard_training: Some(48.0),
            time_of_day: Some("17:05:30".parse().expect("a time")),
            footwear: Some("studs".to_owned()),
            familiarity: Some(Familiarity::Practised),
            motivation: Some(8),
            illness: Some(Illness::Recent),
            encouragement: Some(Encouragement::Scripted),
            wave_size: Some(12),
        },
        mass_kg: Some(61.3),
        peak_hr_bpm: Some(196),
        hr_60s_bpm: Some(160),
        hr_120s_bpm: Some(131),
        rpe: Some(8.5),
        rpe_scale: Some(RpeScale::ZeroToTen),
        rpe_minutes_after: Some(15.0),
        deviation: Some("ran in lane 3 of 2".to_owned()),
        notes: Some("=1+1, \"quoted\"".to_owned()),
    }
}

#[test]
fn a_day_and_a_result_come_back_as_recorded() {
    let mut bench = Bench::new();
    let person = bench.writer.add_person(&called("Ilo"), &[]).expect("taken");
    let facts = DayFacts {
        name: Some("autumn test".to_owned()),
        squad: Some("U16".to_owned()),
        ladder_fingerprint: Some("f00d".to_owned()),
        settings: Some(serde_json::json!({ "misses": 2, "cumulative": true })),
        venue: Some("Marl Lane".to_owned()),
        surface: Some("artificial grass".to_owned()),
        indoor: Some(false),
        course_length_mm: Some(19_860),
        start_time: Some("17:00:00".parse().expect("a time")),
        temperature_c: Some(-1.5),
        humidity_percent: Some(81.0),
        wind_m_s: Some(3.2),
        wind_along_lane_m_s: Some(-2.8),
        wbgt_c: Some(0.0),
        deviation: Some("sound stopped for 4 s".to_owned()),
        notes: Some("frost at the far end".to_owned()),
        ..day("2026-10-03")
    };
    let on_day = bench.writer.add_day(&facts).expect("taken");
    let id = bench
        .writer
        .add_result(person, on_day, &full())
        .expect("taken");
    let days = bench.writer.days().expect("read");
    assert_eq!((days[0].id, &days[0].facts), (on_day, &facts));
    let results = bench
        .writer
        .results(&ResultFilter::default())
        .expect("read");
    assert_eq!((results[0].id, &results[0].facts), (id, &full()));
    assert_eq!(results[0].facts.outcome.censoring(), Censoring::LowerBound);
    assert_sound(&bench.writer);
}

#[test]
fn a_correction_takes_the_place_and_keeps_the_old_version() {
    let mut bench = Bench::new();
    let people = squad(&mut bench.writer, "list.csv", &["Ilo", "Bram"]);
    let new = [new_result(people[0], 14)];
    let report = bench
        .writer
        .import_results(&sheet("r.csv", 1), &on("2026-10-03"), &new);
    let first = report.expect("taken").results[0];
    let second = bench
        .writer
        .correct_result(first, &bouts(15), "misread")
        .expect("corrected");
    let third = bench
        .writer
        .reassign_result(second, people[1], "bibs swapped")
        .expect("moved");
    let now = bench
        .writer
        .results(&ResultFilter::default())
        .expect("read");
    assert_eq!(now.len(), 1);
    assert_eq!((now[0].id, now[0].person), (third, people[1]));
    assert_eq!(now[0].facts, bouts(15));
    let versions = bench.writer.result_versions(second).expect("read");
    let ids: Vec<_> = versions.iter().map(|version| version.id).collect();
    assert_eq!(ids, [first, second, third]);
    assert_eq!(versions[0].facts, bouts(14));
    assert!(versions[0].source.is_some() && versions[2].source.is_none());
    let error = bench
        .writer
        .correct_result(first, &bouts(1), "late")
        .expect_err("superseded");
    assert_eq!(
        error.to_string(),
        format!(
            "result `{first}` is not in force: a later version took its place, or its import is \
             undone; look it up again and change the one in force"
        )
    );
    let gone = bench
        .writer
        .withdraw_result(third, "never ran")
        .expect("withdrawn");
    assert_eq!(
        bench
            .writer
            .results(&ResultFilter::default())
            .expect("read"),
        []
    );
    bench
        .writer
        .correct_result(gone, &bouts(15), "ran after all")
        .expect("back");
    assert_eq!(
        bench
            .writer
            .results(&ResultFilter::default())
            .expect("read")
            .len(),
        1
    );
    let last = bench.writer.journal().expect("read").pop().expect("there");
    assert_eq!(
        last.summary,
        "result of Bram on 2026-10-03 corrected: ran after all"
    );
    assert_eq!(last.who, "Test Bench");
    assert_sound(&bench.writer);
}

#[test]
fn a_corrected_day_shows_its_last_version() {
    let mut bench = Bench::new();
    let id = bench.writer.add_day(&day("2026-03-10")).expect("taken");
    bench
        .writer
        .correct_day(id, &day("2026-10-03"), "day and month swapped")
        .expect("corrected");
    let days = bench.writer.days().expect("read");
    assert_eq!(days.len(), 1);
    assert_eq!((days[0].id, days[0].facts.date), (id, date("2026-10-03")));
    assert_sound(&bench.writer);
}

#[test]
fn a_history_follows_merges_and_counts_each_test_by_itself() {
    let mut bench = Bench::new();
    let people = squad(&mut bench.writer, "list.csv", &["Jo", "Joanna", "Other"]);
    let dates = ["2026-09-01", "2026-03-01", "2026-06-01"];
    let other_test = ResultFacts::of(Outcome {
        ladder: "run12".to_owned(),
        amount: Amount::DistanceMm(2_400_000),
        reason: StopReason::EndOfLadder,
    });
    for (date, person) in dates.iter().zip([people[0], people[1], people[0]]) {
        let day = bench.writer.add_day(&day(date)).expect("taken");
        bench
            .writer
            .add_result(person, day, &bouts(10))
            .expect("taken");
        bench
            .writer
            .add_result(people[2], day, &bouts(11))
            .expect("taken");
        if *date == "2026-06-01" {
            bench
                .writer
                .add_result(person, day, &other_test)
                .expect("taken");
        }
    }
    bench
        .writer
        .merge_people(people[0], people[1])
        .expect("merged");
    let history = bench.writer.history(people[1]).expect("read");
    let told: Vec<(String, &str, u32)> = history
        .iter()
        .map(|entry| {
            let ladder = entry.result.facts.outcome.ladder.as_str();
            (entry.day.facts.date.to_string(), ladder, entry.nth)
        })
        .collect();
    assert_eq!(
        told,
        [
            ("2026-03-01".to_owned(), "ir1", 1),
            ("2026-06-01".to_owned(), "ir1", 2),
            ("2026-06-01".to_owned(), "run12", 1),
            ("2026-09-01".to_owned(), "ir1", 3),
        ]
    );
    assert!(history.iter().all(|entry| entry.result.person == people[0]));
    assert_eq!(history[0].result.recorded_person, people[1]);
    let narrow = ResultFilter {
        person: Some(people[0]),
        day: Some(history[1].day.id),
        ladder: Some("run12".to_owned()),
    };
    assert_eq!(bench.writer.results(&narrow).expect("read").len(), 1);
}

#[test]
fn values_that_cannot_be_stored_are_named_and_nothing_is_kept() {
    let mut bench = Bench::new();
    let person = bench.writer.add_person(&called("Ilo"), &[]).expect("taken");
    let mut facts = day("2026-10-03");
    facts.humidity_percent = Some(181.0);
    let error = bench.writer.add_day(&facts).expect_err("too humid");
    assert_eq!(
        error.to_string(),
        "table `test_day_version`, column `humidity_percent`: found `181`, allowed is a number \
         from 0 to 100, or nothing; correct it and try again"
    );
    let mut bad = new_result(person, 17);
    bad.facts.covariates.motivation = Some(11);
    let new = [new_result(person, 16), bad];
    let error = bench
        .writer
        .import_results(&sheet("r.csv", 2), &on("2026-10-03"), &new);
    assert_eq!(
        error.expect_err("too keen").to_string(),
        "row 17 of sheet `U16`, table `result`, column `motivation`: found `11`, allowed is a \
         whole number from 1 to 10, or nothing; correct it and try again"
    );
    assert_eq!(bench.writer.days().expect("read"), []);
    assert_eq!(bench.writer.journal().expect("read").len(), 1);
}
