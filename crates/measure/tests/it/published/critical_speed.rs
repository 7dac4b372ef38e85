//! Source: tests/golden/critical_speed.json (scipy 1.17.1, statsmodels 0.15.0, numpy 2.4.6) on
//! track records to 2006 as listed in the DAAG data, and on invented trials and a trend.

use plimsoll_measure::critical::{
    Bout, CriticalFit, CriticalWarning, Method, Trial, balance, critical_fits,
};
use plimsoll_measure::robust::{
    KendallBasis, QuantileType, deviation_from_median, huber, kendall, quantile, siegel, theil_sen,
    trimmed_mean,
};
use plimsoll_measure::{Interval, fit};
use serde_json::Value;

use crate::golden::{FULL_PRECISION, close, json, number, numbers, rows};

const FILE: &str = include_str!("../../golden/critical_speed.json");
const RECORDS: &str = include_str!("../../golden/track_records_cs.csv");

/// The library's optimiser stops at a relative step of 1e-8; its numbers are good to about that.
const OPTIMISER: f64 = 1e-6;
/// The library stops its reweighting at a change of 1e-8.
const REWEIGHTING: f64 = 1e-6;
/// Errors of order 1e-13 m on exact lines: rounding of the library, not a number to match.
const EXACT_LINE: f64 = 1e-9;

fn trials(entry: &Value) -> Vec<Trial> {
    rows(entry, "data")
        .iter()
        .map(|row| Trial {
            distance: row[0].as_f64().expect("m"),
            time: row[1].as_f64().expect("s"),
        })
        .collect()
}

const SETS: [&str; 3] = [
    "track_records_800_5000",
    "track_records_1500_5000",
    "three_trial",
];

#[track_caller]
fn ends(what: &str, got: Option<Interval>, want: &Value) {
    let got = got.unwrap_or_else(|| panic!("{what}: no interval"));
    close(
        what,
        got.lower,
        want[0].as_f64().expect("n"),
        FULL_PRECISION,
    );
    close(
        what,
        got.upper,
        want[1].as_f64().expect("n"),
        FULL_PRECISION,
    );
}

fn each(check: impl Fn(&str, &dyn Fn(Method) -> CriticalFit, &Value)) {
    let file = json(FILE);
    for set in SETS {
        let entry = &file[set];
        let found = critical_fits(&trials(entry), 0.95).expect("fits");
        assert_eq!(
            found.fits.len(),
            Method::ALL.len(),
            "{set}: {:?}",
            found.refused
        );
        let by = |method| *found.by(method).expect("a fit");
        check(set, &by, &entry["fits"]);
    }
}

#[test]
fn distance_on_time_with_errors_and_intervals() {
    each(|set, by, fits| {
        let (got, want) = (by(Method::DistanceOnTime), &fits["distance_on_time"]);
        close(set, got.speed, number(want, "CS"), FULL_PRECISION);
        close(set, got.distance, number(want, "Dprime"), FULL_PRECISION);
        let se = (got.speed_se.expect("se"), got.distance_se.expect("se"));
        close(set, se.0, number(want, "se_slope"), FULL_PRECISION);
        close(set, se.1, number(want, "se_intercept"), FULL_PRECISION);
        ends(set, got.speed_interval, &want["ci95_slope"]);
        ends(set, got.distance_interval, &want["ci95_intercept"]);
    });
}

#[test]
fn speed_on_inverse_time_with_errors_and_intervals() {
    each(|set, by, fits| {
        let (got, want) = (
            by(Method::SpeedOnInverseTime),
            &fits["speed_on_inverse_time"],
        );
        close(set, got.speed, number(want, "CS"), FULL_PRECISION);
        close(set, got.distance, number(want, "Dprime"), FULL_PRECISION);
        ends(set, got.speed_interval, &want["ci95_intercept"]);
        ends(set, got.distance_interval, &want["ci95_slope"]);
    });
}

#[test]
fn time_on_distance_and_the_interval_of_its_slope() {
    each(|set, by, fits| {
        let (got, want) = (by(Method::TimeOnDistance), &fits["time_on_distance"]);
        close(set, got.speed, number(want, "CS"), FULL_PRECISION);
        close(set, got.distance, number(want, "Dprime"), FULL_PRECISION);
        let slope = numbers(want, "ci95_slope");
        let interval = got.speed_interval.expect("an interval");
        close(set, 1.0 / interval.upper, slope[0], FULL_PRECISION);
        close(set, 1.0 / interval.lower, slope[1], FULL_PRECISION);
    });
}

#[test]
fn nonlinear_with_errors() {
    each(|set, by, fits| {
        let (got, want) = (by(Method::TimeOnSpeed), &fits["nonlinear_time_on_speed"]);
        assert!(got.convergence.expect("a record").converged, "{set}");
        close(set, got.speed, number(want, "CS"), OPTIMISER);
        close(set, got.distance, number(want, "Dprime"), OPTIMISER);
        let se = numbers(want, "se");
        close(set, got.speed_se.expect("se"), se[0], OPTIMISER);
        close(set, got.distance_se.expect("se"), se[1], OPTIMISER);
    });
}

