//! Change: the figure, growth of the young, a person's level first.

use serde_json::Value;

use crate::support::{Bench, Ran};

/// Derived by hand below; only printing as decimals could move them.
const BY_HAND: f64 = 1e-6;

const TOML: &str = "format = 1\nkind = \"population\"\nid = \"own\"\ntitle = \"Own boys\"\nsource = \"invented table\"\n\
    licence = \"own\"\nread = \"own\"\n";
/// A normal (L = 1) with SD 0.2 of the median; the median rises by 100 m a year.
const CSV: &str = "test,metric,unit,sex,age,age_min,age_max,n,kind,l,m,s,source,confidence\n\
    ir1,distance_m,m,M,13-19,13,13,90,lms,1,1000,0.2,invented table,derived arithmetic\n\
    ir1,distance_m,m,M,13-19,15,15,90,lms,1,1200,0.2,invented table,derived arithmetic\n\
    ir1,distance_m,m,M,13-19,19,19,90,lms,1,1600,0.2,invented table,derived arithmetic\n";

fn with_reference(bench: &Bench) {
    std::fs::create_dir_all(bench.path("archive/references")).expect("folder");
    bench.put("archive/references/own.toml", TOML);
    bench.put("archive/references/own.csv", CSV);
}

fn two(bench: &Bench, from: &str, to: &str, more: &[&str]) -> Ran {
    let known = [
        "change",
        "--test",
        "ir1",
        "--from",
        from,
        "--to",
        to,
        "--typical-error",
        "60",
        "--json",
    ];
    bench.run(&[&known[..], more].concat())
}

fn near(what: &str, got: &Value, want: f64) {
    let got = got.as_f64().expect("a number");
    assert!((got - want).abs() < BY_HAND, "{what}: {got}, not {want}");
}

#[test]
fn on_the_median_at_both_ages_nothing_is_left() {
    let bench = Bench::new();
    with_reference(&bench);
    let ages = ["--sex", "M", "--age-from", "13", "--age", "14"];
    let answer = two(&bench, "1000", "1100", &ages).json();
    assert_eq!(answer["difference"], 100.0);
    let since = &answer["growth"]["since"][0];
    for way in 0..2 {
        near("expected", &since["ways"][way]["expected"], 100.0);
        near("beyond", &since["ways"][way]["beyond"], 0.0);
    }
    assert_eq!(answer["growth"]["source"], "invented table");
    let words = answer["growth"]["words"].as_str().expect("words");
    assert!(
        words.contains("training, an early or late growth spurt, or chance"),
        "{words}"
    );
    let basis = answer["growth"]["basis"].as_str().expect("words");
    assert!(
        basis.contains("taken as 0.30 over that time") && basis.contains("chosen, no source"),
        "{basis}"
    );
}

/// From z = 1 at 13 (1200 m): keeping it means 1100 x 1.2 = 1320 m at 14, +120; the median gains +100.
/// Error of the median way: root(2 x 60^2 + (0.3 x 220)^2) = 107.498837; of the own place, where a wrong first
/// value shifts what is expected by 220/200: root(60^2 (1 + 1.1^2) + 66^2) = 110.959452.
#[test]
fn the_own_place_expects_more_of_the_better_and_its_interval_is_wider() {
    const Z90: f64 = 1.644_853_626_951_472_2;
    let bench = Bench::new();
    with_reference(&bench);
    let ages = ["--sex", "M", "--age-from", "13", "--age", "14"];
    let answer = two(&bench, "1200", "1400", &ages).json();
    let since = &answer["growth"]["since"][0];
    near("z", &since["z_from"], 1.0);
    for (way, expected, se) in [
        (0, 100.0, (7200.0_f64 + 4356.0).sqrt()),
        (1, 120.0, (3600.0_f64 * 2.21 + 4356.0).sqrt()),
    ] {
        let found = &since["ways"][way];
        near("expected", &found["expected"], expected);
        near("beyond", &found["beyond"], 200.0 - expected);
        near("low", &found["low90"], 200.0 - expected - Z90 * se);
        near("high", &found["high90"], 200.0 - expected + Z90 * se);
        let sum: f64 = ["p_up", "p_trivial", "p_down"]
            .iter()
            .filter_map(|k| found[*k].as_f64())
            .sum();
        assert!((sum - 1.0).abs() < 1e-9);
    }
}

