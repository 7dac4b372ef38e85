//! `plimsoll train`: runs, groups, refusals, trials, files.

use serde_json::Value;

use crate::support::{Bench, Ran};

const SQUAD: &str = "name,speed_kmh,mss_kmh,trial\nSol Heron,19,30.2,2\nTove Birk,18.5,29,3\n\
    Kai Linnet,17,28,2\nQuin Plover,16,27.5,1\nUma Vetch,18,,2\n";
const TRIALS: &str = "distance_m,time_s\n3600,12:40\n2400,494\n1200,232\n";

/// Printed to 0.1 m.
const PRINTED: f64 = 0.05;

fn train(bench: &Bench, args: &[&str]) -> Ran {
    bench.run(&[&["train"], args].concat())
}

fn bench() -> Bench {
    let bench = Bench::new();
    bench.put("squad.csv", SQUAD);
    bench.put("trials.csv", TRIALS);
    bench
}

fn person<'d>(card: &'d Value, name: &str) -> &'d Value {
    let people = card["people"].as_array().expect("people");
    people.iter().find(|p| p["name"] == name).expect("there")
}

#[test]
fn a_file_gives_the_worked_example_and_groups() {
    let bench = bench();
    let common = [
        "squad.csv",
        "--test",
        "int30_15_40",
        "--percent",
        "95",
        "--json",
    ];
    let straight = train(&bench, &common).json();
    let metres = |card: &Value| person(card, "Sol Heron")["distance_m"].as_f64().expect("m");
    assert!((metres(&straight) - 75.2).abs() < PRINTED);
    let lanes = train(
        &bench,
        &[
            &common[..],
            &[
                "--lane",
                "20",
                "--typical-error",
                "0.36",
                "--move",
                "Kai Linnet=2",
            ],
        ]
        .concat(),
    )
    .json();
    assert!((metres(&lanes) - 64.7).abs() < PRINTED);
    assert_eq!(person(&lanes, "Sol Heron")["turns"], 3);
    let kai = person(&lanes, "Kai Linnet");
    assert_eq!((&kai["group"], &kai["moved_from"]), (&2.into(), &3.into()));
    // 18.25 km/h x 95 % of a final speed of 17 stays within the rule; two groups up it does not.
    assert_eq!(kai["marks"], serde_json::json!([]));
    let far = train(&bench, &[&common[..], &["--move", "Kai Linnet=1"]].concat()).json();
    let percent = person(&far, "Kai Linnet")["group_percent"]
        .as_f64()
        .expect("percent");
    assert!((percent - 107.57).abs() < 0.01, "{percent}");
    let hard = [
        "squad.csv",
        "--test",
        "int30_15_40",
        "--percent",
        "100",
        "--move",
        "Kai Linnet=1",
        "--json",
    ];
    let far = train(&bench, &hard).json();
    let mark = &person(&far, "Kai Linnet")["marks"][0];
    assert_eq!(mark, "group's run above 110 % of own speed");
    let quin = person(&lanes, "Quin Plover");
    assert!(quin["group"].is_null());
    assert_eq!(quin["marks"][0], "first trial");
    let chance = person(&lanes, "Tove Birk")["chance_other"]
        .as_f64()
        .expect("a chance");
    assert!((0.0..1.0).contains(&chance));
    let tagged = |text: &str| {
        lanes["notes"].as_array().expect("notes").iter().any(|n| {
            n["text"].as_str().is_some_and(|t| t.contains(text)) && n["tag"] == "from_memory"
        })
    };
    assert!(tagged("0.7 s lost in each turn"), "{}", lanes["notes"]);
    assert!(
        lanes["cautions"]
            .as_str()
            .expect("words")
            .contains("rule it out")
    );
}

#[test]
fn pages_and_figure_are_written_and_words_say_the_same() {
    let bench = bench();
    let ran = train(
        &bench,
        &[
            "squad.csv",
            "--test",
            "int30_15_40",
            "--lane",
            "20",
            "--out",
            "card.pdf",
            "--figure",
            "card.svg",
        ],
    );
    assert_eq!(ran.status, 0, "{}", ran.err);
    for part in [
        "Group 1",
        "Not grouped",
        "first trial",
        "[from memory]",
        "caution:",
        "card.pdf",
    ] {
        assert!(ran.out.contains(part), "`{part}`: {}", ran.out);
    }
    let pdf = std::fs::read(bench.path("card.pdf")).expect("written");
    assert!(pdf.starts_with(b"%PDF-") && pdf.len() > 2_000);
    let svg = std::fs::read_to_string(bench.path("card.svg")).expect("written");
    assert!(svg.contains("Tove Birk") && svg.contains("<desc>"));
}

