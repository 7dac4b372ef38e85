//! `plimsoll study`: golden numbers through the command line, both layouts, labels, and bad files.

use std::path::Path;

use serde_json::Value;

use crate::support::Bench;

/// The command passes numbers on; only printing as text could change them.
const PASSED_ON: f64 = 1e-8;

fn golden(name: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../measure/tests/golden");
    std::fs::read_to_string(folder.join(name)).expect("golden file")
}

fn golden_json(name: &str) -> Value {
    serde_json::from_str(&golden(name)).expect("JSON")
}

/// Columns of the table of 1986 as a sheet of a study.
fn pefr(columns: [usize; 2]) -> String {
    let rows = golden("bland_altman_pefr.csv");
    let line = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        format!("{},{},{}\n", cells[0], cells[columns[0]], cells[columns[1]])
    };
    rows.lines().map(line).collect()
}

fn close(what: &str, got: &Value, want: &Value, tolerance: f64) {
    let (got, want) = (got.as_f64().expect(what), want.as_f64().expect(what));
    assert!(
        (got - want).abs() <= tolerance * want.abs().max(1.0),
        "{what}: {got}, want {want}"
    );
}

fn ends(what: &str, got: &Value, want: &Value, tolerance: f64) {
    close(what, &got["lower"], &want[0], tolerance);
    close(what, &got["upper"], &want[1], tolerance);
}

fn study(bench: &Bench, sheet: &str, more: &[&str]) -> Value {
    bench.put("study.csv", sheet);
    let args: Vec<&str> = ["study", "study.csv", "--json", "--level", "95"]
        .iter()
        .chain(more)
        .copied()
        .collect();
    let ran = bench.run(&args);
    assert_eq!(ran.status, 0, "{}", ran.err);
    ran.json()
}

/// Source: Bland & Altman 1986, Table 1; bland_altman_pefr.json, scipy 1.17.1 and pingouin 0.7.0.
#[test]
fn repeats_of_1986_through_the_command_line() {
    let want = &golden_json("bland_altman_pefr.json")["repeat_wright"];
    let answer = study(&Bench::new(), &pefr([1, 2]), &[]);
    assert_eq!(
        (answer["n"].as_u64(), answer["trials"].as_u64()),
        (Some(17), Some(2))
    );
    let error = &answer["typical_error"];
    // Source: golden/README.md section 2, printed to eight digits.
    for (got, want) in [
        (&error["value"], 15.361_215),
        (&error["lower"], 11.440_569),
        (&error["upper"], 23.378_677),
        (&answer["cv_percent"]["value"], 3.511_767),
        (&answer["icc"]["ICC(3,1)"]["value"], 0.983_045_8),
        (&answer["icc"]["ICC(2,1)"]["value"], 0.983_164_0),
        (&answer["icc"]["ICC(1,1)"]["value"], 0.983_165_0),
        (
            &answer["detectable_change"]["by_level"]["90"]["normal"],
            35.732_863,
        ),
    ] {
        close("printed", got, &want.into(), 5e-7);
    }
    // The file's 1.96 is rounded.
    close(
        "MDC95",
        &answer["detectable_change"]["value"],
        &42.579_114.into(),
        2e-5,
    );
    let change = want["mean2"]
        .as_f64()
        .zip(want["mean1"].as_f64())
        .map(|(b, a)| b - a);
    close(
        "change",
        &answer["change_in_mean"]["value"],
        &change.expect("means").into(),
        PASSED_ON,
    );
    assert_eq!(answer["basis"]["from"], "own");
    assert_eq!(answer["basis"]["pairs"], 17);
    assert!(
        answer["advice"][0]
            .as_str()
            .expect("words")
            .starts_with("Use a typical error of 15")
    );
}