#[test]
fn robust_lines() {
    each(|set, by, fits| {
        let (got, want) = (by(Method::TheilSen), &fits["theil_sen_distance_on_time"]);
        close(set, got.speed, number(want, "CS"), FULL_PRECISION);
        close(set, got.distance, number(want, "Dprime"), FULL_PRECISION);
        if set == "three_trial" {
            // Three pairs cannot hold 95 %: no interval rather than one that is too narrow.
            assert_eq!(got.speed_interval, None);
        } else {
            ends(set, got.speed_interval, &want["ci95_slope"]);
        }
        let (got, want) = (by(Method::Siegel), &fits["siegel_distance_on_time"]);
        close(set, got.speed, number(want, "CS"), FULL_PRECISION);
        close(set, got.distance, number(want, "Dprime"), FULL_PRECISION);
    });
    let file = json(FILE);
    for set in SETS {
        let (t, d): (Vec<f64>, Vec<f64>) = trials(&file[set])
            .iter()
            .map(|trial| (trial.time, trial.distance))
            .unzip();
        let got = theil_sen(&t, &d, 0.95).expect("a line");
        let want = &file[set]["fits"]["theil_sen_joint_intercept"];
        close(
            set,
            got.line.intercept,
            number(want, "Dprime"),
            FULL_PRECISION,
        );
        let want = &file[set]["fits"]["theil_sen_distance_on_time"];
        let ends = numbers(want, "ci95_slope");
        let interval = got.slope_interval.interval;
        close(set, interval.lower, ends[0], FULL_PRECISION);
        close(set, interval.upper, ends[1], FULL_PRECISION);
    }
}

/// The CSV holds the records that the JSON was made from, and with 800 m the fits part.
#[test]
fn records_as_a_table_and_their_spread() {
    let mut reader = csv::Reader::from_reader(RECORDS.as_bytes());
    let table: Vec<Trial> = reader
        .records()
        .map(|row| {
            let row = row.expect("a row");
            let field = |k: usize| row[k].parse::<f64>().expect("a number");
            Trial {
                distance: field(0),
                time: field(1),
            }
        })
        .collect();
    assert_eq!(table, trials(&json(FILE)["track_records_800_5000"]));
    let all = critical_fits(&table, 0.95).expect("fits");
    close("lowest", all.speeds.0, 6.356_545_006_486_892, OPTIMISER);
    close(
        "highest",
        all.speeds.1,
        6.463_647_667_220_638,
        FULL_PRECISION,
    );
    let apart = |w: &&CriticalWarning| matches!(w, CriticalWarning::SpeedsApart { .. });
    assert!(all.warnings.iter().any(|w| apart(&w)), "{:?}", all.warnings);
    let longer = critical_fits(&table[2..], 0.95).expect("fits");
    assert!(
        !longer.warnings.iter().any(|w| apart(&w)),
        "{:?}",
        longer.warnings
    );
}

#[test]
fn two_trials_give_the_line_and_no_interval() {
    let entry = &json(FILE)["two_trial"];
    let found = critical_fits(&trials(entry), 0.95).expect("a line");
    assert_eq!(found.warnings, [CriticalWarning::NoInterval]);
    for fit in &found.fits {
        let what = fit.method.words();
        close(what, fit.speed, number(entry, "CS"), FULL_PRECISION);
        close(what, fit.distance, number(entry, "Dprime"), OPTIMISER);
        assert_eq!((fit.speed_se, fit.speed_interval), (None, None), "{what}");
        assert_eq!(
            (fit.distance_se, fit.distance_interval),
            (None, None),
            "{what}"
        );
    }
}

#[test]
fn an_exact_line_is_found_by_all() {
    let entry = &json(FILE)["exact"];
    let (time, distance) = (numbers(entry, "time"), numbers(entry, "distance"));
    let trials: Vec<Trial> = distance
        .iter()
        .zip(&time)
        .map(|(&distance, &time)| Trial { distance, time })
        .collect();
    let found = critical_fits(&trials, 0.95).expect("fits");
    assert_eq!(found.fits.len(), Method::ALL.len(), "{:?}", found.refused);
    for fit in &found.fits {
        close(
            fit.method.words(),
            fit.speed,
            number(entry, "CS"),
            EXACT_LINE,
        );
        close(
            fit.method.words(),
            fit.distance,
            number(entry, "Dprime"),
            EXACT_LINE,
        );
    }
    assert!(found.warnings.is_empty(), "{:?}", found.warnings);
}

