//! Source: tests/golden/lms_synthetic.csv and .json: invented data (800 rows) and the maximum of
//! the LMS likelihood found with scipy 1.17.1; R's optim gave the same to 7 digits.

use plimsoll_measure::growth::{Curve, Model, Row, Sample, fit, residuals};

use crate::golden::{close, close_relative, json, number, numbers};

const DATA: &str = include_str!("../../golden/lms_synthetic.csv");
const FILE: &str = include_str!("../../golden/lms_synthetic.json");

/// The general optimiser behind the file stops at about seven digits.
const COEFFICIENTS: f64 = 1e-4;
/// The file's errors come from a numeric second derivative.
const ERRORS: f64 = 1e-3;
/// At the top the likelihood is flat: an error of 1e-5 in a coefficient changes it by 1e-9.
const LIKELIHOOD: f64 = 1e-6;
/// A value's relative error from coefficients good to 1e-5.
const VALUES: f64 = 1e-5;
/// z of single rows, from coefficients good to 1e-5 and S = 0.15.
const Z: f64 = 1e-4;

/// Returns the rows of the file.
pub fn data() -> Vec<Row> {
    let rows: Vec<Row> = csv::Reader::from_reader(DATA.as_bytes())
        .deserialize()
        .map(|row| {
            let (age, value): (f64, f64) = row.expect("age and value");
            Row::new(age, value)
        })
        .collect();
    assert_eq!(rows.len(), 800);
    rows
}

/// Returns the model of the file: L constant, M quadratic, ln S linear in (age - 13) / 10.
pub fn model() -> Model {
    Model {
        age_scale: Some((13.0, 10.0)),
        ..Model::polynomial(0, 2, 1)
    }
}

/// Source: entries `params`, `loglik`.
#[test]
fn coefficients_errors_and_likelihood() {
    let file = json(FILE);
    let sample = Sample::from_rows(&data()).expect("a sample");
    let fit = fit(&sample, &model()).expect("a fit");
    assert!(fit.convergence().converged, "{:?}", fit.convergence());
    let want = numbers(&file["params"], "mle");
    let errors = numbers(&file["params"], "se");
    let mut got = Vec::new();
    for curve in [Curve::L, Curve::M, Curve::S] {
        // The file gives M in thousands.
        let unit = if curve == Curve::M { 1000.0 } else { 1.0 };
        let pairs = fit
            .coefficients(curve)
            .iter()
            .zip(fit.standard_errors(curve));
        got.extend(pairs.map(|(c, se)| (c / unit, se / unit)));
    }
    assert_eq!(got.len(), want.len());
    for (index, (coefficient, error)) in got.into_iter().enumerate() {
        close("coefficient", coefficient, want[index], COEFFICIENTS);
        close_relative("error", error, errors[index], ERRORS);
    }
    close_relative(
        "logLik",
        fit.log_likelihood(),
        number(&file, "loglik"),
        LIKELIHOOD / 5e3,
    );
    assert_eq!(fit.effective_df().map(f64::round), [1.0, 3.0, 2.0]);
}

/// Source: entries `centiles`, `z_first5`, `z_mean` to `z_kurtosis_excess`.
#[test]
fn centiles_and_z() {
    let file = json(FILE);
    let rows = data();
    let sample = Sample::from_rows(&rows).expect("a sample");
    let fit = fit(&sample, &model()).expect("a fit");
    for (age, row) in file["centiles"].as_object().expect("ages") {
        // DIFFERENCE: the file also prints ages just outside the data; we do not extend a curve.
        let age: f64 = age.parse().expect("an age");
        let (first, last) = fit.ages();
        if age < first || age > last {
            assert!(fit.at(age).is_err());
            continue;
        }
        let lms = fit.at(age).expect("an LMS");
        let (l, m, s) = lms.parts();
        close("L", l, number(row, "L"), COEFFICIENTS);
        close_relative("M", m, number(row, "M"), VALUES);
        close_relative("S", s, number(row, "S"), COEFFICIENTS);
        for centile in ["3", "10", "25", "50", "75", "90", "97"] {
            let value = lms
                .value_at_centile(centile.parse().expect("p"))
                .expect("a value");
            close_relative(centile, value, number(row, &format!("c{centile}")), VALUES);
        }
    }
    for (row, want) in rows.iter().zip(numbers(&file, "z_first5")) {
        let got = fit
            .at(row.age)
            .expect("an LMS")
            .standing(row.value)
            .expect("z");
        close("z", got.z, want, Z);
    }
    let all = residuals(&sample, &fit)
        .expect("z")
        .groups(8)
        .expect("groups")
        .all;
    close("mean", all.mean, number(&file, "z_mean"), Z);
    close("sd", all.sd, number(&file, "z_sd"), 1e-3);
    close("skewness", all.skewness, number(&file, "z_skew"), 1e-3);
    close(
        "kurtosis",
        all.excess_kurtosis,
        number(&file, "z_kurtosis_excess"),
        1e-3,
    );
}

/// Source: scipy 1.17.1 on the z of the file's coefficients: anderson, kstest with the mean and SD
/// of these z, kurtosistest.
#[test]
fn shape_of_z() {
    let sample = Sample::from_rows(&data()).expect("a sample");
    let fit = fit(&sample, &model()).expect("a fit");
    let groups = residuals(&sample, &fit)
        .expect("z")
        .groups(8)
        .expect("groups");
    let whole = groups.shape().expect("checks")[0];
    close("A^2", whole.anderson_darling, 0.138_285_832_971_973_84, Z);
    close("gap", whole.gap, 0.018_524_430_291_537_94, Z);
    close("p", whole.kurtosis_p, 0.447_252_750_909_912_7, 1e-3);
    // Far below 0.2 in A^2, where Stephens' p is above 0.97.
    assert!(whole.p > 0.97 && whole.alarm.is_none(), "{whole:?}");
}
