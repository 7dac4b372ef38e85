//! `plimsoll reference`: golden z and fits through the command line, files that load back, bad input.

use std::path::Path;

use serde_json::Value;

use crate::support::Bench;

fn golden(name: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../measure/tests/golden");
    std::fs::read_to_string(folder.join(name)).expect("golden file")
}

fn near(what: &str, got: &Value, want: f64, tolerance: f64) {
    let got = got.as_f64().unwrap_or_else(|| panic!("{what}: {got}"));
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: {got}, want {want}"
    );
}

/// Source: golden/README.md section 4: a CDC male row as used by rcpchgrowth 4.6.5, and the example of
/// the CDC page (9.7 kg: z 0.207, 58.2nd).
#[test]
fn a_z_from_l_m_and_s() {
    let bench = Bench::new();
    let z = |l: &str, m: &str, s: &str, value: &str| {
        let args = [
            "reference",
            "z",
            "--l",
            l,
            "--m",
            m,
            "--s",
            s,
            "--value",
            value,
            "--json",
        ];
        let ran = bench.run(&args);
        assert_eq!(ran.status, 0, "{}", ran.err);
        ran.json()
    };
    let file: Value = serde_json::from_str(&golden("lms_zscores.json")).expect("JSON");
    let cases = file["cases"].as_array().expect("cases");
    let edges = file["edge_cases"].as_array().expect("edge cases");
    let plain = cases.iter().map(|case| (case, "z_plain_lms"));
    for (case, key) in plain.chain(edges.iter().map(|case| (case, "z"))) {
        let [l, m, s, x] = ["L", "M", "S", "x"].map(|k| case[k].to_string());
        let want = case[key].as_f64().expect("z");
        near(
            &case.to_string(),
            &z(&l, &m, &s, &x)["z"],
            want,
            1e-9 * want.abs().max(1.0),
        );
    }
    // The samples printed in the README have L, M and S to six digits.
    near(
        "z",
        &z("1.670433", "164.14185", "0.048945", "150")["z"],
        -1.708_926,
        2e-5,
    );
    let page = z("-0.1600954", "9.476500305", "0.11218624", "9.7");
    near("z", &page["z"], 0.207_399, 5e-7);
    near("centile", &page["centile"], 58.2, 0.05);
    // L = 0 is the log-normal: ln(1.1) / 0.1.
    near(
        "z",
        &z("0", "100", "0.1", "110")["z"],
        1.1_f64.ln() / 0.1,
        1e-12,
    );
    for bad in [
        ["1", "0", "0.1", "5"],
        ["1", "100", "-0.1", "5"],
        ["1", "100", "0.1", "0"],
        ["NaN", "100", "0.1", "5"],
    ] {
        let [l, m, s, value] = bad;
        let ran = bench.run(&[
            "reference",
            "z",
            "--l",
            l,
            "--m",
            m,
            "--s",
            s,
            "--value",
            value,
        ]);
        assert_eq!(ran.status, 2, "{bad:?}: {}", ran.out);
    }
    assert_eq!(
        bench
            .run(&["reference", "z", "--l", "1", "--value", "5"])
            .status,
        2
    );
    assert_eq!(bench.run(&["reference", "z", "--value", "5"]).status, 2);
}