#[test]
fn balance_over_five_bouts() {
    let entry = &json(FILE)["dprime_balance_differential"];
    let want = numbers(entry, "at_bout_end");
    let list: Vec<(f64, f64)> = rows(entry, "bouts")
        .iter()
        .map(|b| (b[0].as_f64().expect("s"), b[1].as_f64().expect("m/s")))
        .collect();
    // Work and recovery alternate: five stretches are two bouts with their recoveries and one more.
    let bouts: Vec<Bout> = list
        .chunks(2)
        .map(|pair| Bout {
            speed: pair[0].1,
            duration: pair[0].0,
            recovery_speed: pair.get(1).map_or(0.0, |r| r.1),
            recovery: pair.get(1).map_or(0.0, |r| r.0),
        })
        .collect();
    let cs = number(entry, "CS");
    let got = balance(cs, number(entry, "Dprime"), &bouts).expect("a balance");
    assert_eq!((got.left.len(), got.emptied), (3, None));
    let flat: Vec<f64> = got
        .left
        .iter()
        .flat_map(|left| [left.after_bout, left.after_recovery])
        .collect();
    for (k, want) in want.iter().enumerate() {
        close("left", flat[k], *want, FULL_PRECISION);
    }
    close("lowest", got.lowest, 49.715_036_409_219_98, FULL_PRECISION);
}

#[test]
fn trend_of_twenty_points_with_two_wild_ones() {
    let entry = &json(FILE)["trend_20pts"];
    let (t, y) = (numbers(entry, "t"), numbers(entry, "y"));
    let got = theil_sen(&t, &y, 0.95).expect("a line");
    let want = &entry["theil_sen"];
    close(
        "slope",
        got.line.slope,
        number(want, "slope"),
        FULL_PRECISION,
    );
    close(
        "intercept",
        got.separate_intercept,
        number(want, "intercept"),
        FULL_PRECISION,
    );
    assert!(got.slope_interval.reaches_level);
    ends("interval", Some(got.slope_interval.interval), &want["ci95"]);
    let got = siegel(&t, &y).expect("a line");
    close(
        "slope",
        got.slope,
        number(&entry["siegel"], "slope"),
        FULL_PRECISION,
    );
    close(
        "intercept",
        got.intercept,
        number(&entry["siegel"], "intercept"),
        FULL_PRECISION,
    );
    let got = kendall(&t, &y).expect("a tau");
    assert_eq!(got.basis, KendallBasis::Exact);
    close(
        "tau",
        got.tau,
        number(&entry["kendall"], "tau"),
        FULL_PRECISION,
    );
    close("p", got.p, number(&entry["kendall"], "p"), 1e-15);
    let got = fit::line(&t, &y).expect("a line");
    close(
        "slope",
        got.slope,
        number(&entry["ols"], "slope"),
        FULL_PRECISION,
    );
    close(
        "error",
        got.slope_se.expect("se"),
        number(&entry["ols"], "se_slope"),
        FULL_PRECISION,
    );
}

#[test]
fn huber_line_of_the_trend() {
    let entry = &json(FILE)["trend_20pts"];
    let got = huber(&numbers(entry, "t"), &numbers(entry, "y")).expect("a line");
    let want = &entry["huber"];
    let (params, se) = (numbers(want, "params"), numbers(want, "se"));
    close("intercept", got.intercept, params[0], REWEIGHTING);
    close("slope", got.slope, params[1], REWEIGHTING);
    close("scale", got.scale, number(want, "scale"), REWEIGHTING);
    close("error", got.intercept_se, se[0], REWEIGHTING);
    close("error", got.slope_se, se[1], REWEIGHTING);
}

#[test]
fn quantiles_of_three_types_and_robust_places() {
    let entry = &json(FILE)["trend_20pts"];
    let y = numbers(entry, "y");
    for (kind, name) in [
        (QuantileType::Six, "quantiles_type6"),
        (QuantileType::Seven, "quantiles_type7"),
        (QuantileType::Eight, "quantiles_type8"),
    ] {
        let wanted = entry[name].as_object().expect("quantiles");
        assert_eq!(wanted.len(), 7);
        for (p, want) in wanted {
            let got = quantile(&y, p.parse().expect("a share"), kind).expect("a quantile");
            close(
                &format!("{name} {p}"),
                got,
                want.as_f64().expect("n"),
                FULL_PRECISION,
            );
        }
    }
    let at = |p| quantile(&y, p, QuantileType::Seven).expect("a quantile");
    close(
        "iqr",
        at(0.75) - at(0.25),
        number(entry, "iqr_linear"),
        FULL_PRECISION,
    );
    close("median", at(0.5), number(entry, "median"), FULL_PRECISION);
    let got = deviation_from_median(&y).expect("a deviation");
    close(
        "deviation",
        got,
        number(entry, "mad_normalised"),
        FULL_PRECISION,
    );
    let got = trimmed_mean(&y, 0.10).expect("a mean");
    close(
        "trimmed",
        got,
        number(entry, "trimmed_mean_10"),
        FULL_PRECISION,
    );
}
