//! Source: tests/golden/lms_zscores.json, rows of the public-domain CDC 2000 table (stature of boys at
//! 8.04 and 10.04 years) as rcpchgrowth 4.6.5 carries it: L, M, S, and its centiles.
//! Changes and errors beyond growth derived by hand from these rows.

use plimsoll_measure::growth::{Errors, Expected, Seen, beyond_growth};
use plimsoll_measure::norms::Lms;

use crate::golden::{close, json, number, rows};

const FILE: &str = include_str!("../../golden/lms_zscores.json");
/// Sums and differences of printed numbers.
const BY_HAND: f64 = 1e-9;
/// The centiles of the file are those of the rounded names "0.4" and "99.6", all others too: L and S come
/// back to the digits that a search on squares has.
const FOUND_AGAIN: f64 = 1e-6;

fn row(age: f64) -> (f64, Lms) {
    let file = json(FILE);
    let case = rows(&file, "cases")
        .iter()
        .find(|c| {
            c["reference"] == "cdc"
                && c["sex"] == "male"
                && c["measure"] == "height"
                && (number(c, "age") - age).abs() < 1e-6
        })
        .expect("the row")
        .clone();
    let lms = Lms::new(number(&case, "L"), number(&case, "M"), number(&case, "S"));
    (number(&case, "age"), lms.expect("an LMS"))
}

fn seen((age, lms): (f64, Lms), value: f64) -> Seen {
    Seen { age, value, lms }
}

const ERRORS: Errors = Errors {
    typical: 0.5,
    df: None,
    reference: 0.0,
    drift: 0.3,
};

#[test]
fn a_child_on_the_median_at_both_ages_has_nothing_left() {
    let (young, old) = (row(8.041666667), row(10.04166667));
    for way in [Expected::Median, Expected::ConstantZ] {
        let left = beyond_growth(
            &seen(young, 128.1237104),
            &seen(old, 138.8234114),
            way,
            &ERRORS,
        )
        .expect("a change");
        // 138.8234114 - 128.1237104, both printed.
        close("expected", left.expected, 10.699701, BY_HAND);
        close("beyond", left.beyond, 0.0, BY_HAND);
        let chance = left.chance(0.0).expect("chances");
        close("up", chance.up, 0.5, BY_HAND);
        close("down", chance.down, 0.5, BY_HAND);
    }
    // At the median dy/dz is S M: 0.047610108 x 138.8234114 = 6.609397611; drift 0.3 of it.
    let left = beyond_growth(
        &seen(young, 128.1237104),
        &seen(old, 138.8234114),
        Expected::Median,
        &ERRORS,
    )
    .expect("a change");
    let slope = 0.047610108_f64 * 138.8234114;
    let se = (2.0 * 0.25 + (0.3 * slope).powi(2)).sqrt();
    close("se", left.se, se, BY_HAND);
}

/// 132.05586837610204 and 143.3167690553644 are the 75th centiles of the two rows.
#[test]
fn a_child_on_the_75th_centile_at_both_ages_has_nothing_left_by_the_own_place() {
    let before = seen(row(8.041666667), 132.055_868_376_102_04);
    let after = seen(row(10.04166667), 143.316_769_055_364_4);
    let own = beyond_growth(&before, &after, Expected::ConstantZ, &ERRORS).expect("a change");
    close("own", own.beyond, 0.0, 1e-8);
    let median = beyond_growth(&before, &after, Expected::Median, &ERRORS).expect("a change");
    // 143.31676906 - 132.05586838 - 10.699701 = 0.56119968.
    close("median", median.beyond, 0.561_199_679, 1e-8);
}

#[test]
fn centiles_give_back_l_m_and_s() {
    let file = json(FILE);
    for case in rows(&file, "cases") {
        let centiles = case["x_at_centile"].as_object().expect("centiles");
        let mut table: Vec<(f64, f64)> = centiles
            .iter()
            .map(|(c, x)| (c.parse().expect("a number"), x.as_f64().expect("a number")))
            .collect();
        table.sort_by(|a, b| a.0.total_cmp(&b.0));
        let made = Lms::of_centiles(&table).expect("L, M, S");
        let (l, m, s) = made.lms.parts();
        close("M", m, number(case, "M"), BY_HAND);
        close("L", l, number(case, "L"), 100.0 * FOUND_AGAIN);
        close("S", s, number(case, "S"), FOUND_AGAIN);
        close("misfit", made.misfit, 0.0, FOUND_AGAIN);
    }
}

/// Two humps have no L, M and S: derived by hand, z of 5, 50, 95 are -1.645, 0, 1.645, yet the quartiles lie
/// almost at the ends.
#[test]
fn another_shape_says_how_far_it_is() {
    let table = [
        (5.0, 80.0),
        (25.0, 81.0),
        (50.0, 100.0),
        (75.0, 119.0),
        (95.0, 120.0),
    ];
    assert!(Lms::of_centiles(&table).expect("a fit").misfit > 0.3);
    for bad in [
        &[(50.0, 100.0), (75.0, 119.0)][..],
        &[(25.0, 90.0), (75.0, 119.0)],
        &[(25.0, -1.0), (50.0, 100.0), (75.0, 119.0)],
        &[(25.0, 101.0), (50.0, 100.0), (75.0, 119.0)],
        &[],
    ] {
        Lms::of_centiles(bad).expect_err("refused");
    }
}
