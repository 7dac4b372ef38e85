//! `plimsoll level`: what the days did to a person's results, and a second test.

use crate::support::Bench;

/// A squad whose second day is on another surface and in heat.
fn bench() -> Bench {
    let bench = Bench::filled();
    let card = "test = \"ir1\"\nsurface = \"artificial turf\"\nwbgt_c = 26.0\n";
    bench.put("second.toml", card);
    bench.put(
        "second.csv",
        "Player,Level,Distance (m),Why stopped\nSol Heron,15.6,1000,misses\nTove Birk,18.2,1800,misses\n",
    );
    let second = [
        "results",
        "import",
        "second.csv",
        "--test",
        "ir1",
        "--on",
        "2026-10-12",
        "--day-card",
        "second.toml",
    ];
    let ran = bench.run(&second);
    assert_eq!(ran.status, 0, "{}{}", ran.out, ran.err);
    bench
}

#[test]
fn a_hot_day_is_told_and_heard() {
    let bench = bench();
    let found = bench.run(&[
        "level",
        "--person",
        "Tove Birk",
        "--on",
        "2026-10-12",
        "--json",
    ]);
    assert_eq!(found.status, 0, "{}", found.err);
    let found = found.json();
    let heat = &found["conditions"][0];
    assert_eq!(heat["kind"], "heat");
    assert_eq!(heat["date"], "2026-10-12");
    // Derived by hand: (26 − 15) × 0.175 % = 1.9 % of 17.75 km/h is 0.34 km/h, 5.5 of some 45 bouts: about 12 %.
    let percent = heat["percent"].as_f64().expect("a number");
    assert!((-14.0..=-10.0).contains(&percent), "{percent}");
    let words = bench.run(&["level", "--person", "Tove Birk", "--on", "2026-10-12"]);
    assert!(
        words.out.contains("12 Oct 2026: WBGT 26.0 °C"),
        "{}",
        words.out
    );
    assert!(words.out.contains("Mantzios 2022"), "{}", words.out);
    let results = bench
        .run(&["results", "--person", "Tove Birk", "--json"])
        .json();
    assert_eq!(results[1]["distance_m"], 1800.0, "no result is changed");
}

#[test]
fn the_next_score_has_its_whole_distribution_and_a_change_any_two_dates() {
    let bench = bench();
    let args = ["level", "--person", "Tove Birk", "--on", "2026-10-20"];
    let found = bench.run(&[&args[..], &["--since", "2026-09-20", "--json"]].concat());
    assert_eq!(found.status, 0, "{}", found.err);
    let found = found.json();
    let scores = found["next"]["scores"].as_array().expect("scores");
    let chance = |s: &serde_json::Value| s["chance"].as_f64().expect("a chance");
    let sum: f64 = scores.iter().map(chance).sum();
    assert!((0.98..=1.0 + 1e-9).contains(&sum), "{sum}");
    let mean: f64 = scores
        .iter()
        .map(|s| chance(s) * (s["value"].as_f64().expect("m") + 20.0))
        .sum();
    let told = found["next"]["result"].as_f64().expect("m");
    assert!(
        (mean / sum / told - 1.0).abs() < 0.03,
        "{mean} beside {told}"
    );
    assert!(
        scores.iter().all(|s| s["label"].is_string()),
        "no 0 bouts for a fit runner"
    );
    assert_eq!(found["change"]["since"], "2026-09-20");
    let early = bench.run(&[&args[..], &["--since", "2026-01-01"]].concat());
    assert_eq!(early.status, 2);
    assert!(
        early.err.contains("from the first result on"),
        "{}",
        early.err
    );
}

#[test]
fn a_second_test_is_refused_in_words() {
    let bench = bench();
    let level = |with: &str| bench.run(&["level", "--person", "Tove Birk", "--with", with]);
    let none = level("ir2");
    assert_eq!(none.status, 2);
    assert!(
        none.err.contains("typical error") || none.err.contains("8 are needed"),
        "{}",
        none.err
    );
    let itself = level("ir1");
    assert_eq!(itself.status, 2);
    assert!(itself.err.contains("name another test"), "{}", itself.err);
    assert_eq!(level("no-such-test").status, 2);
}