/// Source: the same file, entry `wright1_minus_mini1`.
#[test]
fn limits_of_agreement_of_1986_through_the_command_line() {
    let want = &golden_json("bland_altman_pefr.json")["wright1_minus_mini1"];
    // Later minus earlier: the small meter first.
    let answer = study(&Bench::new(), &pefr([3, 1]), &[]);
    close(
        "mean",
        &answer["change_in_mean"]["value"],
        &want["mean_diff"],
        PASSED_ON,
    );
    ends(
        "mean",
        &answer["change_in_mean"],
        &want["mean_ci95"],
        PASSED_ON,
    );
    let limits = &answer["limits_of_agreement"];
    close(
        "lower",
        &limits["lower"]["value"],
        &want["loa_z"][0],
        PASSED_ON,
    );
    close(
        "upper",
        &limits["upper"]["value"],
        &want["loa_z"][1],
        PASSED_ON,
    );
    close("SD", &limits["sd"], &want["sd_diff"], PASSED_ON);
    ends("lower", &limits["lower"], &want["lower_ci_exact"], 1e-6);
    ends("upper", &limits["upper"], &want["upper_ci_exact"], 1e-6);
    close(
        "error",
        &answer["typical_error"]["value"],
        &want["typical_error"],
        PASSED_ON,
    );
    ends(
        "error",
        &answer["typical_error"],
        &want["typical_error_ci95_chi2"],
        PASSED_ON,
    );
    close(
        "r",
        &answer["heteroscedasticity"]["raw"]["n"],
        &17.into(),
        0.0,
    );
}

/// Source: Shrout & Fleiss 1979; golden/README.md section 1, psych 2.2.9 and pingouin 0.7.0.
#[test]
fn six_correlations_of_1979_through_the_command_line() {
    let answer = study(&Bench::new(), &golden("icc_shrout_fleiss.csv"), &[]);
    assert_eq!(
        (answer["n"].as_u64(), answer["trials"].as_u64()),
        (Some(6), Some(4))
    );
    for (form, value, lower, upper) in [
        (
            "ICC(1,1)",
            0.165_741_768_4,
            -0.132_932_324_9,
            0.722_560_062_3,
        ),
        (
            "ICC(2,1)",
            0.289_763_779_5,
            0.018_786_513_4,
            0.761_084_369_6,
        ),
        (
            "ICC(3,1)",
            0.714_840_714_8,
            0.342_464_765_0,
            0.945_858_260_0,
        ),
        (
            "ICC(1,k)",
            0.442_797_133_7,
            -0.884_442_155_2,
            0.912_415_420_3,
        ),
        (
            "ICC(2,k)",
            0.620_050_547_6,
            0.071_136_815_3,
            0.927_232_040_2,
        ),
        (
            "ICC(3,k)",
            0.909_315_542_4,
            0.675_674_713_8,
            0.985_891_678_2,
        ),
    ] {
        let got = &answer["icc"][form];
        for (key, want) in [("value", value), ("lower", lower), ("upper", upper)] {
            close(form, &got[key], &want.into(), 1e-9);
        }
    }
    close(
        "error",
        &answer["typical_error"]["value"],
        &1.009_68.into(),
        1e-5,
    );
}

#[test]
fn the_layout_and_the_order_change_nothing() {
    let bench = Bench::new();
    let wide = study(&bench, &pefr([1, 2]), &[]);
    let mut long: Vec<String> = pefr([1, 2])
        .lines()
        .skip(1)
        .flat_map(|line| {
            let c: Vec<&str> = line.split(',').collect();
            [
                format!("{},1,{}\n", c[0], c[1]),
                format!("{},2,{}\n", c[0], c[2]),
            ]
        })
        .collect();
    long.reverse();
    let long = study(
        &bench,
        &format!("Player,Trial,Score\n{}", long.concat()),
        &[],
    );
    for key in [
        "typical_error",
        "icc",
        "limits_of_agreement",
        "change_in_mean",
        "detectable_change",
    ] {
        let plain = |v: &Value| serde_json::to_string(&v[key]).expect("JSON");
        // The sums run in another order: the last digits may differ.
        let numbers = |text: &str| -> Vec<f64> {
            text.split(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | 'e')))
                .filter_map(|n| n.parse().ok())
                .collect()
        };
        let (a, b) = (numbers(&plain(&wide)), numbers(&plain(&long)));
        assert_eq!(a.len(), b.len(), "{key}");
        for (a, b) in a.iter().zip(&b) {
            assert!((a - b).abs() <= 1e-9 * a.abs().max(1.0), "{key}: {a} {b}");
        }
    }
}

