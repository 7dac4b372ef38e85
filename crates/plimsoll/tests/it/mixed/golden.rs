//! The published and golden models through the command line.

use serde_json::Value;

use super::{
    CLOSED, DYESTUFF, DYESTUFF_2, FIXED, FREEDOM, PROFILE, SDS, YIELD, batches, close, golden,
    letters, mixed, plain,
};
use crate::support::Bench;

/// The growth data with age less 11, and sexes named so that boys come first, as in lme4's run.
fn orthodont() -> String {
    let mut out = String::from("distance,age,Subject,Sex\n");
    for line in golden("nlme_orthodont.csv").lines().skip(1) {
        let cells: Vec<&str> = line.split(',').map(|c| c.trim_matches('"')).collect();
        let age: f64 = cells[1].parse().expect("an age");
        let sex = if cells[3] == "Male" {
            "1 boy"
        } else {
            "2 girl"
        };
        out += &format!("{},{},{},{sex}\n", cells[0], age - 11.0, cells[2]);
    }
    out
}

/// Source: mixed_models.json, lme4 1.1-31 under R 4.2.2, all ten models.
#[test]
fn ten_models_of_lme4_through_the_command_line() {
    let file: Value = serde_json::from_str(&golden("mixed_models.json")).expect("JSON");
    let models = file["models"].as_object().expect("models");
    assert_eq!(models.len(), 10);
    let bench = Bench::new();
    for (name, want) in models {
        let sleep = name.starts_with("sleep");
        let slope = if sleep { "Days" } else { "age" };
        let group = match name.as_str() {
            n if n.contains("_ri_") => "Subject".to_owned(),
            n if n.contains("_rsu_") => format!("Subject,slope={slope},uncorrelated"),
            _ => format!("Subject,slope={slope}"),
        };
        let mut args = vec!["--group", group.as_str()];
        if sleep {
            args.extend(["--outcome", "Reaction", "--fixed", "Days"]);
        } else {
            args.extend([
                "--outcome",
                "distance",
                "--fixed",
                "age,Sex,age:Sex",
                "--factor",
                "Sex",
            ]);
        }
        if want["REML"] == false {
            args.push("--ml");
        }
        let sheet = if sleep {
            golden("lme4_sleepstudy.csv")
        } else {
            orthodont()
        };
        let got = mixed(&bench, &sheet, &args);
        check_model(name, &got, want);
    }
}

/// Names of lme4's coefficients by ours.
fn theirs(name: &str) -> &str {
    match name {
        "age" => "I(age - 11)",
        "Sex=2 girl" => "SexFemale",
        "age:Sex=2 girl" => "I(age - 11):SexFemale",
        other => other,
    }
}

fn check_model(name: &str, got: &Value, want: &Value) {
    let number = |v: &Value| v.as_f64().expect("a number");
    close(name, &got["log_likelihood"], number(&want["logLik"]), FIXED);
    close(name, &got["aic"], number(&want["AIC"]), FIXED);
    close(name, &got["bic"], number(&want["BIC"]), FIXED);
    close(name, &got["residual"]["sd"], number(&want["sigma"]), SDS);
    assert_eq!(got["singular"], false, "{name}");
    assert_eq!(got["convergence"]["converged"], true, "{name}");
    let fixed = got["fixed"].as_array().expect("effects");
    assert_eq!(fixed.len(), want["fixef"].as_object().expect("map").len());
    for effect in fixed {
        let key = theirs(effect["name"].as_str().expect("a name"));
        close(key, &effect["estimate"], number(&want["fixef"][key]), FIXED);
        close(key, &effect["se"], number(&want["fixef_se"][key]), SDS);
    }
    for column in got["random"][0]["columns"].as_array().expect("columns") {
        let key = theirs(column["column"].as_str().expect("a name"));
        let sds = want["varcomp"].as_array().expect("parts").iter();
        let mut sds = sds.filter(|v| v["var1"] == key && v["var2"].is_null());
        let sd = number(&sds.next().expect("the part")["sdcor"]);
        close(key, &column["sd"], sd, SDS);
    }
    let levels = want["ranef"]["Subject"].as_array().expect("levels");
    for level in levels {
        let mut all = got["deviations"].as_array().expect("levels").iter();
        let ours = all
            .find(|d| d["level"] == level["level"])
            .expect("the level");
        for effect in ours["effects"].as_array().expect("effects") {
            let key = theirs(effect["column"].as_str().expect("a name"));
            close(name, &effect["value"], number(&level[key]), SDS);
        }
    }
}

