//! From a roster and sheets to results: what is taken, held, ruled on, taken back.

use serde_json::json;

use crate::support::{Bench, ROSTER, SECOND};

#[test]
fn examine_changes_nothing_and_names_row_and_code() {
    let bench = Bench::new();
    bench.put("second.csv", SECOND);
    let ran = bench.run(&["examine", "second.csv", "--test", "ir1", "--json"]);
    assert_eq!(ran.status, 1);
    let report = ran.json();
    assert_eq!(report["rows"], 6);
    assert_eq!(report["findings"][0]["row"], 4);
    assert_eq!(report["findings"][0]["code"], "label-distance-disagree");
    assert_eq!(report["ladders"][0]["id"], "ir1");
    assert!(!bench.path("archive").exists());
}

#[test]
fn what_cannot_be_right_is_held_and_the_lead_may_rule() {
    let bench = Bench::filled();
    let args = [
        "results",
        "import",
        "second.csv",
        "--test",
        "ir1",
        "--on",
        "2026-11-21",
    ];
    let ran = bench.run(&[&args[..], &["--json"]].concat());
    assert_eq!(ran.status, 1);
    let done = ran.json();
    assert_eq!(done["accepted"], 4);
    let held: Vec<_> = done["held"]
        .as_array()
        .expect("held")
        .iter()
        .map(|h| &h["row"])
        .collect();
    assert_eq!(held, [&json!(4), &json!(7)]);
    assert_eq!(bench.run(&["archive", "held"]).status, 1);

    let again = bench.run(&args);
    assert_eq!(again.status, 2);
    assert!(again.err.contains("same content"), "{}", again.err);

    let ruled = bench.run(
        &[
            &args[..],
            &[
                "--held-only",
                "--settle",
                "4=16.1",
                "--add-people",
                "--json",
            ],
        ]
        .concat(),
    );
    assert_eq!(ruled.status, 0, "{}", ruled.out);
    assert_eq!(ruled.json()["accepted"], 2);
    assert_eq!(bench.run(&["archive", "held"]).status, 0);
    let day = bench
        .run(&["results", "--day", "2026-11-21", "--json"])
        .json();
    let kai = day
        .as_array()
        .expect("list")
        .iter()
        .find(|r| r["person"] == "Kai Linnet");
    assert_eq!(kai.expect("taken")["distance_m"], 1120);
    assert_eq!(bench.run(&["archive", "check"]).status, 0);

    let impossible = bench.run(&[&args[..], &["--force", "--settle", "4=14.9"]].concat());
    assert_eq!(impossible.status, 2);
    assert!(
        impossible
            .err
            .contains("--settle 4=14.9: the label is not on the ladder"),
        "{}",
        impossible.err
    );
}

#[test]
fn an_injury_stop_is_a_lower_bound() {
    let bench = Bench::filled();
    let list = bench
        .run(&["results", "--person", "quin plover", "--json"])
        .json();
    let line = &list[0];
    assert_eq!(line["censored"], true);
    assert_eq!(line["flags"], json!(["at least"]));
    for key in [
        "person",
        "date",
        "test",
        "bouts",
        "label",
        "distance_m",
        "final_speed_kmh",
        "reason",
    ] {
        assert!(line.get(key).is_some(), "{key}");
    }
}

#[test]
fn an_import_is_taken_back_whole() {
    let bench = Bench::filled();
    let count = |bench: &Bench| {
        bench
            .run(&["results", "--json"])
            .json()
            .as_array()
            .map(Vec::len)
    };
    assert_eq!(count(&bench), Some(5));
    assert_eq!(bench.run(&["archive", "undo", "2"]).status, 0);
    assert_eq!(count(&bench), Some(0));
    assert_eq!(bench.run(&["archive", "redo", "2"]).status, 0);
    assert_eq!(count(&bench), Some(5));
}

#[test]
fn a_day_card_gives_the_day_its_conditions_and_faults_stop_the_import() {
    let bench = Bench::filled();
    bench.put("card.toml", "venue = \"Hall\"\nwind_m_s = 300\n");
    let args = [
        "results",
        "import",
        "second.csv",
        "--test",
        "ir1",
        "--on",
        "2026-11-21",
        "--day-card",
        "card.toml",
    ];
    let ran = bench.run(&args);
    assert_eq!(ran.status, 2);
    assert!(
        ran.err
            .contains("`wind_m_s` is 300; allowed is 0 to 120 m/s"),
        "{}",
        ran.err
    );
    assert_eq!(
        bench
            .run(&["results", "--json"])
            .json()
            .as_array()
            .map(Vec::len),
        Some(5)
    );
}

#[test]
fn a_sheet_of_the_other_ladder_is_seen_through() {
    let bench = Bench::new();
    // 18.1 to 20.6 with these distances exist on level 2 only.
    let sheet = "Name,Level,Distance (m),Why stopped\nA One,18.3,280,misses\nB Two,19.2,360,misses\n\
        C Three,20.1,480,misses\nD Four,20.6,680,misses\nE Five,19.4,440,misses\nF Six,18.1,200,misses\n";
    bench.put("sheet.csv", sheet);
    let ran = bench.run(&["examine", "sheet.csv", "--test", "ir1", "--json"]);
    assert_eq!(ran.status, 1);
    let report = ran.json();
    assert_eq!(report["ladders"][0]["id"], "ir2");
    assert!(report["ladders"][0]["posterior"].as_f64().expect("number") > 0.99);
}