#[test]
fn labels_need_the_test_and_become_metres() {
    let bench = Bench::new();
    let labels = "Name,First,Second\nA,14.3,14.5\nB,15.1,15.4\nC,16.2,16.1\nD,13.4,14.1\n";
    let answer = study(&bench, labels, &["--test", "ir1"]);
    assert_eq!(answer["unit"], "m");
    let line = &answer["notes"].as_array().expect("notes");
    assert!(
        line.iter().any(|n| n == "cells were read as labels of ir1"),
        "{line:?}"
    );
    // 14.3 is 560 m on this ladder and 14.5 is 640 m: the distances themselves give the same.
    let metres = |label: &str| {
        let place = bench
            .run(&["locate", "ir1", "--label", label, "--json"])
            .json();
        place["distance_m"].as_f64().expect("metres")
    };
    let rows: String = labels
        .lines()
        .skip(1)
        .map(|l| {
            let c: Vec<&str> = l.split(',').collect();
            format!("{},{},{}\n", c[0], metres(c[1]), metres(c[2]))
        })
        .collect();
    let same = study(
        &bench,
        &format!("Name,First,Second\n{rows}"),
        &["--test", "ir1"],
    );
    assert_eq!(answer["typical_error"], same["typical_error"]);
    // Four pairs: weighed against the published default, whose words and tag are shown.
    assert_eq!(answer["basis"]["from"], "own and published");
    assert_eq!(
        answer["basis"]["published"]["confidence"],
        "derived arithmetic"
    );
    let weight = answer["basis"]["own_weight"].as_f64().expect("weight");
    assert!(weight > 0.0 && weight < 1.0, "{weight}");
    bench.put(
        "labels.csv",
        "Person,Trial,Level\nA,1,14.3\nA,2,14.5\nB,1,15.1\nB,2,15.4\n",
    );
    let refused = bench.run(&["study", "labels.csv"]);
    assert_eq!(refused.status, 2);
    assert!(
        refused.err.contains("say which test it was")
            && refused.err.contains("→ name the test with --test ID"),
        "{}",
        refused.err
    );
    bench.put(
        "off.csv",
        "Name,First,Second\nA,14.3,14.5\nB,15.1,15.4\nC,16.2,14.9\n",
    );
    let off = bench.run(&["study", "off.csv", "--test", "ir1"]);
    assert_eq!(off.status, 2);
    assert!(
        off.err.contains("row 4, column `Second`: found `14.9`"),
        "{}",
        off.err
    );
}

#[test]
fn ten_pairs_replace_the_published_default() {
    let bench = Bench::new();
    let sheet = |n: usize| {
        let rows: String = (0..n)
            .map(|i| format!("P{i},{},{}\n", 800 + 80 * i, 800 + 80 * i + (i * 37) % 120))
            .collect();
        format!("Name,A (m),B (m)\n{rows}")
    };
    let nine = study(&bench, &sheet(9), &["--test", "ir1"]);
    let ten = study(&bench, &sheet(10), &["--test", "ir1"]);
    assert_eq!(nine["basis"]["from"], "own and published");
    assert_eq!(ten["basis"]["from"], "own");
    close(
        "own",
        &ten["basis"]["error"],
        &ten["logs"]["typical_error"]["value"],
        1e-12,
    );
    let without = study(&bench, &sheet(9), &[]);
    assert!(without["basis"]["value"].is_null() && without["basis"]["why"].is_string());
    assert!(
        without["advice"][0]
            .as_str()
            .expect("words")
            .contains("say which test it is")
    );
}

