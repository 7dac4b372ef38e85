//! `plimsoll mixed` on rows that lack something, on the archive, and what it refuses.

use super::{DYESTUFF, YIELD, batches, letters, mixed};
use crate::support::Bench;

#[test]
fn missing_values_are_counted_and_named() {
    let bench = Bench::new();
    let mut rows = batches(&DYESTUFF, letters, 0.0);
    rows[3] = "A,\n".to_owned();
    rows[7] = ",1490\n".to_owned();
    let got = mixed(&bench, &format!("Batch,Yield\n{}", rows.concat()), &YIELD);
    assert_eq!(got["rows"], 28);
    assert_eq!(got["dropped"][0]["row"], 5);
    assert_eq!(got["dropped"][0]["missing"][0], "Yield");
    assert_eq!(got["dropped"][1]["missing"][0], "Batch");
    let shown = bench.run(&[
        "mixed",
        "rows.csv",
        "--outcome",
        "Yield",
        "--group",
        "Batch",
    ]);
    assert!(
        shown
            .out
            .contains("2 rows were left out, since a value is missing: row 5 (no Yield); row 9"),
        "{}",
        shown.out
    );
}

#[test]
fn what_cannot_be_fitted_is_refused_with_its_place() {
    let bench = Bench::new();
    let sheet = "who,club,x,half,five,word,y\n\
        a,1,1,0.5,5,hot,10\na,1,2,1,5,cold,12\na,1,3,1.5,5,hot,11\n\
        b,1,1,0.5,5,hot,15\nb,1,2,1,5,cold,18\nb,1,4,2,5,hot,16\n\
        c,1,2,1,5,hot,9\nc,1,3,1.5,5,cold,11\nc,1,5,2.5,5,hot,13\n";
    bench.put("rows.csv", sheet);
    let y = ["--outcome", "y"];
    for (args, words) in [
        (
            &["--group", "who", "--fixed", "z"][..],
            "found no column `z`, only `who`",
        ),
        (&["--group", "club"], "group `club`: found 1 level"),
        (
            &["--group", "who", "--fixed", "five"],
            "column `five`: found 5 in all 9 rows",
        ),
        (
            &["--group", "who", "--fixed", "word"],
            "row 2, column `word`: found `hot`",
        ),
        (&["--group", "who", "--fixed", "x,half"], "half"),
        (
            &["--group", "who", "--factor", "who"],
            "group `who`: found 3 levels, whose differences",
        ),
        (
            &["--group", "who", "--group", "who,within=club"],
            "the same rows together as in group `who`",
        ),
        (&["--group", "who,slope=five"], "column `five`: found 5"),
        (
            &["--group", "y"],
            "the outcome, or its error, in a second place",
        ),
        (&["--group", "x | who"], "`athlete,slope=week,uncorrelated`"),
        (&["--group", "who,slop=x"], "`slop=x` is not understood"),
        (&["--group", "who", "--level", "0.2"], "--level is 0.2"),
        (
            &["--group", "who,slope=x,slope=half"],
            "9 random effects (3 levels x 3)",
        ),
        (&[], "--group athlete"),
    ] {
        let all = [&["mixed", "rows.csv"], &y[..], args].concat();
        let ran = bench.run(&all);
        assert_eq!(ran.status, 2, "{args:?}: {}", ran.out);
        assert!(ran.err.contains(words), "{args:?}: {}", ran.err);
        assert!(!ran.err.contains("panicked"), "{}", ran.err);
    }
    for (sheet, words) in [
        ("who,y\n", "has no rows"),
        ("who,y\na,1\n", "1 rows with all values"),
        ("who,y\na,1\nb,2\nc,3\n", "3 random effects"),
        (
            "who,y\na,1\na,2\nb,zero\nb,3\n",
            "row 4, column `y`: found `zero`",
        ),
        (
            "who,y\na,5\na,5\nb,5\nb,5\n",
            "column `y`: found 5 in all 4 rows",
        ),
        ("who,y\na,1\na,1\nb,2\nb,2\n", "the model fits them exactly"),
        ("who,y\na,1\na,NaN\nb,2\nb,3\n", "found `NaN`"),
        ("who,y\na,1\na,1e999\nb,2\nb,3\n", "row 3, column `y`"),
    ] {
        bench.put("bad.csv", sheet);
        let ran = bench.run(&["mixed", "bad.csv", "--outcome", "y", "--group", "who"]);
        assert_eq!(ran.status, 2, "{sheet:?}: {}", ran.out);
        assert!(ran.err.contains(words), "{sheet:?}: {}", ran.err);
    }
    bench.put("zero.csv", "who,y\na,1\na,0\nb,2\nb,3\n");
    let ran = bench.run(&[
        "mixed",
        "zero.csv",
        "--outcome",
        "y",
        "--group",
        "who",
        "--log",
    ]);
    assert!(
        ran.err
            .contains("row 3, column `y`: found `0`, allowed is a number above 0"),
        "{}",
        ran.err
    );
    assert_eq!(bench.run(&["mixed", "--outcome", "y"]).status, 2);
}

