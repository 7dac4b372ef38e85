//! Source: Bland & Altman 1986, Lancet i:307-310, Table 1 (17 people, two meters, two readings);
//! full-precision numbers from numpy 2.4.6 and scipy 1.17.1 in tests/golden.

use plimsoll_measure::change::Comparison;
use plimsoll_measure::error::{
    IccForm, agreement, change_in_mean, icc, log_error, mean_squares, ratio_limits, repeatability,
    typical_error,
};
use serde_json::Value;

use crate::golden::{FULL_PRECISION, close, json, number, numbers};

const DATA: &str = include_str!("../../golden/bland_altman_pefr.csv");
const NUMBERS: &str = include_str!("../../golden/bland_altman_pefr.json");

/// The paper rounds the SD to 38.8 before it doubles it, so its limits are off by up to 0.1.
const PRINTED_TO: f64 = 0.1;

/// The golden file's MDC uses 1.96; the crate uses the exact quantile 1.959964.
const ROUNDED_196: f64 = 2e-5;

fn series(column: usize) -> Vec<f64> {
    csv::Reader::from_reader(DATA.as_bytes())
        .records()
        .map(|row| row.expect("a row")[column].parse().expect("a number"))
        .collect()
}

/// Source: the 1986 paper's comparison of the two meters, first readings.
#[test]
fn limits_of_agreement() {
    let file = json(NUMBERS);
    let want = &file["wright1_minus_mini1"];
    let got = agreement(&series(1), &series(3)).expect("agreement");
    assert_eq!(got.n, 17);
    close(
        "mean",
        got.mean_difference,
        number(want, "mean_diff"),
        FULL_PRECISION,
    );
    close("sd", got.sd, number(want, "sd_diff"), FULL_PRECISION);
    close(
        "se",
        got.se_of_mean(),
        number(want, "se_mean"),
        FULL_PRECISION,
    );
    close(
        "se 1986",
        got.se_of_limit_1986(),
        number(want, "se_limit_1986"),
        FULL_PRECISION,
    );
    close(
        "se 1999",
        got.se_of_limit_1999(),
        number(want, "se_limit_1999"),
        FULL_PRECISION,
    );
    let mean = got.mean_interval(0.95).expect("an interval");
    close(
        "mean low",
        mean.lower,
        numbers(want, "mean_ci95")[0],
        FULL_PRECISION,
    );
    close(
        "mean high",
        mean.upper,
        numbers(want, "mean_ci95")[1],
        FULL_PRECISION,
    );
    for (multiplier, field) in [(1.96, "loa_1_96"), (2.0, "loa_2sd")] {
        let (low, high) = got.limits(multiplier).expect("limits");
        close(field, low, numbers(want, field)[0], FULL_PRECISION);
        close(field, high, numbers(want, field)[1], FULL_PRECISION);
    }
    let (low, high) = got.limit_intervals(2.0, 0.95).expect("intervals");
    close(
        "low",
        low.lower,
        numbers(want, "lower2sd_ci_1986")[0],
        FULL_PRECISION,
    );
    close(
        "low",
        low.upper,
        numbers(want, "lower2sd_ci_1986")[1],
        FULL_PRECISION,
    );
    close(
        "high",
        high.lower,
        numbers(want, "upper2sd_ci_1986")[0],
        FULL_PRECISION,
    );
    close(
        "high",
        high.upper,
        numbers(want, "upper2sd_ci_1986")[1],
        FULL_PRECISION,
    );
}

/// Source: printed in the 1986 paper as quoted in public files: -2.1, 38.8, -79.7 to 75.5.
///
/// DIFFERENCE: the unrounded limits are -79.65 and 75.41; the paper doubled the rounded 38.8.
#[test]
fn printed_values() {
    let got = agreement(&series(1), &series(3)).expect("agreement");
    let (low, high) = got.limits(2.0).expect("limits");
    close("mean", got.mean_difference, -2.1, PRINTED_TO / 2.0);
    close("sd", got.sd, 38.8, PRINTED_TO / 38.8 / 2.0);
    assert!((low + 79.7).abs() <= PRINTED_TO && (high - 75.5).abs() <= PRINTED_TO);
}