#[test]
fn what_cannot_be_a_study_is_refused_with_its_place() {
    let bench = Bench::new();
    for (sheet, words) in [
        ("", "has no rows"),
        ("Name,A,B\n", "has no rows"),
        ("Name,A,B\nAnn,1,2\n", "people with a value: found 1"),
        ("Name,A\nAnn,1\nBo,2\n", "two or more columns of trials"),
        (
            "Name,A,B\nAnn,1,2\nBo,abc,4\n",
            "row 3, column `A`: found `abc`",
        ),
        (
            "Name,A,B\nAnn,1,2\nBo,3,NaN\n",
            "row 3, column `B`: found `NaN`",
        ),
        ("Name,A,B\nAnn,1,2\nBo,3,inf\n", "found `inf`"),
        (
            "Name,A,B\nAnn,1,2\nAnn,3,4\n",
            "each name once (row 2 has it)",
        ),
        (
            "Player,Trial,Score\nAnn,1,2\nAnn,1,3\nBo,1,2\n",
            "one value for Ann in 1 (row 2 has one)",
        ),
        (
            "Player,Trial,Score\nAnn,,2\nBo,1,2\n",
            "row 2, column `Trial`",
        ),
        ("Name,A,B\nAnn,,\nBo,,\n", "people with a value"),
        ("1,2,3\n4,5,6\n", "header"),
    ] {
        bench.put("bad.csv", sheet);
        let ran = bench.run(&["study", "bad.csv"]);
        assert_eq!(ran.status, 2, "{sheet:?}: {}", ran.out);
        assert!(ran.err.contains(words), "{sheet:?}: {}", ran.err);
    }
    assert_eq!(bench.run(&["study"]).status, 2);
    assert_eq!(bench.run(&["study", "bad.csv", "--level", "0.9"]).status, 2);
    assert_eq!(bench.run(&["study", "none.csv"]).status, 2);
    bench.put("minus.csv", "Name,A,B\nAnn,1,2\nBo,-3,4\nCy,2,2\n");
    assert_eq!(bench.run(&["study", "minus.csv", "--logs"]).status, 2);
    assert_eq!(bench.run(&["study", "minus.csv"]).status, 0);
}

#[test]
fn equal_values_give_reasons_and_no_numbers() {
    let answer = study(&Bench::new(), "Name,A,B\nAnn,5,5\nBo,5,5\nCy,5,5\n", &[]);
    assert!(answer["typical_error"]["value"].is_null());
    assert!(
        answer["typical_error"]["why"]
            .as_str()
            .expect("why")
            .contains("do not differ")
    );
    assert!(answer["basis"]["error"].is_null());
    for key in ["limits_of_agreement", "change_in_mean"] {
        assert!(
            answer[key]["value"].is_null() && answer[key]["why"].is_string(),
            "{key}: no silent zero"
        );
    }
}

#[test]
fn gaps_count_and_figures_are_written() {
    let bench = Bench::new();
    bench.put(
        "gaps.csv",
        "Name,A,B,C\nAnn,10,11,12\nBo,12,,13\nCy,9,10,\nDi,15,14,16\nEd,11,12,12\n",
    );
    let ran = bench.run(&["study", "gaps.csv", "--out", "pages", "--json"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let answer = ran.json();
    assert_eq!(answer["complete_people"], 3);
    assert_eq!(answer["pairs"][0]["n"], 4);
    assert!(answer["learning"]["first_pair"].is_string());
    for file in answer["files"].as_array().expect("files") {
        let text = std::fs::read_to_string(bench.path(file.as_str().expect("path"))).expect("file");
        assert!(!text.contains("NaN"), "{file}");
    }
}

#[test]
fn the_archive_gives_repeats_under_one_set_of_rules() {
    let bench = Bench::filled();
    let none = bench.run(&["study", "--test", "ir1"]);
    assert_eq!(none.status, 2);
    assert!(none.err.contains("5 results in all"), "{}", none.err);
    bench.put(
        "again.csv",
        "Player,Level,Distance (m),Why stopped\nSol Heron,15.4,920,misses\nTove Birk,17.5,1600,misses\n\
         Kai Linnet,16.1,1120,exhaustion\nWren Osier,14.7,720,misses\nQuin Plover,16.8,1400,misses\n",
    );
    let import = bench.run(&[
        "results",
        "import",
        "again.csv",
        "--test",
        "ir1",
        "--on",
        "2026-09-26",
    ]);
    assert_eq!(import.err, "", "{}", import.out);
    let ran = bench.run(&["study", "--test", "ir1", "--json"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let answer = ran.json();
    // The injured one's first run is a lower bound: four pairs are left.
    assert_eq!(answer["n"], 4, "{}", answer["notes"]);
    assert_eq!(answer["basis"]["from"], "own and published");
    let short = bench.run(&["study", "--test", "ir1", "--within-weeks", "1"]);
    assert_eq!(short.status, 2);
    for part in [
        "test the same people again within 1 week, or let results count that lie further apart",
        "→ --within-weeks N lets results count that lie further apart",
        "→ Cautions. A test to exhaustion",
        "(ir1_sub6)",
    ] {
        assert!(short.err.contains(part), "{part}\n{}", short.err);
    }
    let said = bench.run(&["study", "--test", "ir1"]);
    assert!(
        said.out.contains("Cautions. A test to exhaustion"),
        "{}",
        said.out
    );
}
