//! Source: tests/golden/stat_test_vectors.json (interpretation notes; invented data marked so).

use plimsoll_measure::change::{Comparison, log_change, smallest_worthwhile, true_score};
use plimsoll_measure::error::{
    IccForm, agreement, change_in_mean, icc, icc_interval, log_error, mean_squares, typical_error,
};
use plimsoll_measure::{fit, norms::Lms};

use crate::golden::{FULL_PRECISION, close, json, number, numbers, rows};

const FILE: &str = include_str!("../../golden/stat_test_vectors.json");

/// The file prints six decimals, of numbers up to some hundreds.
const SIX_DECIMALS: f64 = 6e-7;
/// Probabilities are printed to three decimals.
const THREE_DECIMALS: f64 = 5.001e-4;
/// Percentages of the detectable change are printed to one decimal.
const ONE_DECIMAL: f64 = 0.05;
/// The file's MDC uses 1.96; the crate uses the exact quantile 1.959964.
const ROUNDED_196: f64 = 2e-5;

/// Source: entry `retest_ir1_invented` (invented data).
#[test]
fn retest_of_ten_runners() {
    let file = json(FILE);
    let row = &file["retest_ir1_invented"];
    let (first, second) = (numbers(row, "trial1"), numbers(row, "trial2"));
    let change = change_in_mean(&first, &second, 0.95).expect("a change");
    close(
        "change",
        change.mean,
        number(row, "change_in_mean"),
        SIX_DECIMALS,
    );
    close(
        "sd",
        change.sd,
        number(row, "sd_of_differences"),
        SIX_DECIMALS,
    );
    let error = typical_error(&first, &second).expect("an error");
    close(
        "TE",
        error.value,
        number(row, "typical_error"),
        SIX_DECIMALS,
    );
    let interval = error.interval(0.95).expect("an interval");
    close(
        "low",
        interval.lower,
        numbers(row, "typical_error_ci95")[0],
        SIX_DECIMALS,
    );
    close(
        "high",
        interval.upper,
        numbers(row, "typical_error_ci95")[1],
        SIX_DECIMALS,
    );
    let logs = log_error(&first, &second).expect("a log error");
    close(
        "log change",
        logs.change_in_mean_percent,
        number(row, "log_change_in_mean_pct"),
        SIX_DECIMALS,
    );
    close("CV", logs.cv_percent(), number(row, "cv_pct"), SIX_DECIMALS);
    let table: Vec<Vec<f64>> = first
        .iter()
        .zip(&second)
        .map(|(&a, &b)| vec![a, b])
        .collect();
    let squares = mean_squares(&table).expect("mean squares");
    for (form, field) in [
        (IccForm::Consistency, "icc_3_1"),
        (IccForm::Agreement, "icc_2_1"),
        (IccForm::OneWay, "icc_1_1"),
    ] {
        close(
            field,
            icc(&squares, form).expect("a value").value,
            number(row, field),
            SIX_DECIMALS,
        );
    }
    let icc_ci = icc_interval(&squares, 0.95).expect("an interval");
    close(
        "ICC low",
        icc_ci.lower,
        numbers(row, "icc_3_1_ci95")[0],
        SIX_DECIMALS,
    );
    close(
        "ICC high",
        icc_ci.upper,
        numbers(row, "icc_3_1_ci95")[1],
        SIX_DECIMALS,
    );
    let pair = Comparison::new(error.value, None, 1, 1).expect("a comparison");
    close(
        "MDC95",
        pair.detectable(0.95).expect("a change"),
        number(row, "mdc95"),
        ROUNDED_196,
    );
    let both = agreement(&second, &first).expect("agreement");
    let (low, high) = both.limits(1.96).expect("limits");
    close("low", low, numbers(row, "limits_1.96sd")[0], SIX_DECIMALS);
    close("high", high, numbers(row, "limits_1.96sd")[1], SIX_DECIMALS);
    let n = first.len() as f64;
    let mean = first.iter().sum::<f64>() / n;
    let sd = (first.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt();
    let swc = smallest_worthwhile(sd, 0.0, 0.2).expect("a change");
    close("SWC", swc, number(row, "swc_0.2sd_trial1"), SIX_DECIMALS);
}

/// Source: entry `probability_of_change_normal`.
#[test]
fn chances_for_three_tests() {
    let file = json(FILE);
    for row in rows(&file, "probability_of_change_normal") {
        let pair = Comparison::new(number(row, "typical_error"), None, 1, 1).expect("a comparison");
        let got = pair
            .chance(number(row, "observed"), number(row, "swc"))
            .expect("chances");
        close("up", got.up, number(row, "p_higher"), THREE_DECIMALS);
        close(
            "trivial",
            got.trivial,
            number(row, "p_trivial"),
            THREE_DECIMALS,
        );
        close("down", got.down, number(row, "p_lower"), THREE_DECIMALS);
    }
}

/// Source: entry `regression_to_mean`.
#[test]
fn expected_retests() {
    let file = json(FILE);
    for row in rows(&file, "regression_to_mean") {
        let mean = number(row, "group_mean");
        let got = true_score(number(row, "x"), mean, number(row, "sd"), number(row, "r"));
        let got = got.expect("a score");
        close(
            "retest",
            got.expected,
            number(row, "expected_retest"),
            FULL_PRECISION,
        );
        close(
            "sd true",
            got.sd_true,
            number(row, "sd_true_score"),
            THREE_DECIMALS / 100.0,
        );
        close(
            "sd retest",
            got.sd_retest,
            number(row, "sd_retest"),
            THREE_DECIMALS / 100.0,
        );
    }
}

/// Source: entry `lms`.
///
/// DIFFERENCE: the file's P5 and P95 were made with z = 1.645 rounded; the exact quantile
/// 1.644854 gives values that differ in the fourth decimal.
#[test]
fn lms_example() {
    let file = json(FILE);
    let row = &file["lms"];
    let lms = Lms::new(number(row, "L"), number(row, "M"), number(row, "S")).expect("an LMS");
    for (z, field) in [(-1.645, "P5"), (0.0, "P50"), (1.645, "P95")] {
        let got = lms.value_at(z).expect("a value");
        close(field, got, number(row, field), SIX_DECIMALS);
    }
    let exact = lms.value_at_centile(5.0).expect("a value");
    assert!((exact - number(row, "P5")).abs() < 2e-4 && exact > number(row, "P5"));
    let got = lms.standing(11.5).expect("a standing");
    close("z", got.z, number(row, "z_of_11.5"), SIX_DECIMALS);
    close(
        "centile",
        got.centile,
        number(row, "percentile_of_11.5"),
        SIX_DECIMALS,
    );
}

/// Source: entry `critical_speed`: distance on time, three runs.
#[test]
fn critical_speed_line() {
    let file = json(FILE);
    let row = &file["critical_speed"];
    let got = fit::line(&numbers(row, "times_s"), &numbers(row, "distances_m")).expect("a line");
    close("CS", got.slope, number(row, "CS_m_s"), SIX_DECIMALS);
    close("D'", got.intercept, number(row, "D_prime_m"), SIX_DECIMALS);
}

/// Source: entry `mdc95_from_cv_pct`; asymmetric, larger upward.
#[test]
fn detectable_percent_from_a_cv() {
    let file = json(FILE);
    for row in rows(&file, "mdc95_from_cv_pct") {
        let change = log_change(1000.0, 1000.0, number(row, "cv"), None, (1, 1)).expect("a change");
        let (up, down) = change
            .detectable_percent(0.95)
            .expect("a detectable change");
        assert!((up - number(row, "up")).abs() <= ONE_DECIMAL, "{row}: {up}");
        assert!(
            (down - number(row, "down")).abs() <= ONE_DECIMAL,
            "{row}: {down}"
        );
        assert!(up > down);
    }
}

/// Source: entry `limits_of_agreement_bland_altman_1986` (17 pairs).
#[test]
fn limits_of_agreement() {
    let file = json(FILE);
    let row = &file["limits_of_agreement_bland_altman_1986"];
    let got = agreement(&numbers(row, "method_a"), &numbers(row, "method_b")).expect("agreement");
    close(
        "mean",
        got.mean_difference,
        number(row, "mean_difference"),
        SIX_DECIMALS,
    );
    close("sd", got.sd, number(row, "sd_difference"), SIX_DECIMALS);
    for (multiplier, field) in [(2.0, "limits_2sd"), (1.96, "limits_1.96sd")] {
        let (low, high) = got.limits(multiplier).expect("limits");
        assert!((low - numbers(row, field)[0]).abs() < 1e-4, "{field}");
        assert!((high - numbers(row, field)[1]).abs() < 1e-4, "{field}");
    }
}