fn repeat_readings(want: &Value, first: &[f64], second: &[f64]) {
    let repeat = repeatability(first, second).expect("repeatability");
    let fields = [
        (repeat.sd_about_mean, "sd_diff_about_mean"),
        (repeat.sd_about_zero, "sd_diff_about_zero"),
        (repeat.within_sd_anova, "within_subject_sd_anova"),
        (
            repeat.coefficient_about_zero(),
            "coef_repeatability_2sd_about_zero",
        ),
        (
            repeat.coefficient_about_mean(),
            "coef_repeatability_2sd_about_mean",
        ),
        (
            repeat.coefficient_anova(),
            "repeatability_1999_1_96_sqrt2_sw",
        ),
    ];
    for (got, field) in fields {
        close(field, got, number(want, field), FULL_PRECISION);
    }
    let error = typical_error(first, second).expect("an error");
    close(
        "TE",
        error.value,
        number(want, "typical_error_sd_over_sqrt2"),
        FULL_PRECISION,
    );
    let interval = error.interval(0.95).expect("an interval");
    close(
        "TE low",
        interval.lower,
        numbers(want, "typical_error_ci95")[0],
        FULL_PRECISION,
    );
    close(
        "TE high",
        interval.upper,
        numbers(want, "typical_error_ci95")[1],
        FULL_PRECISION,
    );
    let change = change_in_mean(first, second, 0.95).expect("a change");
    close(
        "change",
        change.mean,
        number(want, "change_in_mean"),
        FULL_PRECISION,
    );
    let logs = log_error(first, second).expect("a log error");
    close(
        "log TE",
        logs.error.value,
        number(want, "typical_error_log"),
        FULL_PRECISION,
    );
    close(
        "CV",
        logs.cv_percent(),
        number(want, "cv_percent_log_exp"),
        FULL_PRECISION,
    );
    let pair = Comparison::new(error.value, None, 1, 1).expect("a comparison");
    let mdc = |level| pair.detectable(level).expect("a detectable change");
    close("MDC95", mdc(0.95), number(want, "MDC95"), ROUNDED_196);
    let rows: Vec<Vec<f64>> = first
        .iter()
        .zip(second)
        .map(|(&a, &b)| vec![a, b])
        .collect();
    let squares = mean_squares(&rows).expect("mean squares");
    for (form, field) in [
        (IccForm::OneWay, "icc_1_1"),
        (IccForm::Agreement, "icc_A_1"),
        (IccForm::Consistency, "icc_C_1"),
    ] {
        let got = icc(&squares, form).expect("a correlation").value;
        close(field, got, number(want, field), FULL_PRECISION);
    }
    let ms = &want["mean_squares"];
    close("BMS", squares.people, number(ms, "BMS"), FULL_PRECISION);
    close("JMS", squares.trials, number(ms, "JMS"), FULL_PRECISION);
    close("EMS", squares.error, number(ms, "EMS"), FULL_PRECISION);
    close("WMS", squares.within, number(ms, "WMS"), FULL_PRECISION);
}

/// Source: repeat readings of both meters; three SDs that differ and must not be mixed up.
#[test]
fn repeatability_in_three_meanings() {
    let file = json(NUMBERS);
    repeat_readings(&file["repeat_wright"], &series(1), &series(2));
    repeat_readings(&file["repeat_mini"], &series(3), &series(4));
}

/// Source: derived; ratio limits are the limits of the logs, and swap to their inverses.
#[test]
fn ratio_limits_invert_when_methods_swap() {
    let (mean, low, high) = ratio_limits(&series(1), &series(3), 1.96).expect("limits");
    let (back, back_low, back_high) = ratio_limits(&series(3), &series(1), 1.96).expect("limits");
    assert!(low < mean && mean < high);
    close("mean", mean * back, 1.0, FULL_PRECISION);
    close("ends", low * back_high, 1.0, FULL_PRECISION);
    close("ends", high * back_low, 1.0, FULL_PRECISION);
}