#[test]
fn the_reserve_is_each_persons_own() {
    let bench = bench();
    let card = train(
        &bench,
        &["squad.csv", "--mas", "--reserve", "0.2", "--json"],
    )
    .json();
    let sol = person(&card, "Sol Heron");
    assert!((sol["speed_kmh"].as_f64().expect("km/h") - 21.24).abs() < 1e-9);
    assert!(card["groups"][0]["distance_m"].is_null());
    let uma = person(&card, "Uma Vetch");
    assert!(uma["distance_m"].is_null());
    assert!(uma["refused"].as_str().expect("words").contains("mss_kmh"));
}

#[test]
fn every_refusal_exits_two_and_writes_nothing() {
    let bench = bench();
    let file = ["squad.csv", "--test", "int30_15_40", "--out", "no.pdf"];
    for (more, part) in [
        (
            &[
                "--lane",
                "20",
                "--turn",
                "0.7",
                "--straight-factor",
                "1.031",
            ][..],
            "counted twice",
        ),
        (
            &["--lane", "40", "--turn", "0.7"],
            "already holds the turns",
        ),
        (
            &["--lane", "20", "--straight-factor", "1.031"],
            "for 20 m lanes",
        ),
        (&["--percent", "111"], "fails above 110 %"),
        (&["--lane", "9"], "fails under 10 m"),
        (&["--format", "tempo"], "no interval format `tempo`"),
        (&["--format", "sprint interval"], "as fast as possible"),
        (&["--format", "20:40"], "no intensity for `20:40`"),
        (
            &["--band", "0.2", "--typical-error", "0.36"],
            "narrower than one typical error",
        ),
        (&["--move", "Nobody=1"], "is not in the list"),
        (&["--move", "Sol Heron=9"], "the groups are 1 to 3"),
        (&["--move", "Sol Heron"], "not a name and a group"),
        (&["--percent", "NaN"], "allowed is 10 to 200 %"),
        (&["--reserve", "0.2"], "is not that"),
    ] {
        let ran = train(&bench, &[&file[..], more].concat());
        assert_eq!(ran.status, 2, "{more:?}: {}", ran.out);
        assert!(ran.err.contains(part), "{more:?}: {}", ran.err);
        assert!(!bench.path("no.pdf").exists(), "{more:?}");
    }
    for (args, part) in [
        (&["squad.csv", "--test", "ir1"][..], "reached after rests"),
        (
            &["squad.csv", "--test", "msr20"],
            "add --lane 20 --percent 100",
        ),
        (
            &["squad.csv", "--test", "run12"],
            "has no rule for training",
        ),
        (
            &["squad.csv", "--test", "none"],
            "no test has the id `none`",
        ),
        (&["squad.csv"], "does not say what its speeds are"),
        (&["gone.csv", "--mas"], "gone.csv"),
    ] {
        let ran = train(&bench, args);
        assert_eq!(ran.status, 2, "{args:?}");
        assert!(ran.err.contains(part), "{args:?}: {}", ran.err);
    }
}

#[test]
fn faults_of_a_file_name_row_and_column() {
    let bench = Bench::new();
    for (text, part) in [
        ("name\nA\n", "there is no column `speed_kmh`"),
        ("name,speed_kmh\n", "there is no row below the head"),
        (
            "name,speed_kmh\nA,fast\n",
            "row 2, column `speed_kmh`: found `fast`",
        ),
        ("name,speed_kmh\nA,15\n,16\n", "row 3, column `name`"),
        (
            "name,speed_kmh,mss_kmh\nA,15,14\n",
            "a speed above speed_kmh",
        ),
        (
            "name,speed_kmh,trial\nA,15,0\n",
            "column `trial`: found `0`",
        ),
        ("name,speed_kmh,speed_kmh\nA,15,15\n", "is there twice"),
        ("name,speed_kmh\nA,15,16\n", "cannot be read"),
    ] {
        bench.put("bad.csv", text);
        let ran = train(&bench, &["bad.csv", "--mas"]);
        assert_eq!(ran.status, 2, "{text}");
        assert!(ran.err.contains(part), "{text}: {}", ran.err);
    }
    // Semicolons with decimal commas are what half of the spreadsheets write.
    bench.put("comma.csv", "Name;Speed_kmh\nA;17,5\n");
    let card = train(&bench, &["comma.csv", "--mas", "--json"]).json();
    assert_eq!(card["people"][0]["reference_kmh"], 17.5);
}

#[test]
fn trials_give_every_fit_its_spread_and_a_plan() {
    let bench = bench();
    let ran = train(
        &bench,
        &[
            "--trials",
            "trials.csv",
            "--percent",
            "115",
            "--format",
            "60:60",
            "--json",
        ],
    );
    assert_eq!(ran.status, 0, "{}", ran.err);
    let answer = &ran.json()["people"][0];
    let fits = answer["fits"].as_array().expect("fits");
    assert_eq!(fits.len(), 6);
    let first = &fits[0];
    let number = |v: &Value| v.as_f64().expect("a number");
    assert!((number(&first["critical_speed_m_s"]) - 4.545_367_589_4).abs() < 1e-9);
    assert!((number(&first["d_prime_m"]) - 148.527_920_7).abs() < 1e-6);
    assert!((number(&first["critical_speed_interval"][0]) - 4.292_757_7).abs() < 1e-6);
    // 0.15 of 4.545 m/s for 60 s is 40.9 m; refilled by 60 s of standing.
    assert!((number(&answer["plan"]["spent_m"]) - 40.908).abs() < 1e-2);
    assert!(answer["plan"]["runs"].is_null());
    let words = train(&bench, &["--trials", "trials.csv"]).out;
    assert!(
        words.contains("Siegel") && words.contains("4.29 to 4.8"),
        "{words}"
    );
}

