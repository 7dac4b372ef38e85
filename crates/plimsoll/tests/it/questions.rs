//! Change and report.

use crate::support::Bench;

#[test]
fn change_of_two_values_sums_to_one_and_says_it_in_words() {
    let ran = Bench::new().run(&[
        "change",
        "--test",
        "ir1",
        "--from",
        "1480",
        "--to",
        "1640",
        "--typical-error",
        "4.9%",
        "--json",
    ]);
    assert_eq!(ran.status, 0);
    let answer = ran.json();
    let p = |key: &str| answer[key].as_f64().expect("number");
    assert!((p("p_up") + p("p_trivial") + p("p_down") - 1.0).abs() < 1e-12);
    assert_eq!(p("difference"), 160.0);
    // A whole number of 40 m bouts.
    assert_eq!(p("detectable") % 40.0, 0.0);
    assert_eq!(answer["verdict"], "likely better (80 %)");
    assert!(
        answer["basis"]
            .as_str()
            .expect("words")
            .starts_with("typical error 4.9 % set by hand")
    );
}

#[test]
fn change_refuses_what_it_cannot_use() {
    let bench = Bench::new();
    let bad = |args: &[&str]| {
        let ran = bench.run(&[&["change", "--test", "ir1"], args].concat());
        assert_eq!(ran.status, 2, "{args:?}");
        ran.err
    };
    assert!(bad(&["--from", "0", "--to", "100"]).contains("above 0"));
    assert!(
        bad(&["--from", "100", "--to", "200", "--typical-error", "much"])
            .contains("--typical-error is `much`")
    );
    assert!(bad(&["--from", "100", "--to", "200", "--swc", "-4"]).contains("--swc"));
    bad(&["--from", "100"]);
}

#[test]
fn a_person_is_compared_with_their_own_past() {
    let bench = Bench::filled();
    bench.run(&[
        "results",
        "import",
        "second.csv",
        "--test",
        "ir1",
        "--on",
        "2026-11-21",
    ]);
    let answer = bench
        .run(&["change", "--person", "Tove Birk", "--json"])
        .json();
    assert_eq!(answer["difference"], 240);
    let sum: f64 = ["p_up", "p_trivial", "p_down"]
        .iter()
        .filter_map(|k| answer[*k].as_f64())
        .sum();
    assert!((sum - 1.0).abs() < 1e-12);
    assert!(answer["flags"].is_array());
    // The first run of this one ended injured: only "at least" is known of it.
    let quin = bench
        .run(&["change", "--person", "Quin Plover", "--json"])
        .json();
    assert!(
        quin["verdict"]
            .as_str()
            .expect("words")
            .contains("at least"),
        "{quin}"
    );
    assert!(quin["p_up"].is_null());
}

#[test]
fn a_report_leaves_its_files_and_reads_aloud() {
    let bench = Bench::filled();
    let ran = bench.run(&["report", "--day", "2026-09-12", "--out", "pages", "--json"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let done = ran.json();
    assert!(
        done["lead"]
            .as_str()
            .expect("words")
            .starts_with("5 athletes ran")
    );
    for file in done["files"].as_array().expect("files") {
        let path = bench.path(file.as_str().expect("path"));
        assert!(
            std::fs::metadata(&path).expect("written").len() > 100,
            "{}",
            path.display()
        );
    }
    let nowhere = bench.run(&["report", "--day", "2026-09-13", "--out", "pages"]);
    assert_eq!(nowhere.status, 2);
    assert!(nowhere.err.contains("it has 2026-09-12"), "{}", nowhere.err);
}