/// Source: lmerTest 3.1-3 (degrees of freedom) and lme4 1.1-31 confint (profile), sleep data.
#[test]
fn degrees_of_freedom_and_profiles_of_the_sleep_data() {
    let bench = Bench::new();
    let args = [
        "--outcome",
        "Reaction",
        "--fixed",
        "Days",
        "--group",
        "Subject,slope=Days",
        "--level",
        "0.95",
        "--profile",
    ];
    let got = mixed(&bench, &golden("lme4_sleepstudy.csv"), &args);
    for effect in got["fixed"].as_array().expect("effects") {
        close("df", &effect["df"], 17.0, FREEDOM);
    }
    let random = &got["random"][0];
    for (what, ends, low, high) in [
        (
            "height",
            &random["columns"][0]["interval"],
            14.381_481_116_5,
            37.716_018_740,
        ),
        (
            "slope",
            &random["columns"][1]["interval"],
            3.801_164_762_4,
            8.753_366_659,
        ),
        (
            "together",
            &random["correlations"][0]["interval"],
            -0.481_500_443_2,
            0.684_986_139,
        ),
        (
            "sigma",
            &got["residual"]["interval"],
            22.898_266_215_0,
            28.857_997_323,
        ),
        (
            "mean",
            &got["fixed"][0]["profile"],
            237.680_695_469_4,
            265.129_514_692,
        ),
        (
            "days",
            &got["fixed"][1]["profile"],
            7.358_653_295_3,
            13.575_918_741,
        ),
    ] {
        close(what, &ends["lower"], low, PROFILE);
        close(what, &ends["upper"], high, PROFILE);
    }
    // 90 in place of 0.9 says the same.
    let level = |l: &str| {
        let args = ["--outcome", "Reaction", "--group", "Subject", "--level", l];
        mixed(&bench, &golden("lme4_sleepstudy.csv"), &args)
    };
    assert_eq!(level("0.9"), level("90"));
}

/// Source: Davies & Goldsmith 1972 (yields from memory, equal to those of lme4 1.1-31); REML SDs
/// 42.000 and 49.510, mean 1527.5 and SE 19.383 as lme4 1.1-31 prints them; df 5 is exact.
#[test]
fn dyestuff_yields_of_1972() {
    let bench = Bench::new();
    let sheet = format!(
        "Batch,Yield (g)\n{}",
        batches(&DYESTUFF, letters, 0.0).concat()
    );
    let got = mixed(&bench, &sheet, &YIELD);
    assert_eq!(got["unit"], "g");
    let batch = &got["random"][0]["columns"][0];
    close("batch", &batch["sd"], 42.000_594_63, CLOSED);
    close(
        "left over",
        &got["residual"]["sd"],
        49.510_100_090_7,
        CLOSED,
    );
    close("mean", &got["typical"]["estimate"], 1527.5, CLOSED);
    close("SE", &got["typical"]["se"], 19.383_411_943_7, CLOSED);
    close("df", &got["typical"]["df"], 5.0, CLOSED);
    close("deviance", &got["deviance"], 319.654_276_842, CLOSED);
    close(
        "batch A",
        &got["deviations"][0]["effects"][0]["value"],
        -17.606_851_22,
        CLOSED,
    );
    // Derived by hand: 42.0006^2 / (42.0006^2 + 49.5101^2).
    close("share", &got["shares"][0]["share"], 0.418_487_5, CLOSED);
    let words = plain(got["words"][0].as_str().expect("words"));
    assert!(
        words.contains("two fifths (42 %) is from one Batch to another"),
        "{words}"
    );
    let shown = bench.run(&[
        "mixed",
        "rows.csv",
        "--outcome",
        "Yield",
        "--group",
        "Batch",
    ]);
    assert!(
        plain(&shown.out).contains("Typical error, the SD of what is left over: 50 g"),
        "{}",
        shown.out
    );
    assert!(
        shown
            .out
            .contains("30 rows, 6 levels of Batch; fitted by REML"),
        "{}",
        shown.out
    );
}

/// Source: Box & Tiao 1973, made-up table; lme4 1.1-31 gives a batch SD of exactly 0.
#[test]
fn a_singular_fit_is_said_openly() {
    let sheet = format!(
        "Batch,Yield\n{}",
        batches(&DYESTUFF_2, letters, 0.0).concat()
    );
    let got = mixed(&Bench::new(), &sheet, &YIELD);
    assert_eq!(got["singular"], true);
    assert_eq!(got["random"][0]["columns"][0]["sd"], 0.0);
    assert_eq!(
        got["random"][0]["columns"][0]["interval"]["lower_at_bound"],
        true
    );
    close(
        "left over",
        &got["residual"]["sd"],
        3.715_684_274_48,
        CLOSED,
    );
    let words = plain(&got["words"].to_string());
    assert!(
        words.contains("at the edge of what is possible (singular)"),
        "{words}"
    );
    assert!(
        words.contains("none (0 %) is from one Batch to another"),
        "{words}"
    );
}
