//! Source: tests/golden/true_change.json, computed with scipy 1.17.1.

use plimsoll_measure::change::{Comparison, log_change, repeats_needed, shrink, true_score};
use plimsoll_measure::error::{TypicalError, error_from_icc, pooled_error};
use plimsoll_measure::{Interval, dist};
use serde_json::Value;

use crate::golden::{FULL_PRECISION, close, close_relative, json, number, numbers, rows};

const FILE: &str = include_str!("../../golden/true_change.json");

/// Tails are compared relatively; the incomplete beta keeps about ten digits far out.
const TAIL_RELATIVE: f64 = 1e-9;

fn df(row: &Value) -> Option<f64> {
    row["df"].as_f64()
}

fn count(row: &Value, field: &str) -> u32 {
    u32::try_from(row[field].as_u64().expect("a count")).expect("a small count")
}

#[track_caller]
fn same_interval(what: &str, got: Interval, row: &Value, field: &str) {
    let want = numbers(row, field);
    close(what, got.lower, want[0], FULL_PRECISION);
    close(what, got.upper, want[1], FULL_PRECISION);
}

/// Source: entry `change_cases`.
#[test]
fn chances_and_intervals_of_a_change() {
    let file = json(FILE);
    for row in rows(&file, "change_cases") {
        let pair = Comparison::new(
            number(row, "TE"),
            df(row),
            count(row, "n1"),
            count(row, "n2"),
        )
        .expect("a usable error");
        let d = number(row, "observed_change");
        let chance = pair.chance(d, number(row, "SWC")).expect("chances");
        close("SED", pair.se(), number(row, "SED"), FULL_PRECISION);
        close("up", chance.up, number(row, "P_up"), FULL_PRECISION);
        close("down", chance.down, number(row, "P_down"), FULL_PRECISION);
        close(
            "trivial",
            chance.trivial,
            number(row, "P_trivial"),
            FULL_PRECISION,
        );
        close(
            "any",
            chance.any_up,
            number(row, "P_change_gt_0"),
            FULL_PRECISION,
        );
        close(
            "errors",
            pair.in_errors(d).expect("size"),
            number(row, "RCI"),
            FULL_PRECISION,
        );
        let two_sided = 2.0 * chance.any_up.min(1.0 - chance.any_up);
        close(
            "two-sided p",
            two_sided,
            number(row, "two_sided_p"),
            FULL_PRECISION,
        );
        for (level, field) in [(0.80, "ci80"), (0.90, "ci90"), (0.95, "ci95")] {
            same_interval(
                field,
                pair.interval(d, level).expect("an interval"),
                row,
                field,
            );
        }
    }
}

/// Source: entry `mdc`.
#[test]
fn detectable_changes_and_intervals_of_the_error() {
    let file = json(FILE);
    for row in rows(&file, "mdc") {
        let te = number(row, "TE");
        let pair = |n| Comparison::new(te, df(row), n, n).expect("a usable error");
        for (level, n, field) in [
            (0.80, 1, "MDC80"),
            (0.90, 1, "MDC90"),
            (0.95, 1, "MDC95"),
            (0.95, 2, "MDC95_mean_of_2"),
            (0.95, 3, "MDC95_mean_of_3"),
        ] {
            let got = pair(n).detectable(level).expect("a detectable change");
            close(field, got, number(row, field), FULL_PRECISION);
        }
        if let Some(df) = df(row) {
            let error = TypicalError { value: te, df };
            same_interval(
                "90 %",
                error.interval(0.90).expect("an interval"),
                row,
                "TE_ci90",
            );
            same_interval(
                "95 %",
                error.interval(0.95).expect("an interval"),
                row,
                "TE_ci95",
            );
        }
    }
}

/// Source: entry `bayes`.
#[test]
fn shrinkage_with_a_normal_prior() {
    let file = json(FILE);
    for row in rows(&file, "bayes") {
        let pair = Comparison::new(number(row, "TE"), None, count(row, "n1"), count(row, "n2"))
            .expect("a usable error");
        let (mean, sd) = (number(row, "prior_mean"), number(row, "prior_sd"));
        let got = shrink(&pair, number(row, "observed_change"), mean, sd).expect("a posterior");
        close("mean", got.mean, number(row, "post_mean"), FULL_PRECISION);
        close("sd", got.sd, number(row, "post_sd"), FULL_PRECISION);
        let chance = got.chance(number(row, "SWC")).expect("chances");
        close("up", chance.up, number(row, "P_up"), FULL_PRECISION);
        close("down", chance.down, number(row, "P_down"), FULL_PRECISION);
        same_interval(
            "95 %",
            got.interval(0.95).expect("an interval"),
            row,
            "ci95",
        );
    }
}

