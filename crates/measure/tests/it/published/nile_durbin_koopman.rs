//! Source: Durbin & Koopman 2012, Time Series Analysis by State Space Methods, chapter 2: annual
//! flow of the Nile at Aswan 1871-1970 (public domain); numbers from statsmodels 0.15.0.

use plimsoll_measure::level::{
    Learning, Model, Observation, Outcome, Parameter, PriorWidth, Series, Start, Test, fit_squad,
    kalman, posterior,
};
use serde_json::Value;

use crate::golden::{FULL_PRECISION, close, close_relative, json, number, numbers, rows};

const DATA: &str = include_str!("../../golden/nile.csv");
const NUMBERS: &str = include_str!("../../golden/nile_kalman.json");

/// The aim set for the grid, in smoothed SDs.
const GRID: f64 = 1e-3;
/// Three optimisers agree to 3e-6; the likelihood is flat there.
const OPTIMISERS: f64 = 5e-6;
/// The golden variances come from a library that is 3e-10 off an independent filter.
const LIBRARY_VARIANCE: f64 = 1e-9;

fn nile() -> Series {
    let mut reader = csv::Reader::from_reader(DATA.as_bytes());
    let seen: Vec<Observation> = reader
        .records()
        .map(|row| {
            let row = row.expect("a row");
            let field = |k: usize| row[k].parse::<f64>().expect("a number");
            Observation::plain(field(0), 0, Outcome::Exact(field(1)))
        })
        .collect();
    assert_eq!(seen.len(), 100);
    Series::new(seen).expect("a series")
}

fn model(error_variance: f64, drift: f64) -> Model {
    let test = Test::anchor(error_variance.sqrt());
    Model::new(Start::Diffuse, drift, vec![test], Learning::NONE).expect("a model")
}

fn fixed() -> Value {
    json(NUMBERS)["fixed_DK"].clone()
}

/// Source: section 2.2 to 2.4, figures 2.1 and 2.2.
#[test]
fn filtered_and_smoothed_levels() {
    let found = kalman(&model(15099.0, 1469.1), &nile()).expect("levels");
    let golden = fixed();
    for row in rows(&golden, "points") {
        let t = number(row, "t") as usize - 1;
        let year = format!("{}", found.weeks[t]);
        close_relative(
            &year,
            found.filtered[t].mean,
            number(row, "filtered"),
            FULL_PRECISION,
        );
        let variance = number(row, "filtered_var");
        close_relative(
            &year,
            found.filtered[t].variance,
            variance,
            LIBRARY_VARIANCE,
        );
        close_relative(
            &year,
            found.smoothed[t].mean,
            number(row, "smoothed"),
            FULL_PRECISION,
        );
        let variance = number(row, "smoothed_var");
        close_relative(
            &year,
            found.smoothed[t].variance,
            variance,
            LIBRARY_VARIANCE,
        );
        if t == 0 {
            assert_eq!(found.predicted[0], None, "a diffuse start predicts nothing");
        } else {
            let ahead = found.predicted[t].expect("a prediction");
            close_relative(&year, ahead.mean, number(row, "predicted"), FULL_PRECISION);
            close_relative(
                &year,
                ahead.variance,
                number(row, "predicted_var"),
                LIBRARY_VARIANCE,
            );
        }
    }
    let likelihood = number(&golden, "loglik_exact_diffuse_n_minus_1_terms");
    close(
        "log likelihood",
        found.log_likelihood,
        likelihood,
        FULL_PRECISION,
    );
}

/// Source: section 2.9, forecasts.
#[test]
fn forecasts_after_the_last_year() {
    let (model, series, golden) = (model(15099.0, 1469.1), nile(), fixed());
    let posterior = posterior(&model, &series).expect("a posterior");
    for (years, field) in [
        (1.0, "next_prediction_state_var"),
        (10.0, "forecast_10_ahead_state_var"),
    ] {
        let level = posterior.level_at(1970.0 + years, 0.9).expect("a level");
        let sd = number(&golden, field).sqrt();
        assert!((level.mean - number(&golden, "next_prediction")).abs() < GRID * sd);
        assert!((level.sd - sd).abs() < GRID * sd, "{years} ahead");
    }
    let next = posterior
        .outlook(1971.0, 0, None, plimsoll_measure::level::Normal::ZERO)
        .expect("an outlook");
    let sd = number(&golden, "next_obs_var").sqrt();
    assert!((next.mean - number(&golden, "next_prediction")).abs() < GRID * sd);
    assert!((next.sd - sd).abs() < GRID * sd);
    let upper = next.quantile(0.95).expect("a quantile");
    assert!((upper - next.mean - 1.644_853_626_951 * sd).abs() < GRID * sd);
}

