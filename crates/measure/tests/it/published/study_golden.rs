//! Source: Bland & Altman 1986 Table 1 (scipy 1.17.1, pingouin 0.7.0) and Shrout & Fleiss 1979
//! (psych 2.2.9, `lmer = FALSE`), golden files in tests/golden; here through the whole study.

use plimsoll_measure::error::IccForm;
use plimsoll_measure::study::{LongRow, Study, Trials, limits_of, study};
use serde_json::Value;

use crate::golden::{FULL_PRECISION, close, json, number, numbers, rows};

const PEFR: &str = include_str!("../../golden/bland_altman_pefr.csv");
const PEFR_NUMBERS: &str = include_str!("../../golden/bland_altman_pefr.json");
const ICC: &str = include_str!("../../golden/icc_shrout_fleiss.csv");
const ICC_NUMBERS: &str = include_str!("../../golden/icc.json");
const CHANGE: &str = include_str!("../../golden/true_change.json");

/// The golden file's MDC uses 1.96; the crate uses the exact quantile 1.959964.
const ROUNDED_196: f64 = 2e-5;
/// scipy's own non-central t is good to about this many digits.
const NONCENTRAL: f64 = 1e-8;

fn pefr(columns: [usize; 2]) -> Vec<f64> {
    csv::Reader::from_reader(PEFR.as_bytes())
        .records()
        .flat_map(|row| {
            let row = row.expect("a row");
            columns.map(|c| row[c].parse::<f64>().expect("a number"))
        })
        .collect()
}

fn pefr_study(columns: [usize; 2]) -> Study {
    study(&Trials::complete(&pefr(columns), 2).expect("trials"), 0.95).expect("a study")
}

fn repeat(study: &Study, want: &Value) {
    let raw = &study.raw;
    let pooled = raw.pooled.clone().expect("an error");
    let te = number(want, "typical_error_sd_over_sqrt2");
    close("pooled TE", pooled.error.value, te, FULL_PRECISION);
    let pair = raw.pairs[0].error.clone().expect("an error");
    close("pair TE", pair.error.value, te, FULL_PRECISION);
    let ci = numbers(want, "typical_error_ci95");
    close("TE low", pooled.interval.lower, ci[0], FULL_PRECISION);
    close("TE high", pooled.interval.upper, ci[1], FULL_PRECISION);
    let change = raw.pairs[0].change.clone().expect("a change");
    close(
        "change",
        change.mean,
        number(want, "change_in_mean"),
        FULL_PRECISION,
    );
    let logs = study.logs.clone().expect("logs");
    let (cv, _) = logs.pooled.expect("an error").cv_percent().expect("a CV");
    close("CV", cv, number(want, "cv_percent_log_exp"), FULL_PRECISION);
    let iccs = raw.correlations.clone().expect("correlations");
    let names = [
        "ICC(1,1)", "ICC(A,1)", "ICC(C,1)", "ICC(1,k)", "ICC(A,k)", "ICC(C,k)",
    ];
    for (got, name) in iccs.iter().zip(names) {
        close(
            name,
            got.icc.value,
            number(&want["pingouin_icc"], name),
            FULL_PRECISION,
        );
    }
    let [_, d90, d95] = raw.detectable.clone().expect("detectable changes");
    close("MDC95", d95.normal, number(want, "MDC95"), ROUNDED_196);
    close("MDC90", d90.normal, number(want, "MDC90"), FULL_PRECISION);
    let check = study.level_check.clone().expect("a check");
    let r = number(want, "heteroscedasticity_r_absdiff_vs_mean");
    close("r", check.raw.r, r, FULL_PRECISION);
    // The golden 0.2 x SD still holds the error; the study's does not.
    let squares = &want["mean_squares"];
    let free = (number(squares, "BMS") - number(squares, "EMS")) / 2.0;
    close(
        "SWC",
        raw.worthwhile.clone().expect("one"),
        0.2 * free.sqrt(),
        FULL_PRECISION,
    );
}

