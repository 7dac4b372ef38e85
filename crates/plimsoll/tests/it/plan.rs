//! `plimsoll plan`: chooser, waves, retests, as a person and as a program ask.

use crate::support::Bench;

#[test]
fn the_chooser_predicts_the_squad_and_says_what_it_cannot() {
    let bench = Bench::filled();
    let ran = bench.run(&[
        "plan",
        "--choose",
        "--squad",
        "u19",
        "--on",
        "2026-10-01",
        "--figure",
        "f.svg",
    ]);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{}", ran.out);
    for words in [
        "5 runners: the squad u19",
        "in nine waves of ten",
        "Detects: one runner must change by",
        "Easier version: ir1_sub6, on the same cues.",
        "Cannot be predicted for this roster:",
        "no published",
        "Cautions. A test to exhaustion",
    ] {
        assert!(ran.out.contains(words), "{words}: {}", ran.out);
    }
    let svg = std::fs::read_to_string(bench.path("f.svg")).expect("written");
    assert!(svg.starts_with("<svg") && svg.contains("first two minutes"));
    let json = bench
        .run(&["plan", "--choose", "--on", "2026-10-01", "--json"])
        .json();
    let tests = json["tests"].as_array().expect("tests");
    let own = tests.iter().find(|t| t["test"] == "ir1").expect("listed");
    assert_eq!(own["answer"], "predicted");
    // One of the five stopped injured: known only as "at least", so drawn or left out, not a score.
    assert_eq!((&own["runners"], &own["left_out"]), (&4.into(), &1.into()));
    let ir2 = tests.iter().find(|t| t["test"] == "ir2").expect("listed");
    assert_eq!(ir2["answer"], "cannot_be_predicted");
}

#[test]
fn a_population_and_an_empty_archive_are_answers() {
    let bench = Bench::new();
    let nobody = bench.run(&["plan", "--choose"]);
    assert_eq!(nobody.status, 2, "{}", nobody.out);
    let men = bench.run(&[
        "plan",
        "--choose",
        "--sex",
        "m",
        "--age",
        "26",
        "--runners",
        "20",
    ]);
    assert_eq!(men.status, 0, "{}", men.err);
    assert!(
        men.out.contains("20 of a population: male, 26 y"),
        "{}",
        men.out
    );
    let infants = bench.run(&["plan", "--choose", "--sex", "F", "--age", "2"]);
    assert_eq!(infants.status, 1, "a person must decide: {}", infants.out);
    let old = bench.run(&["plan", "--choose", "--sex", "F", "--age", "1e9"]);
    assert_eq!(old.status, 2);
    let unit = bench.run(&[
        "plan",
        "--choose",
        "--sex",
        "F",
        "--age",
        "20",
        "--typical-error",
        "80",
    ]);
    assert!(unit.err.contains("give a percentage"), "{}", unit.err);
}

#[test]
fn waves_place_everyone_who_shows_and_a_file_needs_no_archive() {
    let bench = Bench::new();
    let mut text = String::from("name,bouts\n");
    for n in 0..24 {
        text.push_str(&format!("R{n:02},{}\n", 12 + n * 5 % 40));
    }
    bench.put("r.csv", &text);
    let args = [
        "plan",
        "--waves",
        "--file",
        "r.csv",
        "--test",
        "ir1",
        "--assessors",
        "3",
    ];
    let all = bench.run(&args);
    assert_eq!((all.status, all.err.as_str()), (0, ""), "{}", all.out);
    assert!(
        all.out.contains("Wave 1: 24 runners") && all.out.contains("(ir1_sub6)"),
        "{}",
        all.out
    );
    let mut fewer = args.to_vec();
    fewer.extend([
        "--absent", "R03", "--absent", "r04", "--absent", "R20", "--json",
    ]);
    let plan = bench.run(&fewer).json();
    let runners = plan["plan"]["waves"][0]["runners"]
        .as_array()
        .expect("runners");
    assert_eq!(runners.len(), 21);
    assert!(
        runners
            .iter()
            .all(|r| r["name"] != "R03" && r["expected_bouts"].is_u64())
    );
    assert!(plan["together"].as_f64() <= plan["together_before"].as_f64());
    let stranger = bench.run(&[
        "plan", "--waves", "--file", "r.csv", "--test", "ir1", "--absent", "Nobody",
    ]);
    assert_eq!(stranger.status, 2);
    assert!(
        stranger.err.contains("--absent Nobody: 0 on this roster"),
        "{}",
        stranger.err
    );
    bench.put("bad.csv", "name,level\nA,99.9\n");
    let bad = bench.run(&["plan", "--waves", "--file", "bad.csv", "--test", "ir1"]);
    assert!(
        bad.err.contains("bad.csv, row 2, column level"),
        "{}",
        bad.err
    );
}

#[test]
fn a_retest_has_a_week_a_chance_and_a_reason() {
    let bench = Bench::new();
    let ran = bench.run(&[
        "plan",
        "--retest",
        "--test",
        "msr20",
        "--weekly-gain",
        "2",
        "--precision",
        "3",
    ]);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    for words in [
        "must differ by 16.6 shuttles",
        "takes 8.3 weeks, and then it is seen in half of the cases only",
        "8 trials averaged on each",
        "How: default typical error 6 shuttles",
    ] {
        // Lines are broken for the terminal.
        let out = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(out.contains(words), "{words}: {}", ran.out);
    }
    let json = bench
        .run(&[
            "plan",
            "--retest",
            "--test",
            "ir1",
            "--weekly-gain",
            "1%",
            "--json",
        ])
        .json();
    assert!(json["weeks_likely"].as_f64() > json["weeks_even"].as_f64());
    let none = bench.run(&["plan", "--retest", "--test", "track_2min"]);
    assert_eq!(none.status, 1, "a person must set an error: {}", none.out);
    for (args, says) in [
        (vec!["--weekly-gain", "0"], "--weekly-gain"),
        (vec!["--chance", "1"], "--chance is 1"),
        (vec!["--weekly-gain", "20m"], "--weekly-gain is `20m`"),
    ] {
        let mut all = vec!["plan", "--retest", "--test", "ir1"];
        all.extend(args);
        let bad = bench.run(&all);
        assert_eq!(bad.status, 2, "{}", bad.out);
        assert!(bad.err.contains(says), "{says}: {}", bad.err);
    }
    assert_eq!(bench.run(&["plan"]).status, 2);
    assert_eq!(
        bench
            .run(&["plan", "--choose", "--waves", "--test", "ir1"])
            .status,
        2
    );
}
