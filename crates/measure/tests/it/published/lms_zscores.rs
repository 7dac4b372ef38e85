//! Source: tests/golden/lms_zscores.json: rcpchgrowth 4.6.5 and pygrowup2 1.0.0 cases with the
//! L, M and S they used, edge cases at 700 digits from mpmath 1.4.1, normal anchors from scipy.

use plimsoll_measure::{dist, norms::Lms};

use crate::golden::{FULL_PRECISION, close, close_relative, json, number, rows};

const FILE: &str = include_str!("../../golden/lms_zscores.json");

/// mpmath's digits against doubles: a few units in the last place, magnified by 1 / S.
const EDGE: f64 = 1e-12;
/// The page of the published example prints three decimals.
const PRINTED_TO: f64 = 0.0005;

fn lms(row: &serde_json::Value) -> Lms {
    Lms::new(number(row, "L"), number(row, "M"), number(row, "S")).expect("an LMS")
}

/// Source: entry `cases`, the plain-LMS numbers (some packages add a tail rule, we do not).
#[test]
fn growth_cases() {
    let file = json(FILE);
    let mut tail_rules = 0;
    for row in rows(&file, "cases") {
        let lms = lms(row);
        let got = lms.standing(number(row, "x")).expect("a standing");
        close("z", got.z, number(row, "z_plain_lms"), FULL_PRECISION);
        close(
            "centile",
            got.centile,
            number(row, "centile_plain_lms"),
            FULL_PRECISION,
        );
        if row["package_uses_tail_rule"] == true {
            tail_rules += 1;
        } else {
            close("package z", got.z, number(row, "z_package"), FULL_PRECISION);
        }
        let back = lms.value_at(got.z).expect("a value");
        close("round trip", back, number(row, "x"), FULL_PRECISION);
        for (centile, value) in row["x_at_centile"].as_object().expect("centiles") {
            let got = lms
                .value_at_centile(centile.parse().expect("a centile"))
                .expect("a value");
            close(
                centile,
                got,
                value.as_f64().expect("a value"),
                FULL_PRECISION,
            );
        }
    }
    assert!(
        tail_rules > 0,
        "DIFFERENCE: packages with a tail rule leave plain LMS on purpose"
    );
}

/// Source: entry `edge_cases`: L from -5 to 5, with 0, 1e-300 and 1e-15 among them.
#[test]
fn edge_cases_near_zero_skewness() {
    let file = json(FILE);
    for row in rows(&file, "edge_cases") {
        let got = lms(row).standing(number(row, "x")).expect("a standing");
        close(&row.to_string(), got.z, number(row, "z"), EDGE);
        close(
            &row.to_string(),
            got.centile,
            number(row, "centile"),
            EDGE * 100.0,
        );
    }
}

/// Source: entries `inverse_undefined` and `z_bounds`.
#[test]
fn the_inverse_ends_where_the_curve_ends() {
    let file = json(FILE);
    for row in rows(&file, "inverse_undefined") {
        let got = lms(row).value_at(number(row, "z"));
        match row["x"].as_f64() {
            Some(want) => close("value", got.expect("a value"), want, FULL_PRECISION),
            None => {
                let message = got.expect_err("no value").to_string();
                assert!(message.contains("must be above 0"), "{message}");
            }
        }
    }
    for row in rows(&file, "z_bounds") {
        let (l, s, bound) = (number(row, "L"), number(row, "S"), number(row, "z_bound"));
        let lms = Lms::new(l, 50.0, s).expect("an LMS");
        assert!(lms.value_at(bound * 1.000001).is_err(), "{row}");
        assert!(lms.value_at(bound * 0.999).is_ok(), "{row}");
    }
}

/// Source: entry `cdc_published_example` (z 0.207 and 7.90 kg, from memory; recomputed).
#[test]
fn published_example() {
    let file = json(FILE);
    let row = &file["cdc_published_example"];
    let got = lms(row).standing(number(row, "x")).expect("a standing");
    close("z", got.z, number(row, "z"), FULL_PRECISION);
    close(
        "cdf",
        got.centile / 100.0,
        number(row, "cdf"),
        FULL_PRECISION,
    );
    assert!((got.z - 0.207).abs() <= PRINTED_TO);
    let value = lms(row).value_at(-1.645).expect("a value");
    close(
        "value",
        value,
        number(row, "x_at_z_minus_1_645"),
        FULL_PRECISION,
    );
}

/// Source: entries `normal_cdf` and `normal_quantile`.
#[test]
fn normal_anchors() {
    let file = json(FILE);
    for row in rows(&file, "normal_cdf") {
        let z = number(row, "z");
        close_relative(
            "cdf",
            dist::normal_cdf(z).expect("p"),
            number(row, "cdf"),
            EDGE,
        );
        close_relative(
            "sf",
            dist::normal_cdf(-z).expect("p"),
            number(row, "sf"),
            EDGE,
        );
    }
    for row in rows(&file, "normal_quantile") {
        let got = dist::normal_quantile(number(row, "p")).expect("z");
        close("z", got, number(row, "z"), EDGE);
    }
}
