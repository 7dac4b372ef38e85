//! Tests, ladders, places, and what bad usage says.

use crate::support::Bench;

#[test]
fn tests_lists_every_definition_with_the_fixed_keys() {
    let ran = Bench::new().run(&["tests", "--json"]);
    assert_eq!(ran.status, 0);
    let list = ran.json();
    let list = list.as_array().expect("list");
    assert_eq!(list.len(), 36);
    for key in [
        "id",
        "name",
        "shape",
        "status",
        "max_distance_m",
        "duration_s",
    ] {
        assert!(list.iter().all(|t| t.get(key).is_some()), "{key}");
    }
}

#[test]
fn ladder_of_level_one() {
    let ran = Bench::new().run(&["ladder", "ir1", "--json"]);
    let ladder = ran.json();
    let bouts = ladder["bouts"].as_array().expect("bouts");
    assert_eq!(bouts.len(), 91);
    let last = bouts[90]["finish_s"].as_f64().expect("number");
    // Source: arithmetic on the published speeds, printed to 0.01 s.
    assert!((last - 1714.58).abs() < 0.01);
    assert_eq!(ladder["max_distance_m"], 3640);
    for key in [
        "bout",
        "label",
        "speed_kmh",
        "start_s",
        "turns_s",
        "finish_s",
        "distance_m",
    ] {
        assert!(bouts[0].get(key).is_some(), "{key}");
    }
}

#[test]
fn a_label_of_the_other_level_is_refused_and_named() {
    let bench = Bench::new();
    let ran = bench.run(&["locate", "ir2", "--label", "14.3"]);
    assert_eq!(ran.status, 2);
    assert!(ran.out.is_empty());
    assert!(ran.err.contains("`ir1` (bout 14, 560 m)"), "{}", ran.err);
    let ran = bench.run(&["locate", "ir2", "--label", "14.3", "--json"]);
    assert_eq!(ran.status, 2);
    let document = ran.json();
    assert_eq!(document["exists_on"][0]["id"], "ir1");
    assert_eq!(document["exists_on"][0]["distance_m"], 560);
}

#[test]
fn a_label_is_text() {
    let bench = Bench::new();
    let ran = bench.run(&["locate", "msr20_whole", "--label", "9.11", "--json"]);
    let place = ran.json();
    assert_eq!(
        (ran.status, &place["bout"], &place["distance_m"]),
        (0, &83.into(), &1660.into())
    );
    let ran = bench.run(&["locate", "msr20_whole", "--label", "9.1", "--json"]);
    assert_eq!(ran.json()["bout"], 73);
}

#[test]
fn bad_usage_says_what_to_do_and_writes_nothing() {
    let bench = Bench::new();
    let ran = bench.run(&["ladder", "ir9"]);
    assert_eq!(ran.status, 2);
    assert!(
        ran.err
            .starts_with("no test has the id `ir9`\n  → nearest are ir1"),
        "{}",
        ran.err
    );
    assert_eq!(bench.run(&["locate", "ir1"]).status, 2);
    assert_eq!(bench.run(&["locate", "ir1", "--time", "6:75"]).status, 2);
    assert_eq!(bench.run(&["nonsense"]).status, 2);
    let ran = bench.run(&["results"]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("holds no archive"), "{}", ran.err);
    assert!(!bench.path("archive").exists());
}

#[test]
fn a_users_definition_loads_from_the_archive_and_faults_have_a_place() {
    let bench = Bench::new();
    assert_eq!(bench.run(&["archive", "create"]).status, 0);
    let own = "format = 1\nid = \"club_short\"\nname = \"Our short form\"\nmaximal = false\n\
        base = \"ir1\"\nstop_after = { value = \"13.2\", confidence = \"common practice, no source\" }\n";
    bench.put("archive/definitions/club.toml", own);
    let ran = bench.run(&["ladder", "club_short", "--json"]);
    assert_eq!(ran.json()["max_distance_m"], 360);
    bench.put(
        "archive/definitions/club.toml",
        &own.replace("maximal = false", "maximal = 7"),
    );
    let ran = bench.run(&["tests"]);
    assert_eq!(ran.status, 2);
    assert!(
        ran.err
            .contains("club.toml:4:11: `maximal` is the number 7"),
        "{}",
        ran.err
    );
}

#[test]
fn cautions_are_there_to_read() {
    let ran = Bench::new().run(&["cautions"]);
    assert_eq!(ran.status, 0);
    assert!(ran.out.contains("While running") && ran.out.contains("Afterwards"));
}
