//! A change of units or of the order of rows changes a fit only as it must.

use plimsoll_measure::growth::{LmsFit, Model, Row, Sample, Shape, fit, residuals};
use proptest::prelude::*;

use crate::golden::close_relative;
use crate::simulate::people;

/// Newton ends at a gain of 1e-10; the smoothness settles to 0.002 degrees of freedom.
const SAME: f64 = 1e-5;

fn models() -> [Model; 3] {
    [
        Model::polynomial(1, 2, 1),
        Model::smooth(),
        Model {
            l: Shape::Polynomial(0),
            ..Model::smooth()
        },
    ]
}

fn fitted(rows: &[Row], model: &Model) -> LmsFit {
    let fit = fit(&Sample::from_rows(rows).expect("a sample"), model).expect("a fit");
    assert!(fit.convergence().converged, "{:?}", fit.convergence());
    fit
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    /// Values times c: M times c, L and S and z stay.
    #[test]
    fn unit_of_the_value(ln_c in -8.0..8.0_f64, seed in 0_u64..1_000) {
        let c = ln_c.exp();
        let rows = people(400, seed);
        let scaled: Vec<Row> = rows.iter().map(|r| Row { value: c * r.value, ..*r }).collect();
        for model in models() {
            let (a, b) = (fitted(&rows, &model), fitted(&scaled, &model));
            for age in [9.0, 13.0, 17.0] {
                let (l, m, s) = a.at(age).expect("LMS").parts();
                let (l2, m2, s2) = b.at(age).expect("LMS").parts();
                prop_assert!((l - l2).abs() < SAME * 10.0, "{l} {l2}");
                close_relative("M", m2, c * m, SAME);
                close_relative("S", s2, s, SAME * 10.0);
                let z = a.centile(age, 1.0, 9.0).expect("a centile");
                let z2 = b.centile(age, 1.0, 9.0).expect("a centile");
                close_relative("se", z2.se, c * z.se, 1e-3);
                close_relative("se in z", z2.se_z, z.se_z, 1e-3);
            }
            let shift = 400.0 * ln_c;
            prop_assert!((a.log_likelihood() - shift - b.log_likelihood()).abs() < 1e-3);
        }
    }

    /// Another zero and unit of age: the same curves at the same places.
    #[test]
    fn zero_and_unit_of_age(shift in -50.0..50.0_f64, unit in 0.01..400.0_f64, seed in 0_u64..1_000) {
        let rows = people(400, seed);
        let moved: Vec<Row> = rows.iter().map(|r| Row { age: shift + unit * r.age, ..*r }).collect();
        for model in models() {
            let (a, b) = (fitted(&rows, &model), fitted(&moved, &model));
            for age in [9.0, 13.0, 17.0] {
                let want = a.at(age).expect("LMS").parts();
                let got = b.at(shift + unit * age).expect("LMS").parts();
                prop_assert!((want.0 - got.0).abs() < SAME * 10.0);
                close_relative("M", got.1, want.1, SAME);
                close_relative("S", got.2, want.2, SAME * 10.0);
            }
        }
    }

    /// Order of rows: nothing changes, to the last bit.
    #[test]
    fn order_of_rows(seed in 0_u64..1_000, turn in 1_usize..399) {
        let rows = people(400, seed);
        let mut turned = rows.clone();
        turned.rotate_left(turn);
        turned.reverse();
        for model in models() {
            let (a, b) = (fitted(&rows, &model), fitted(&turned, &model));
            prop_assert_eq!(a.log_likelihood(), b.log_likelihood());
            prop_assert_eq!(a.at(12.5), b.at(12.5));
            let z = |rows: &[Row], fit| residuals(&Sample::from_rows(rows).expect("s"), fit);
            prop_assert_eq!(z(&rows, &a), z(&turned, &b));
        }
    }
}
