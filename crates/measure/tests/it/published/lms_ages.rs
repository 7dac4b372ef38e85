//! Source: tests/golden/lms_zscores.json, the case at an age between two rows of a public-domain
//! table (CDC 2000, weight of girls); the four rows around it as that table prints them.

use plimsoll_measure::norms::{AgeCurve, Interpolation, Lms};

use crate::golden::{FULL_PRECISION, close, json, number, rows};

const FILE: &str = include_str!("../../golden/lms_zscores.json");

/// Age, L, M, S.
const ROWS: [(f64, f64, f64, f64); 4] = [
    (11.45833333, -0.785539703, 39.24774707, 0.202802535),
    (11.54166667, -0.786904102, 39.61914076, 0.202848049),
    (11.625, -0.788858208, 39.98999994, 0.202853758),
    (11.70833333, -0.791403051, 40.36009244, 0.202820053),
];

fn curve() -> AgeCurve {
    let rows = ROWS.map(|(age, l, m, s)| (age, Lms::new(l, m, s).expect("an LMS")));
    AgeCurve::new(&rows).expect("a table")
}

/// Source: entry `cases`, CDC, female, weight, 11.62 years: rcpchgrowth 4.6.5 reads this
/// reference by the cubic through two rows on either side.
#[test]
fn cubic_between_rows() {
    let file = json(FILE);
    let case = rows(&file, "cases")
        .iter()
        .find(|row| row["reference"] == "cdc" && row["exact_table_age"] == false)
        .expect("the case");
    let lms = curve()
        .at(number(case, "age"), Interpolation::Cubic)
        .expect("an LMS");
    let (l, m, s) = lms.parts();
    close("L", l, number(case, "L"), FULL_PRECISION);
    close("M", m, number(case, "M"), FULL_PRECISION);
    close("S", s, number(case, "S"), FULL_PRECISION);
    let z = lms.standing(number(case, "x")).expect("a z").z;
    close("z", z, number(case, "z_package"), FULL_PRECISION);
}

/// The straight line gives another answer there, so the choice must be said; by hand.
#[test]
fn linear_between_rows() {
    let age = 11.62;
    let (_, m, _) = curve().at(age, Interpolation::Linear).expect("LMS").parts();
    let share = (age - ROWS[1].0) / (ROWS[2].0 - ROWS[1].0);
    close("M", m, ROWS[1].2 + share * (ROWS[2].2 - ROWS[1].2), 1e-14);
    let (_, cubic, _) = curve().at(age, Interpolation::Cubic).expect("LMS").parts();
    assert!((m - cubic).abs() > 1e-7);
}

/// Rows are met exactly, the end stretches are linear, and nothing is given outside.
#[test]
fn rows_ends_and_outside() {
    let curve = curve();
    for (age, l, m, s) in ROWS {
        for way in [Interpolation::Linear, Interpolation::Cubic] {
            assert_eq!(curve.at(age, way).expect("a row").parts(), (l, m, s));
        }
    }
    for age in [11.5, 11.7] {
        assert_eq!(
            curve.at(age, Interpolation::Cubic),
            curve.at(age, Interpolation::Linear)
        );
    }
    for age in [11.458, 11.709, -1.0] {
        let words = curve
            .at(age, Interpolation::Linear)
            .expect_err("outside")
            .to_string();
        assert!(words.contains("is not extended"), "{words}");
    }
    assert!(curve.at(f64::NAN, Interpolation::Linear).is_err());
    assert!(AgeCurve::new(&[]).is_err());
    let lms = Lms::new(1.0, 1.0, 0.1).expect("an LMS");
    assert!(AgeCurve::new(&[(3.0, lms), (3.0, lms)]).is_err());
}