/// Source: table 2.1: log likelihood over the ratio of the variances, the error's put in.
#[test]
fn table_2_1_of_the_concentrated_likelihood() {
    let (golden, series) = (json(NUMBERS), nile());
    for row in rows(&golden, "concentrated_loglik_constants_dropped") {
        let q = number(row, "q");
        // With error variance s: L(s) = -99/2 ln 2 pi - 99/2 ln s - F - S/(2 s).
        let at = |s: f64| {
            kalman(&model(s, q * s), &series)
                .expect("levels")
                .log_likelihood
        };
        let scaled = |s: f64| at(s) + 49.5 * s.ln();
        let squares = 2.0 * (scaled(2e4) - scaled(1e4)) / (1.0 / 1e4 - 1.0 / 2e4);
        let best = squares / 99.0;
        close_relative(
            "error variance",
            best,
            number(row, "sigma2_eps_hat"),
            FULL_PRECISION,
        );
        let constants = 49.5 * ((2.0 * std::f64::consts::PI).ln() + 1.0);
        let got = at(best) + constants;
        close_relative(
            &format!("q {q}"),
            got,
            number(row, "loglik"),
            FULL_PRECISION,
        );
    }
}

/// Source: section 2.10.2: maximum likelihood.
#[test]
fn maximum_likelihood_estimates() {
    let golden = json(NUMBERS)["ml"].clone();
    let fit = fit_squad(&model(1e4, 1e3), &[nile()], &PriorWidth::FLAT, 1).expect("a fit");
    assert!(fit.record.converged, "{:?}", fit.record);
    let value = |what: Parameter| {
        let one = fit
            .estimates
            .iter()
            .find(|one| one.parameter == what)
            .expect("an estimate");
        assert!(one.se.expect("an error") > 0.0);
        one.value
    };
    let error = value(Parameter::Error(0)).powi(2);
    let drift = value(Parameter::Drift);
    let own = &golden["independent"];
    close_relative(
        "error variance",
        error,
        number(own, "sigma2_eps"),
        OPTIMISERS,
    );
    close_relative("drift", drift, number(own, "sigma2_eta"), OPTIMISERS);
    close(
        "likelihood",
        fit.log_likelihood,
        number(own, "loglik"),
        FULL_PRECISION,
    );
    let other = numbers(&golden["statsmodels_exact_diffuse"], "params");
    close_relative("error variance, statsmodels", error, other[0], OPTIMISERS);
    close_relative("drift, statsmodels", drift, other[1], OPTIMISERS);
    assert!((error - 15098.52).abs() < 0.05 && (drift - 1469.17).abs() < 0.01);
}

/// The grid against the exact filter, for every year and for pairs of years.
#[test]
fn the_grid_agrees_with_the_exact_filter() {
    let (model, series) = (model(15099.0, 1469.1), nile());
    let exact = kalman(&model, &series).expect("levels");
    let grid = posterior(&model, &series).expect("a posterior");
    for (level, want) in grid
        .levels(0.9)
        .expect("levels")
        .iter()
        .zip(&exact.smoothed)
    {
        let sd = want.variance.sqrt();
        assert!((level.mean - want.mean).abs() < GRID * sd, "{}", level.week);
        assert!((level.sd - sd).abs() < GRID * sd, "{}", level.week);
        let half = 1.644_853_626_951_473 * sd;
        assert!(
            (level.interval.lower - (want.mean - half)).abs() < GRID * sd,
            "{}",
            level.week
        );
        assert!(
            (level.interval.upper - (want.mean + half)).abs() < GRID * sd,
            "{}",
            level.week
        );
    }
    assert!((grid.log_likelihood() - exact.log_likelihood).abs() < 1e-6);
    for (a, b) in [(0, 1), (27, 28), (28, 27), (10, 60), (0, 99)] {
        let want = exact.change(a, b).expect("a change");
        let got = grid
            .change(exact.weeks[a], exact.weeks[b])
            .expect("a change");
        let sd = want.variance.sqrt();
        assert!((got.mean - want.mean).abs() < GRID * sd, "{a} to {b}");
        assert!((got.sd - sd).abs() < GRID * sd, "{a} to {b}");
        let chance = got.chance(30.0).expect("chances");
        let up = plimsoll_measure::dist::normal_cdf((want.mean - 30.0) / sd).expect("a chance");
        assert!((chance.up - up).abs() < GRID, "{a} to {b}");
    }
}
