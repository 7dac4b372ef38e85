//! Questions about a day's squad, and the note after an import whose rows look slipped.

use crate::support::{Bench, Ran};

const PEOPLE: usize = 18;
const DAYS: [&str; 5] = [
    "2026-01-10",
    "2026-02-14",
    "2026-03-14",
    "2026-04-18",
    "2026-05-16",
];

/// Bouts of a person on a day: levels two bouts and more apart in no order of the rows, a bout up or down by the day.
fn bouts(person: usize, day: usize) -> usize {
    let level = 20 + 3 * ((person * 7) % PEOPLE);
    level + [0, 1, 0, 1, 1][(day + person) % 5]
}

fn sheet(of: impl Fn(usize) -> Option<usize>) -> String {
    let mut text = "Player,Distance (m),Why stopped\n".to_owned();
    for person in 0..PEOPLE {
        match of(person) {
            Some(bouts) => text.push_str(&format!(
                "Runner {},{},exhaustion\n",
                letters(person),
                bouts * 40
            )),
            None => text.push_str(&format!("Runner {},,\n", letters(person))),
        }
    }
    text
}

fn letters(person: usize) -> String {
    let letter = |n: usize| char::from(b'a' + u8::try_from(n).expect("small"));
    format!(
        "{0}{0}{1}{1}",
        letter(person),
        letter((person * 5 + 3) % 26)
    )
}

fn import(bench: &Bench, name: &str, on: &str) -> Ran {
    bench.run(&[
        "results", "import", name, "--test", "ir1", "--on", on, "--json",
    ])
}

/// Imports a sheet as a lead does who rules that every row is to be taken as it is written.
fn import_ruled(bench: &Bench, name: &str, on: &str, of: impl Fn(usize) -> Option<usize>) -> Ran {
    let ladder = bench.run(&["ladder", "ir1", "--json"]).json();
    let label = |n: usize| {
        ladder["bouts"][n - 1]["label"]
            .as_str()
            .expect("a label")
            .to_owned()
    };
    let rulings: Vec<String> = (0..PEOPLE)
        .filter_map(|person| Some(format!("{}={}", person + 2, label(of(person)?))))
        .collect();
    let mut args = vec![
        "results", "import", name, "--test", "ir1", "--on", on, "--json",
    ];
    for ruling in &rulings {
        args.extend(["--settle", ruling]);
    }
    bench.run(&args)
}

/// Young men, so that a study's error fits, with four days behind them.
fn squad(sex: &str) -> Bench {
    let bench = Bench::new();
    let mut roster = "Name,Date of birth,Sex,Squad\n".to_owned();
    for person in 0..PEOPLE {
        roster.push_str(&format!(
            "Runner {},2008-11-{:02},{sex},U19\n",
            letters(person),
            person + 1
        ));
    }
    bench.put("roster.csv", &roster);
    let people = bench.run(&["people", "import", "roster.csv", "--json"]);
    assert_ne!(people.status, 2, "{}", people.err);
    for (day, on) in DAYS.iter().enumerate().take(4) {
        let name = format!("day{day}.csv");
        bench.put(&name, &sheet(|person| Some(bouts(person, day))));
        let done = import(&bench, &name, on);
        assert_eq!(done.json()["accepted"], PEOPLE, "{} {}", done.out, done.err);
        assert_eq!(done.json()["slipped"], serde_json::json!([]));
    }
    bench
}

