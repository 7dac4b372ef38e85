//! Data that settle nothing give words, never a panic, an infinity or a silent zero.

use plimsoll_measure::growth::{
    Cell, LmsFit, Model, Row, SE_LIMIT, Sample, Shape, Smoothing, Stop, fit,
};
use plimsoll_measure::norms::Lms;

use crate::simulate::people;

fn rows(n: usize, f: impl Fn(usize) -> (f64, f64)) -> Vec<Row> {
    (0..n)
        .map(f)
        .map(|(age, value)| Row::new(age, value))
        .collect()
}

fn words(rows: &[Row], model: &Model) -> String {
    let fit: Result<LmsFit, _> = Sample::from_rows(rows).and_then(|s| fit(&s, model));
    fit.expect_err("no fit").to_string()
}

#[test]
fn too_little_data() {
    let smooth = Model::smooth();
    assert!(words(&[], &smooth).contains("at least 1 needed"));
    // One row has no spread either.
    assert!(words(&[Row::new(10.0, 700.0)], &smooth).contains("do not differ"));
    let few = people(99, 1);
    assert!(words(&few, &smooth).contains("found 99, at least 100"));
    assert!(words(&few[..29], &Model::polynomial(1, 2, 0)).contains("at least 30"));
    let weightless: Vec<Row> = few.iter().map(|r| Row { weight: 0.0, ..*r }).collect();
    assert!(words(&weightless, &smooth).contains("found 0"));
}

#[test]
fn values_that_cannot_be() {
    let model = Model::polynomial(0, 1, 0);
    for bad in [-700.0, 0.0, f64::NAN, f64::INFINITY] {
        let mut rows = people(50, 1);
        rows[7].value = bad;
        assert!(words(&rows, &model).contains("value is"), "{bad}");
        let mut rows = people(50, 1);
        rows[7].weight = if bad == 0.0 { -1.0 } else { bad };
        assert!(words(&rows, &model).contains("weight"), "{bad}");
    }
    let mut rows = people(50, 1);
    rows[7].age = f64::NAN;
    assert!(words(&rows, &model).contains("age is NaN"));
}

#[test]
fn bins_that_cannot_be() {
    let good = Cell {
        age: (10.0, 11.0),
        lower: 500.0,
        upper: 520.0,
        count: 3.0,
    };
    for bad in [
        Cell {
            age: (11.0, 10.0),
            ..good
        },
        Cell {
            lower: -1.0,
            ..good
        },
        Cell {
            upper: 500.0,
            ..good
        },
        Cell {
            upper: f64::NAN,
            ..good
        },
        Cell {
            count: -1.0,
            ..good
        },
        Cell {
            count: f64::NAN,
            ..good
        },
        Cell {
            age: (f64::NEG_INFINITY, 10.0),
            ..good
        },
    ] {
        assert!(Sample::from_cells(&[good, bad]).is_err(), "{bad:?}");
    }
    // Everybody in one bin, or in one bin with open ends.
    assert!(Sample::from_cells(&[good, good]).is_err());
    let all = Cell {
        lower: 0.0,
        upper: f64::INFINITY,
        ..good
    };
    assert!(Sample::from_cells(&[all]).is_err());
}

#[test]
fn no_spread() {
    let model = Model::polynomial(0, 1, 0);
    assert!(words(&rows(200, |i| (i as f64, 700.0)), &model).contains("do not differ"));
    // All on one line over age: a spread of values but none at an age.
    let line = rows(200, |i| (i as f64, (5.0 + 0.01 * i as f64).exp()));
    let log = Model {
        median: plimsoll_measure::growth::MedianScale::Log,
        ..model
    };
    assert!(words(&line, &log).contains("do not differ"));
}

#[test]
fn one_age_and_two_ages() {
    let one: Vec<Row> = people(300, 2)
        .iter()
        .map(|r| Row { age: 12.0, ..*r })
        .collect();
    assert!(words(&one, &Model::smooth()).contains("different ages"));
    assert!(words(&one, &Model::polynomial(0, 1, 0)).contains("found 1, at least 2"));
    let fit = fit(
        &Sample::from_rows(&one).expect("a sample"),
        &Model::polynomial(0, 0, 0),
    );
    let fit = fit.expect("constants can be fitted at one age");
    assert!(fit.at(12.0).is_ok());
    assert!(fit.at(12.0001).is_err());
}