#[test]
fn no_adequate_reference_is_an_answer() {
    let bench = Bench::new();
    let ran = bench.run(&[
        "reference",
        "z",
        "--test",
        "msr20",
        "--sex",
        "F",
        "--age",
        "16",
        "--value",
        "50",
        "--json",
    ]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let answer = ran.json();
    assert!(answer["z"].is_null() && answer["centile"].is_null() && answer["reference"].is_null());
    assert!(
        answer["words"][0]
            .as_str()
            .expect("words")
            .starts_with("No adequate reference")
    );
    let mean = bench
        .run(&[
            "reference",
            "z",
            "--test",
            "ir1",
            "--sex",
            "M",
            "--age",
            "16",
            "--value",
            "2100",
            "--json",
        ])
        .json();
    assert!(mean["z"].is_null(), "n is not known there: {mean}");
    assert_eq!(mean["reference"]["id"], "deprez2014a");
    assert_eq!(
        bench
            .run(&[
                "reference",
                "z",
                "--test",
                "ir1",
                "--sex",
                "x",
                "--age",
                "16",
                "--value",
                "1"
            ])
            .status,
        2
    );
    assert_eq!(
        bench
            .run(&[
                "reference",
                "z",
                "--test",
                "ir1",
                "--sex",
                "M",
                "--age",
                "200",
                "--value",
                "1"
            ])
            .status,
        2
    );
    assert_eq!(
        bench
            .run(&[
                "reference",
                "z",
                "--test",
                "none",
                "--sex",
                "M",
                "--age",
                "16",
                "--value",
                "1"
            ])
            .status,
        2
    );
}

/// Source: lms_synthetic.json (scipy 1.17.1; R's optim the same to 7 digits).
#[test]
fn a_polynomial_fit_finds_the_top_of_the_likelihood() {
    let bench = Bench::new();
    bench.put("lms.csv", &golden("lms_synthetic.csv"));
    let ran = bench.run(&[
        "reference",
        "fit",
        "lms.csv",
        "--polynomial",
        "0,2,1",
        "--age-scale",
        "13,10",
        "--json",
    ]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let fit = ran.json();
    assert_eq!(fit["n"], 800.0);
    let coefficients = &fit["coefficients"];
    near("L", &coefficients["l"][0]["value"], -0.681_316, 1e-4);
    near("SE of L", &coefficients["l"][0]["se"], 0.186_197, 1e-3);
    for (at, want) in [916.340_264, 791.364_189, 185.440_098]
        .into_iter()
        .enumerate()
    {
        // In thousands, as the file has them.
        let got = coefficients["m"][at]["value"].as_f64().expect("M");
        assert!(
            (got - want).abs() / 1e3 <= 1e-4,
            "M{at}: {got}, want {want}"
        );
    }
    near("ln S", &coefficients["ln_s"][0]["value"], -1.845_271, 1e-4);
    near("ln S", &coefficients["ln_s"][1]["value"], -0.089_853, 1e-4);
    near("logLik", &fit["log_likelihood"], -5_116.550_848, 1e-4);
    assert_eq!(fit["convergence"]["converged"], true);
    for q in ["mean", "variance", "skewness", "kurtosis"] {
        assert!(fit["q"][q]["p"].as_f64().expect("p") > 0.05, "{q}");
    }
    assert!(fit["worms"].as_array().expect("worms").len() > 3);
    assert!(
        fit["curves"][0]["centiles"]["P97"]["se"]
            .as_f64()
            .expect("SE")
            > 0.0
    );
}

#[test]
fn a_written_reference_loads_back_and_places_values() {
    let bench = Bench::new();
    bench.put("lms.csv", &golden("lms_synthetic.csv"));
    let ran = bench.run(&[
        "reference",
        "fit",
        "lms.csv",
        "--test",
        "ir1",
        "--sex",
        "M",
        "--sport",
        "soccer",
        "--standard",
        "academy",
        "--out",
        "archive/references/academy_boys.csv",
        "--json",
    ]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let fit = ran.json();
    assert_eq!(fit["files"].as_array().expect("files").len(), 4);
    let placed = |age: f64, value: f64| {
        let (age, value) = (age.to_string(), value.to_string());
        let args = [
            "reference",
            "z",
            "--test",
            "ir1",
            "--sex",
            "M",
            "--age",
            &age,
            "--value",
            &value,
            "--json",
        ];
        let ran = bench.run(&args);
        assert_eq!(ran.status, 0, "{}", ran.err);
        ran.json()
    };
    // A centile of the fit comes back as that centile, to what linear steps of a tenth of a year do.
    for at in [3, 20, 37] {
        let curve = &fit["curves"][at];
        let age = curve["age"].as_f64().expect("age");
        for (name, want) in [("P10", 10.0), ("P50", 50.0), ("P90", 90.0)] {
            let value = curve["centiles"][name]["value"].as_f64().expect("value");
            let back = placed(age, value);
            assert_eq!(back["reference"]["id"], "academy_boys");
            near(name, &back["centile"], want, 0.05);
        }
    }
    assert_ne!(
        placed(18.5, 1500.0)["reference"]["id"],
        "academy_boys",
        "not extended"
    );
}

#[test]
fn bins_give_what_the_people_give() {
    let bench = Bench::new();
    let sheet = golden("lms_synthetic.csv");
    bench.put("lms.csv", &sheet);
    let mut bins: std::collections::BTreeMap<(i64, i64), u32> = std::collections::BTreeMap::new();
    for line in sheet.lines().skip(1) {
        let (age, value) = line.split_once(',').expect("two cells");
        let (age, value): (f64, f64) = (age.parse().expect("age"), value.parse().expect("value"));
        *bins
            .entry(((age * 4.0).floor() as i64, (value / 20.0).floor() as i64))
            .or_default() += 1;
    }
    let rows: String = bins
        .iter()
        .map(|((a, v), n)| {
            let (from, lower) = (*a as f64 / 4.0, *v as f64 * 20.0);
            format!("{from},{},{lower},{},{n}\n", from + 0.25, lower + 20.0)
        })
        .collect();
    bench.put(
        "bins.csv",
        &format!("age_from,age_to,lower,upper,count\n{rows}"),
    );
    let fit = |args: &[&str]| {
        let all: Vec<&str> = ["reference", "fit"]
            .iter()
            .chain(args)
            .copied()
            .chain(["--polynomial", "0,2,1", "--json"])
            .collect();
        let ran = bench.run(&all);
        assert_eq!(ran.status, 0, "{}", ran.err);
        ran.json()
    };
    let (people, counts) = (fit(&["lms.csv"]), fit(&["bins.csv", "--binned"]));
    assert_eq!(people["n"], counts["n"]);
    let middle = |f: &Value| f["curves"][20]["centiles"]["P50"].clone();
    let (a, b) = (middle(&people), middle(&counts));
    let se = a["se"].as_f64().expect("SE");
    // Ages rounded to a quarter of a year shift the curve by far less than its error.
    near("P50", &b["value"], a["value"].as_f64().expect("P50"), se);
}

#[test]
fn what_cannot_be_fitted_is_refused_with_its_place() {
    let bench = Bench::new();
    let rows = |f: &dyn Fn(u32) -> String| (0..150).map(f).collect::<String>();
    let equal = format!(
        "age,value\n{}",
        rows(&|i| format!("{},5\n", 8.0 + f64::from(i) / 20.0))
    );
    let one_age = format!("age,value\n{}", rows(&|i| format!("10,{}\n", 500 + i)));
    for (sheet, words) in [
        ("", "has no rows"),
        ("age,value\n", "has no rows"),
        ("age,value\n9,500\n", "do not differ"),
        (
            "age,value\n9,500\n10,600\n",
            "different ages for a curve of this shape: found 2",
        ),
        ("age,value\n9,abc\n", "row 2, column `value`: found `abc`"),
        ("age,value\n9,NaN\n", "found `NaN`"),
        ("age,value\n9,-5\n10,4\n", "value is -5"),
        ("years,value\n9,5\n", "no column `age`"),
        (equal.as_str(), "do not differ"),
        (one_age.as_str(), "different ages"),
    ] {
        bench.put("bad.csv", sheet);
        let ran = bench.run(&["reference", "fit", "bad.csv"]);
        assert_eq!(ran.status, 2, "{sheet:.40}: {}", ran.out);
        assert!(ran.err.contains(words), "{sheet:.40}: {}", ran.err);
    }
    bench.put("lms.csv", &golden("lms_synthetic.csv"));
    for args in [
        &["--polynomial", "0,2"][..],
        &["--polynomial", "0,9,1"],
        &["--polynomial", "0,2,1", "--age-scale", "13"],
        &["--limit", "0"],
        &["--out", "x.csv"],
        &["--out", "x.txt", "--test", "ir1", "--sex", "M"],
        &["--out", "x.csv", "--test", "ir1", "--sex", "Z"],
        &["--binned"],
    ] {
        let all: Vec<&str> = ["reference", "fit", "lms.csv"]
            .iter()
            .chain(args)
            .copied()
            .collect();
        let ran = bench.run(&all);
        assert_eq!(ran.status, 2, "{args:?}: {}", ran.out);
    }
    assert!(!bench.path("x.csv").exists() && !bench.path("x.txt").exists());
}

#[test]
fn few_people_get_refusals_and_two_humps_an_alarm() {
    let bench = Bench::new();
    // Thirty people: the outer centiles are too uncertain.
    let few: String = golden("lms_synthetic.csv")
        .lines()
        .take(31)
        .map(|l| format!("{l}\n"))
        .collect();
    bench.put("few.csv", &few);
    let fit = bench
        .run(&[
            "reference",
            "fit",
            "few.csv",
            "--polynomial",
            "0,1,0",
            "--json",
        ])
        .json();
    assert!(!fit["refused"].as_array().expect("refused").is_empty());
    let outer = &fit["curves"][0]["centiles"]["P97"];
    assert!(
        outer["value"].is_null()
            && outer["why"]
                .as_str()
                .expect("why")
                .contains("standard error")
    );
    // Two groups far apart in one sheet.
    let humps: String = golden("lms_synthetic.csv")
        .lines()
        .skip(1)
        .enumerate()
        .map(|(i, line)| {
            let (age, value) = line.split_once(',').expect("two cells");
            let value: f64 = value.parse().expect("value");
            format!("{age},{}\n", if i % 2 == 0 { value } else { value * 2.2 })
        })
        .collect();
    bench.put("humps.csv", &format!("age,value\n{humps}"));
    let ran = bench.run(&[
        "reference",
        "fit",
        "humps.csv",
        "--polynomial",
        "0,2,1",
        "--json",
    ]);
    assert_eq!(ran.status, 1, "{}", ran.err);
    assert_eq!(ran.json()["shape"][0]["alarm"], "two humps");
}