#[test]
fn a_slipped_sheet_is_said_at_import_and_changes_nothing() {
    let bench = squad("M");
    // From the eleventh runner on each score is the next one's; sheet row = runner + 2, the header being row 1.
    let slipped = |p: usize| match p {
        p if p < 10 => Some(bouts(p, 4)),
        p if p + 1 < PEOPLE => Some(bouts(p + 1, 4)),
        _ => None,
    };
    bench.put("today.csv", &sheet(slipped));
    let done = import_ruled(&bench, "today.csv", DAYS[4], slipped);
    assert_eq!(done.status, 1);
    let note = &done.json()["slipped"][0];
    assert_eq!(note["verdict"], "slip", "{}", done.out);
    let words = note["words"].as_str().expect("words");
    assert!(
        words.contains("look shifted by one: from row 12 (Runner kkbb)"),
        "{words}"
    );
    let found = bench.run(&["squad", "--day", DAYS[4], "--json"]);
    assert_eq!(found.status, 1, "{}", found.err);
    let edit = &found.json()["rows"]["answer"]["sheets"][0]["edit"];
    assert_eq!(
        (edit["kind"].as_str(), edit["by"].as_u64()),
        (Some("too_high"), Some(1))
    );
    assert_eq!(
        (edit["first"].as_u64(), edit["last"].as_u64()),
        (Some(12), Some(18))
    );
    let said = bench.run(&["squad", "--day", DAYS[4]]);
    assert!(
        said.out.contains("Hold the paper beside the list"),
        "{}",
        said.out
    );
    // The results stay as they were written.
    let kept = bench.run(&["results", "--day", DAYS[4], "--json"]).json();
    let metres = |name: &str| {
        let list = kept.as_array().expect("a list");
        list.iter().find(|r| r["person"] == name).expect("there")["distance_m"].as_f64()
    };
    assert_eq!(metres("Runner kkbb"), Some(bouts(11, 4) as f64 * 40.0));
}

#[test]
fn exchanged_rows_are_named_and_a_usual_sheet_stands_as_written() {
    let bench = squad("M");
    bench.put("today.csv", &sheet(|p| Some(bouts(p, 4))));
    let usual = import(&bench, "today.csv", DAYS[4]);
    assert_eq!(usual.json()["slipped"], serde_json::json!([]));
    let found = bench.run(&["squad", "--day", DAYS[4], "--json"]);
    assert_eq!(found.status, 0);
    assert_eq!(
        found.json()["rows"]["answer"]["sheets"][0]["verdict"],
        "as_written"
    );
    let bench = squad("M");
    // Runner 0 has 20 bouts, runner 5 has 71: far apart.
    let other = |p: usize| match p {
        0 => bouts(5, 4),
        5 => bouts(0, 4),
        p => bouts(p, 4),
    };
    let other = |p: usize| Some(other(p));
    bench.put("today.csv", &sheet(other));
    let done = import_ruled(&bench, "today.csv", DAYS[4], other).json();
    let words = done["slipped"][0]["words"].as_str();
    let words = words.unwrap_or_else(|| panic!("{done}"));
    assert!(
        words.contains("row 2 (Runner aadd) and row 7 (Runner ffcc) look exchanged"),
        "{words}"
    );
}