/// Source: repeat readings of both meters.
#[test]
fn repeat_readings_as_a_study() {
    let file = json(PEFR_NUMBERS);
    repeat(&pefr_study([1, 2]), &file["repeat_wright"]);
    repeat(&pefr_study([3, 4]), &file["repeat_mini"]);
}

/// Source: exact intervals of both limits, scipy 1.17.1 `nct`; the file has first minus second.
#[test]
fn exact_limits_of_agreement() {
    let file = json(PEFR_NUMBERS);
    let want = &file["wright1_minus_mini1"];
    let table = pefr([3, 1]);
    let of = |i| {
        table
            .iter()
            .skip(i)
            .step_by(2)
            .copied()
            .collect::<Vec<f64>>()
    };
    let got = limits_of(&of(0), &of(1), 0.95, 0.95).expect("limits");
    let limits = numbers(want, "loa_z");
    close("lower", got.lower, limits[0], FULL_PRECISION);
    close("upper", got.upper, limits[1], FULL_PRECISION);
    for (interval, field) in [
        (got.lower_interval, "lower_ci_exact"),
        (got.upper_interval, "upper_ci_exact"),
    ] {
        close(field, interval.lower, numbers(want, field)[0], NONCENTRAL);
        close(field, interval.upper, numbers(want, field)[1], NONCENTRAL);
    }
    assert!(got.outer.0 < got.lower && got.lower < got.inner.0);
    assert!(got.inner.1 < got.upper && got.upper < got.outer.1);
}

/// Source: psych 2.2.9, all six forms with their intervals; rows given in any order.
#[test]
fn six_forms_with_intervals() {
    let mut list: Vec<LongRow> = csv::Reader::from_reader(ICC.as_bytes())
        .records()
        .map(|row| {
            let row = row.expect("a row");
            LongRow {
                person: row[0].parse().expect("a mark"),
                trial: row[1].parse().expect("a trial"),
                value: row[2].parse().expect("a number"),
            }
        })
        .collect();
    list.reverse();
    let study = study(&Trials::long(&list).expect("trials"), 0.95).expect("a study");
    let got = study.raw.correlations.expect("correlations");
    let file = json(ICC_NUMBERS);
    for (name, form, place) in [
        ("ICC1", IccForm::OneWay, 0),
        ("ICC2", IccForm::Agreement, 1),
        ("ICC3", IccForm::Consistency, 2),
        ("ICC1k", IccForm::OneWayMean, 3),
        ("ICC2k", IccForm::AgreementMean, 4),
        ("ICC3k", IccForm::ConsistencyMean, 5),
    ] {
        let row = rows(&file, "lmer_FALSE")
            .iter()
            .find(|row| row["type"] == name)
            .expect("a row");
        let got = &got[place];
        assert_eq!(got.icc.form, form);
        close(name, got.icc.value, number(row, "ICC"), FULL_PRECISION);
        let interval = got.interval.expect("an interval");
        close(
            name,
            interval.lower,
            number(row, "lower bound"),
            FULL_PRECISION,
        );
        close(
            name,
            interval.upper,
            number(row, "upper bound"),
            FULL_PRECISION,
        );
    }
}

/// Source: detectable changes of golden file true_change.json (scipy 1.17.1), normal and t.
#[test]
fn detectable_changes() {
    use plimsoll_measure::error::TypicalError;
    use plimsoll_measure::study::detectable;
    let file = json(CHANGE);
    let mut seen = 0;
    for row in rows(&file, "mdc") {
        let Some(df) = row["df"].as_f64() else {
            continue;
        };
        let value = number(row, "TE");
        let got = detectable(TypicalError { value, df }).expect("changes");
        for (change, field) in got.iter().zip(["MDC80", "MDC90", "MDC95"]) {
            close(field, change.student, number(row, field), FULL_PRECISION);
        }
        seen += 1;
    }
    assert!(seen >= 10);
}