/// Source: entry `true_score`.
#[test]
fn regression_to_the_mean() {
    let file = json(FILE);
    for row in rows(&file, "true_score") {
        let (sd, icc) = (number(row, "sd"), number(row, "icc"));
        let got = true_score(number(row, "x"), number(row, "mean"), sd, icc).expect("a score");
        close(
            "expected",
            got.expected,
            number(row, "true_estimate"),
            FULL_PRECISION,
        );
        close(
            "sd true",
            got.sd_true,
            number(row, "SE_estimate"),
            FULL_PRECISION,
        );
        close(
            "sd retest",
            got.sd_retest,
            number(row, "SEP_retest"),
            FULL_PRECISION,
        );
        close("error", got.error, number(row, "SEM"), FULL_PRECISION);
        let by_icc = error_from_icc(sd, icc).expect("an error");
        close("error from ICC", by_icc, number(row, "SEM"), FULL_PRECISION);
        same_interval(
            "95 %",
            got.interval_true(0.95).expect("an interval"),
            row,
            "ci95_true",
        );
    }
}

/// Source: entry `log_scale`.
#[test]
fn change_on_the_log_scale() {
    let file = json(FILE);
    for row in rows(&file, "log_scale") {
        let (from, to) = (number(row, "pre"), number(row, "post"));
        let got = log_change(from, to, number(row, "cv_percent"), None, (1, 1)).expect("a change");
        let te = got.comparison.typical_error();
        close("TE", te, number(row, "TE_log"), FULL_PRECISION);
        close(
            "percent",
            got.percent(),
            number(row, "change_percent"),
            FULL_PRECISION,
        );
        let chance = got.chance(number(row, "swc_percent")).expect("chances");
        close("up", chance.up, number(row, "P_up"), FULL_PRECISION);
        close("down", chance.down, number(row, "P_down"), FULL_PRECISION);
        let (up, down) = got.detectable_percent(0.95).expect("a detectable change");
        close("rise", up, number(row, "MDC95_percent_up"), FULL_PRECISION);
        close(
            "fall",
            down,
            number(row, "MDC95_percent_down"),
            FULL_PRECISION,
        );
        close(
            "factor",
            1.0 + up / 100.0,
            number(row, "MDC95_factor"),
            FULL_PRECISION,
        );
        let interval = got.interval_percent(0.95).expect("an interval");
        let ratio = numbers(row, "ratio_ci95");
        close(
            "ratio",
            1.0 + interval.lower / 100.0,
            ratio[0],
            FULL_PRECISION,
        );
        close(
            "ratio",
            1.0 + interval.upper / 100.0,
            ratio[1],
            FULL_PRECISION,
        );
    }
}

/// Source: entries `pooled_te` and `trials_needed`.
#[test]
fn pooled_errors_and_repeats() {
    let file = json(FILE);
    for row in rows(&file, "pooled_te") {
        let errors: Vec<TypicalError> = numbers(row, "TE")
            .into_iter()
            .zip(numbers(row, "df"))
            .map(|(value, df)| TypicalError { value, df })
            .collect();
        let got = pooled_error(&errors).expect("a pooled error");
        close("pooled", got.value, number(row, "pooled"), FULL_PRECISION);
        close("df", got.df, number(row, "df_total"), FULL_PRECISION);
    }
    for row in rows(&file, "trials_needed") {
        let got = repeats_needed(
            number(row, "TE"),
            number(row, "target"),
            number(row, "conf"),
        );
        assert_eq!(
            got.expect("a number"),
            row["n"].as_u64().expect("a count"),
            "{row}"
        );
    }
}

/// Source: entries `t_critical`, `t_cdf`, `f_quantiles` and `chi2_quantiles`.
#[test]
fn distributions() {
    let file = json(FILE);
    for row in rows(&file, "t_critical") {
        for (level, field) in [(0.80, "t80"), (0.90, "t90"), (0.95, "t95"), (0.99, "t99")] {
            let got = dist::two_sided(level, df(row)).expect("a quantile");
            close(field, got, number(row, field), FULL_PRECISION);
        }
    }
    for row in rows(&file, "t_cdf") {
        let t = number(row, "t");
        let lower = dist::student_cdf(t, df(row)).expect("a probability");
        let upper = dist::student_cdf(-t, df(row)).expect("a probability");
        close_relative("cdf", lower, number(row, "cdf"), TAIL_RELATIVE);
        close_relative("sf", upper, number(row, "sf"), TAIL_RELATIVE);
    }
    for row in rows(&file, "f_quantiles") {
        let got = dist::f_quantile(number(row, "p"), number(row, "d1"), number(row, "d2"));
        close(
            "F",
            got.expect("a quantile"),
            number(row, "q"),
            FULL_PRECISION,
        );
    }
    for row in rows(&file, "chi2_quantiles") {
        let got = dist::chi_square_quantile(number(row, "p"), number(row, "df"));
        close_relative(
            "chi2",
            got.expect("a quantile"),
            number(row, "q"),
            TAIL_RELATIVE,
        );
    }
}