#[test]
fn growth_is_refused_in_words_and_silent_for_the_grown() {
    let bench = Bench::new();
    let young = ["--sex", "M", "--age-from", "13.5", "--age", "14.5"];
    let none = two(&bench, "1000", "1100", &young).json();
    let why = none["growth"]["none"].as_str().expect("words");
    assert!(
        why.contains("no reference by age fits") && why.contains("Belgium"),
        "{why}"
    );
    let grown = two(
        &bench,
        "1000",
        "1100",
        &["--sex", "M", "--age-from", "22", "--age", "23"],
    )
    .json();
    assert!(grown["growth"].is_null());
    let half = two(&bench, "1000", "1100", &["--age", "15"]).json();
    assert!(
        half["growth"]["none"]
            .as_str()
            .expect("words")
            .contains("age at both tests")
    );
    with_reference(&bench);
    let outside = two(
        &bench,
        "1000",
        "1100",
        &["--sex", "M", "--age-from", "12", "--age", "14"],
    )
    .json();
    assert!(
        outside["growth"]["none"]
            .as_str()
            .expect("words")
            .contains("13"),
        "{outside}"
    );
    let sexless = two(&bench, "1000", "1100", &["--age-from", "13", "--age", "14"]).json();
    assert!(
        sexless["growth"]["none"]
            .as_str()
            .expect("words")
            .contains("sex is not known")
    );
    for bad in [
        &["--age", "15", "--age-from", "16"][..],
        &["--age", "-3"],
        &["--age", "nan"],
        &["--sex", "x"],
    ] {
        let ran = two(&bench, "1000", "1100", bad);
        assert_eq!(ran.status, 2, "{bad:?} {}", ran.err);
        assert!(!ran.err.contains("panicked"));
    }
}

#[test]
fn the_figure_is_written_or_refused() {
    let bench = Bench::new();
    let ran = two(&bench, "1480", "1640", &["--figure", "change.svg"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let svg = std::fs::read_to_string(bench.path("change.svg")).expect("a file");
    for words in [
        "rise that matters",
        "too small to matter",
        "would rule chance out",
    ] {
        assert!(svg.contains(words), "{words}");
    }
    let none = bench.run(&[
        "change",
        "--test",
        "ir1",
        "--from",
        "1",
        "--to",
        "1e300",
        "--figure",
        "none/such.svg",
    ]);
    assert_eq!(none.status, 2, "{}", none.out);
}

#[test]
fn a_persons_level_comes_first_and_growth_is_taken_off() {
    let bench = Bench::filled();
    with_reference(&bench);
    let sheet = [
        "results",
        "import",
        "second.csv",
        "--test",
        "ir1",
        "--on",
        "2026-11-21",
    ];
    bench.run(&sheet);
    let who = ["change", "--person", "Tove Birk"];
    let answer = bench.run(&[&who[..], &["--json"]].concat()).json();
    assert_eq!(answer["difference"], 240);
    assert_eq!(
        answer["level"]["since_each"]
            .as_array()
            .expect("changes")
            .len(),
        1
    );
    // Born 2008-11-14: 17.83 and 18.02 years; the median gains 100 m a year, 70 days are 0.1916 years.
    near(
        "expected",
        &answer["growth"]["since"][0]["ways"][0]["expected"],
        100.0 * 70.0 / 365.25,
    );
    let ran = bench.run(&[&who[..], &["--figure", "tove.svg"]].concat());
    assert_eq!(ran.status, 0, "{}", ran.err);
    let level = ran.out.find("level from all results").expect("level");
    let pair = ran.out.find("the two tests alone").expect("pair");
    assert!(level < pair, "{}", ran.out);
    assert!(ran.out.contains("What is left may be"), "{}", ran.out);
    let svg = std::fs::read_to_string(bench.path("tove.svg")).expect("a file");
    assert!(svg.contains("level since 12 Sep 2026") && svg.contains("the two last tests alone"));
    // The injured first run is only "at least": nothing to take growth from.
    let quin = bench
        .run(&["change", "--person", "Quin Plover", "--json"])
        .json();
    assert!(quin["growth"]["none"].is_string(), "{quin}");
    // No boys' curve holds a woman.
    let sol = bench.run(&["change", "--person", "Sol Heron"]);
    assert!(
        sol.out
            .contains("expected growth between the two ages is not taken off"),
        "{}",
        sol.out
    );
}

#[test]
fn the_coachs_table_carries_the_line_of_growth() {
    let bench = Bench::filled();
    with_reference(&bench);
    let sheet = [
        "results",
        "import",
        "second.csv",
        "--test",
        "ir1",
        "--on",
        "2026-11-21",
    ];
    bench.run(&sheet);
    let ran = bench.run(&["report", "--day", "2026-11-21", "--out", "report"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let text: String = std::fs::read_dir(bench.path("report"))
        .expect("a folder")
        .filter_map(|f| std::fs::read_to_string(f.expect("a file").path()).ok())
        .collect();
    assert!(
        text.contains("growth alone would give") && text.contains(" is left, "),
        "no line of growth in the tables"
    );
}