#[test]
fn a_sheet_with_dates_becomes_test_days_in_one_import() {
    let bench = Bench::new();
    bench.put("roster.csv", ROSTER);
    bench.run(&["people", "import", "roster.csv"]);
    let sheet = "Name,Date,Level,Distance (m),Why stopped\nSol Heron,2026-03-01,15.2,840,misses\n\
        Tove Birk,2026-03-01,17.4,1560,misses\nSol Heron,2026-05-10,15.4,920,misses\n\
        Tove Birk,2026-05-10,17.6,1640,misses\nKai Linnet,,16.3,1200,misses\n";
    bench.put("old.csv", sheet);
    let ran = bench.run(&["results", "import", "old.csv", "--test", "ir1", "--json"]);
    let done = ran.json();
    assert_eq!(done["accepted"], 4, "{done:#}");
    assert_eq!(done["held"][0]["code"], "no-date");
    let sol = bench
        .run(&["results", "--person", "Sol Heron", "--json"])
        .json();
    let dates: Vec<_> = sol
        .as_array()
        .expect("list")
        .iter()
        .map(|r| &r["date"])
        .collect();
    assert_eq!(dates, ["2026-03-01", "2026-05-10"]);
    // One import is one change: it goes as a whole.
    let change = done["change"].to_string();
    assert_eq!(bench.run(&["archive", "undo", &change]).status, 0);
    assert_eq!(
        bench
            .run(&["results", "--json"])
            .json()
            .as_array()
            .map(Vec::len),
        Some(0)
    );
    assert_eq!(bench.run(&["archive", "check"]).status, 0);
}

/// Every fixture of the import doctor that needs no archive, through the command itself: the fault
/// its name says and no other, and nothing on its clean twin.
#[test]
fn every_fixture_shows_its_fault_and_its_twin_none() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../examine/tests/fixtures");
    let bench = Bench::new();
    let mut seen = 0;
    let mut wrong = Vec::new();
    let mut paths: Vec<_> = std::fs::read_dir(&folder)
        .expect("folder")
        .map(|e| e.expect("entry").path())
        .collect();
    paths.sort();
    for path in paths {
        let name = path
            .file_name()
            .expect("name")
            .to_string_lossy()
            .into_owned();
        let sheet = ["csv", "xlsx", "ods"]
            .iter()
            .any(|e| name.ends_with(&format!(".{e}")));
        let stem = name.rsplit_once('.').map_or("", |(stem, _)| stem);
        let clean = stem.ends_with(".clean");
        let sidecar = std::fs::read_to_string(folder.join(format!("{stem}.context.json")));
        let context: serde_json::Value = sidecar.map_or(json!({}), |text| {
            serde_json::from_str(&text).expect("context")
        });
        // A roster or a history comes from an archive; those fixtures are tested in their own crate.
        let only_test = context
            .as_object()
            .is_some_and(|c| c.keys().all(|k| k == "test"));
        if !sheet || !only_test {
            continue;
        }
        let path = path.to_string_lossy().into_owned();
        let mut args = vec!["examine", path.as_str(), "--json"];
        if let Some(test) = context["test"].as_str() {
            args.extend(["--test", test]);
        }
        let ran = bench.run(&args);
        let report = ran.json();
        let mut codes: Vec<&str> = report["findings"]
            .as_array()
            .expect("findings")
            .iter()
            .filter_map(|f| f["code"].as_str())
            .collect();
        codes.dedup();
        seen += 1;
        let fine = if clean {
            codes.is_empty() && ran.status == 0
        } else {
            codes.len() == 1 && stem[3..].starts_with(codes[0]) && ran.status == 1
        };
        if !fine {
            wrong.push(format!("{name}: {codes:?}, exit {}", ran.status));
        }
    }
    assert!(seen > 70, "only {seen} fixtures");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// An alias that differs from the name in accents only is the same person, not a second one.
#[test]
fn an_alias_without_accents_does_not_hold_the_persons_rows() {
    let bench = Bench::new();
    bench.put(
        "roster.csv",
        "Name,Date of birth,Sex,Squad,Aliases\nLars Bjørk-Åsen,2009-04-16,M,U17,Lars Bjork-Asen\n",
    );
    assert_eq!(bench.run(&["people", "import", "roster.csv"]).status, 0);
    bench.put(
        "day.csv",
        "Name,Level,Distance (m),Why stopped\nLars Bjork-Asen,14.3,560,misses\n",
    );
    let ran = bench.run(&[
        "results",
        "import",
        "day.csv",
        "--test",
        "ir1",
        "--on",
        "2026-09-12",
        "--json",
    ]);
    assert_eq!(ran.json()["accepted"], 1, "{}", ran.out);
}