#[test]
fn the_figure_is_written_whole() {
    let bench = Bench::new();
    let sheet = format!("Batch,Yield\n{}", batches(&DYESTUFF, letters, 0.0).concat());
    let args = [&YIELD[..], &["--figure", "scatter.svg"]].concat();
    let got = mixed(&bench, &sheet, &args);
    assert_eq!(got["files"][0], "scatter.svg");
    let svg = std::fs::read_to_string(bench.path("scatter.svg")).expect("the figure");
    assert!(
        svg.contains("from one Batch to another 42") && !svg.contains("NaN"),
        "{svg}"
    );
}

/// Five people on three days: what the default question cannot carry is taken out, and said.
#[test]
fn the_archive_answers_as_far_as_it_can() {
    let bench = Bench::filled();
    let once = bench.run(&["mixed", "--test", "ir1"]);
    assert_eq!(once.status, 2);
    assert!(
        once.err.contains("5 results, 0 athletes with two or more"),
        "{}",
        once.err
    );
    assert!(once.err.contains("plimsoll cautions"), "{}", once.err);
    for (day, add) in [("2026-09-26", 80), ("2026-10-10", 40)] {
        let rows: String = [
            ("Sol Heron", 840),
            ("Tove Birk", 1560),
            ("Kai Linnet", 1200),
            ("Wren Osier", 680),
        ]
        .iter()
        .enumerate()
        .map(|(i, (name, metres))| {
            format!("{name},{},misses\n", metres + add + 40 * (i as i32 % 2))
        })
        .collect();
        bench.put(
            "again.csv",
            &format!("Player,Distance (m),Why stopped\n{rows}"),
        );
        let args = [
            "results",
            "import",
            "again.csv",
            "--test",
            "ir1",
            "--on",
            day,
        ];
        let import = bench.run(&args);
        assert_eq!(
            (import.status, import.err.as_str()),
            (0, ""),
            "{}",
            import.out
        );
    }
    let ran = bench.run(&["mixed", "--test", "ir1", "--json"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let got = ran.json();
    assert_eq!(
        (got["unit"].as_str(), got["scale"].as_str()),
        (Some("m"), Some("logs"))
    );
    // The one who stopped injured is a lower bound and has no repeat.
    assert_eq!(got["rows"], 12);
    let names: Vec<&str> = got["random"]
        .as_array()
        .expect("groups")
        .iter()
        .filter_map(|g| g["group"].as_str())
        .collect();
    assert_eq!(names, ["athlete", "day"]);
    // Evenly spaced days: weeks say nothing that the trial number does not say.
    assert_eq!(got["fixed"].as_array().map(Vec::len), Some(2));
    let notes = got["notes"].to_string();
    assert!(notes.contains("weeks left out, since"), "{notes}");
    assert!(notes.contains("`day` has only 3 levels"), "{notes}");
    assert!(notes.contains("12 of 13 used"), "{notes}");
    let own = [
        "mixed", "--test", "ir1", "--raw", "--group", "athlete", "--fixed", "days", "--json",
    ];
    let own = bench.run(&own);
    assert_eq!(own.status, 0, "{}", own.err);
    assert_eq!(own.json()["scale"], "raw");
    let lacking = bench.run(&["mixed", "--test", "ir1", "--fixed", "wind"]);
    assert_eq!(lacking.status, 2);
    assert!(
        lacking
            .err
            .contains("0 rows with all values, no `wind` in 12"),
        "{}",
        lacking.err
    );
}