#[test]
fn ties_are_no_trouble() {
    // Shuttles of 20 m and whole years: many ties in both.
    let tied: Vec<Row> = people(3_000, 3)
        .iter()
        .map(|r| Row::new(r.age.floor(), (r.value / 20.0).ceil() * 20.0))
        .collect();
    let fit = fit(
        &Sample::from_rows(&tied).expect("a sample"),
        &Model::smooth(),
    )
    .expect("a fit");
    assert!(fit.convergence().converged, "{:?}", fit.convergence());
}

#[test]
fn models_that_cannot_be() {
    let rows = people(400, 1);
    let good = Model::smooth();
    for bad in [
        Model {
            m: Shape::Polynomial(7),
            ..good
        },
        Model {
            s: Shape::Spline(1),
            ..good
        },
        Model {
            l: Shape::Spline(61),
            ..good
        },
        Model {
            smoothing: Smoothing::Gaic(0.0),
            ..good
        },
        Model {
            smoothing: Smoothing::Fixed([1.0, -1.0, 1.0]),
            ..good
        },
        Model {
            age_scale: Some((13.0, 0.0)),
            ..good
        },
        Model {
            iterations: 0,
            ..good
        },
    ] {
        assert!(!words(&rows, &bad).is_empty());
    }
}

#[test]
fn nothing_outside_the_ages() {
    let fit = fit(
        &Sample::from_rows(&people(500, 1)).expect("a sample"),
        &Model::smooth(),
    );
    let fit = fit.expect("a fit");
    let (first, last) = fit.ages();
    for age in [first - 0.001, last + 0.001, f64::NAN, f64::INFINITY] {
        assert!(fit.centile(age, 0.0, SE_LIMIT).is_err());
        assert!(fit.growth(0.0, first, age).is_err());
    }
    assert!(fit.centile(first, 0.0, 9.0).is_ok());
    assert!(fit.centile(last, 0.0, 9.0).is_ok());
    assert!(fit.centile(13.0, f64::NAN, SE_LIMIT).is_err());
    assert!(fit.centile(13.0, 0.0, 0.0).is_err());
}

/// 120 people settle the median at 13 but no outer centile at 8.
#[test]
fn uncertain_centiles_are_refused() {
    let fit = fit(
        &Sample::from_rows(&people(120, 1)).expect("a sample"),
        &Model::smooth(),
    );
    let fit = fit.expect("a fit");
    assert!(fit.centile(13.0, 0.0, SE_LIMIT).is_ok());
    let refused = fit
        .centile(fit.ages().0, -2.33, SE_LIMIT)
        .expect_err("uncertain");
    assert!(refused.to_string().contains("allowed is 0.25"), "{refused}");
}

/// A fit cut short says so, and no centile is read from it.
#[test]
fn a_fit_cut_short_says_so() {
    let sample = Sample::from_rows(&people(500, 1)).expect("a sample");
    let model = Model {
        iterations: 2,
        ..Model::smooth()
    };
    let fit = fit(&sample, &model).expect("a fit with its record");
    let record = fit.convergence();
    assert!(!record.converged);
    assert_eq!(record.iterations, 2);
    assert_eq!(record.stop, Stop::Smoothness);
    let refused = fit.centile(13.0, 0.0, SE_LIMIT).expect_err("not converged");
    assert!(
        refused
            .to_string()
            .contains("did not converge after 2 steps"),
        "{refused}"
    );
    let _: Lms = fit.at(13.0).expect("the curves may be looked at");
}

/// Values from 1e-200 to 1e200 are handled or refused in words.
#[test]
fn extreme_units() {
    for scale in [1e-200, 1e-30, 1e30, 1e200] {
        let rows: Vec<Row> = people(200, 1)
            .iter()
            .map(|r| Row {
                value: scale * r.value,
                ..*r
            })
            .collect();
        let fit = fit(
            &Sample::from_rows(&rows).expect("a sample"),
            &Model::smooth(),
        );
        let centile = fit.and_then(|fit| fit.centile(13.0, 0.0, SE_LIMIT));
        assert!(
            centile.is_ok_and(|c| c.value.is_finite() && c.se > 0.0),
            "{scale}"
        );
    }
}