#[test]
fn a_cut_has_chances_a_band_wrong_verdicts_and_a_figure() {
    let bench = squad("M");
    let args = [
        "squad",
        "--day",
        DAYS[3],
        "--cut",
        "1800m",
        "--typical-error",
        "5%",
        "--best-of",
        "3",
    ];
    let found = bench.run(&[&args[..], &["--json"]].concat());
    assert_eq!(found.status, 0, "{}", found.err);
    let cut = &found.json()["cut"]["answer"];
    assert_eq!(cut["at"], 1800.0);
    let people = cut["people"].as_array().expect("people");
    assert_eq!(people.len(), PEOPLE);
    // Nearer to the top, nearer to certain; nothing is ever 0 or 1.
    let chance = |at: usize| people[at]["p_above"].as_f64().expect("a chance");
    assert!(chance(0) > 0.99 && chance(PEOPLE - 1) < 0.01);
    assert!(chance(0) <= 0.999 && chance(PEOPLE - 1) >= 0.001);
    let number = |v: &serde_json::Value| v.as_f64().expect("a number");
    assert!(number(&cut["band"]["fail_to"]) < 1800.0 && number(&cut["band"]["pass_from"]) > 1800.0);
    // By hand: the mean of the largest of 3 normal values is 3 / (2 root pi) = 0.8463, and exp(0.8463 ln 1.05) - 1 = 4.21 %.
    assert!(
        (number(&cut["best_of"]["inflation_percent"]) - 4.215).abs() < 0.01,
        "{cut}"
    );
    let (one, best) = (&cut["risk"], &cut["best_of"]["risk"]);
    assert!(number(&best["false_passes"]) > number(&one["false_passes"]));
    assert!(number(&best["false_fails"]) < number(&one["false_fails"]));
    let drawn = bench.run(&[&args[..], &["--out", "cut.svg"]].concat());
    assert_eq!(drawn.status, 0, "{}", drawn.err);
    let svg = std::fs::read_to_string(bench.path("cut.svg")).expect("drawn");
    assert!(svg.contains("Results at the cut"));
    let said = drawn.out.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in [
        "a result in between leaves it open",
        "basis:",
        "what would settle it:",
        "Cautions.",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
}

#[test]
fn without_a_typical_error_there_is_no_chance_and_no_next_time() {
    let bench = squad("F");
    let found = bench.run(&["squad", "--day", DAYS[3], "--cut", "1800m", "--json"]);
    assert_eq!(found.status, 0, "{}", found.err);
    let found = found.json();
    assert!(found["cut"]["answer"].is_null() && found["lowest"]["answer"].is_null());
    let why = found["cut"]["says"][0].as_str().expect("words");
    assert!(
        why.contains("no study or default fits ir1 for a female"),
        "{why}"
    );
    let rows = found["rows"]["says"][0].as_str().expect("words");
    assert!(rows.contains("0 of 18 rows have earlier results"), "{rows}");
    let assessors = found["assessors"]["says"][0].as_str().expect("words");
    assert!(assessors.contains("Only a sheet is kept"), "{assessors}");
}

#[test]
fn the_lowest_come_nearer_to_the_mean_by_themselves() {
    let bench = squad("M");
    let found = bench.run(&[
        "squad",
        "--day",
        DAYS[3],
        "--lowest",
        "3",
        "--typical-error",
        "10%",
        "--json",
    ]);
    let low = &found.json()["lowest"]["answer"];
    assert_eq!(
        (low["picked"].as_u64(), low["of"].as_u64()),
        (Some(3), Some(18))
    );
    for person in low["people"].as_array().expect("people") {
        let number = |key: &str| person[key].as_f64().expect("a number");
        assert!(number("expected_next") > number("result"));
        assert!(
            number("low90") < number("expected_next") && number("expected_next") < number("high90")
        );
    }
    assert!(low["rise"].as_f64() > Some(0.0));
    assert!(
        low["low90"].as_f64() < low["rise"].as_f64()
            && low["rise"].as_f64() < low["high90"].as_f64()
    );
}

#[test]
fn what_cannot_be_used_is_refused_in_words() {
    let bench = squad("M");
    let bad = |more: &[&str]| {
        let ran = bench.run(&[&["squad", "--day", DAYS[3]], more].concat());
        assert_eq!(ran.status, 2, "{more:?} {}", ran.out);
        ran.err
    };
    assert!(
        bad(&["--cut", "14.10"]).contains("a label of `ir1` from"),
        "14.10 is no metres"
    );
    let wrong = bad(&["--cut", "far"]);
    assert!(
        wrong.contains("--cut: the cut is `far`; allowed is a label of `ir1`"),
        "{wrong}"
    );
    assert!(bad(&["--cut", "1e9m"]).contains("metres up to"));
    assert!(bad(&["--cut=-3"]).contains("the cut is `-3`"));
    assert!(bad(&["--lowest", "19"]).contains("from 1 to 18"));
    assert!(bad(&["--lowest", "0"]).contains("from 1 to 18"));
    bad(&["--best-of", "0"]);
    assert!(
        bench
            .run(&["squad", "--day", "2026-01-11"])
            .err
            .contains("has no test day")
    );
}