#[test]
fn trials_that_cannot_be_are_findings_or_refused() {
    let bench = Bench::new();
    bench.put(
        "back.csv",
        "name,distance_m,time_s\nA,1200,300\nA,2400,590\nA,3600,850\n",
    );
    let ran = train(&bench, &["--trials", "back.csv", "--percent", "110"]);
    assert_eq!(ran.status, 1, "{}", ran.err);
    assert!(
        ran.out.contains("were not slower") && !ran.out.contains("plan:"),
        "{}",
        ran.out
    );
    bench.put("two.csv", "distance_m,time_s\n1200,240\n2400,520\n");
    let ran = train(&bench, &["--trials", "two.csv"]);
    assert_eq!(ran.status, 0);
    assert!(
        ran.out.contains("two trials give a line and no interval"),
        "{}",
        ran.out
    );
    bench.put("one.csv", "distance_m,time_s\n1200,240\n");
    let ran = train(&bench, &["--trials", "one.csv"]);
    assert_eq!(ran.status, 2);
    assert!(
        ran.err.contains("found 1, at least 2 needed"),
        "{}",
        ran.err
    );
    bench.put("word.csv", "distance_m,time_s\n1200,soon\n");
    let ran = train(&bench, &["--trials", "word.csv"]);
    assert!(
        ran.status == 2 && ran.err.contains("found `soon`"),
        "{}",
        ran.err
    );
    let ran = train(&bench, &["--trials", "two.csv", "--lane", "20"]);
    assert!(
        ran.status == 2 && ran.err.contains("--lane has no meaning"),
        "{}",
        ran.err
    );
}

#[test]
fn the_archive_gives_speeds_doubts_and_errors() {
    let bench = Bench::filled();
    bench.put(
        "stage.csv",
        "Player,Level,Why stopped\nSol Heron,19,misses\nTove Birk,23,misses\n\
         Kai Linnet,22,exhaustion\nQuin Plover,21,injury\n",
    );
    for on in ["2026-10-03", "2026-10-17"] {
        let ran = bench.run(&[
            "results",
            "import",
            "stage.csv",
            "--test",
            "int30_15_40",
            "--on",
            on,
        ]);
        assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{}", ran.out);
    }
    let first = train(&bench, &["--day", "2026-10-03"]);
    assert_eq!(first.status, 2);
    assert!(
        first
            .err
            .contains("3 first trials, 1 known only as \"at least\""),
        "{}",
        first.err
    );
    assert!(first.err.contains("--with-first-trials"), "{}", first.err);
    let marked = train(
        &bench,
        &["--day", "2026-10-03", "--with-first-trials", "--json"],
    )
    .json();
    assert_eq!(person(&marked, "Tove Birk")["marks"][0], "first trial");
    assert_eq!(person(&marked, "Tove Birk")["group"], 1);
    let card = train(&bench, &["--day", "2026-10-17", "--json"]).json();
    assert_eq!(person(&card, "Tove Birk")["group"], 1);
    assert!(
        person(&card, "Tove Birk")["error_kmh"]
            .as_f64()
            .expect("an error")
            > 0.0
    );
    assert!(person(&card, "Quin Plover")["group"].is_null());
    let one = train(
        &bench,
        &[
            "--person",
            "Sol Heron",
            "--lane",
            "20",
            "--percent",
            "95",
            "--json",
        ],
    )
    .json();
    assert_eq!(one["people"].as_array().expect("people").len(), 1);
    assert_eq!(
        (&one["groups"], &one["width_kmh"]),
        (&serde_json::json!([]), &Value::Null)
    );
    assert_eq!(one["people"][0]["reference_kmh"].as_f64(), Some(17.0));
    let none = train(&bench, &["--person", "Wren Osier", "--test", "int30_15_40"]);
    assert!(
        none.status == 2 && none.err.contains("no results in force of `int30_15_40`"),
        "{}",
        none.err
    );
    let rests = train(&bench, &["--day", "2026-09-12"]);
    assert!(
        rests.status == 2 && rests.err.contains("reached after rests"),
        "{}",
        rests.err
    );
    let own = train(
        &bench,
        &[
            "--day",
            "2026-09-12",
            "--factor",
            "0.95",
            "--with-first-trials",
        ],
    );
    assert_eq!(own.status, 0, "{}", own.err);
}
