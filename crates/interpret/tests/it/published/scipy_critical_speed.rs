//! Source: tests/golden/critical_speed.json (scipy 1.17.1, statsmodels 0.15.0).

use super::near;
use plimsoll_interpret::speeds::{CriticalSpeed, critical_speed, critical_speed_inverse_time};
use serde_json::Value;

const FILE: &str = include_str!("../../golden/critical_speed.json");

/// Full double precision on both sides; sums over a handful of runs.
const FULL_PRECISION: f64 = 1e-9;

fn trials(entry: &Value) -> Vec<(f64, f64)> {
    let rows = entry["data"].as_array().expect("runs");
    rows.iter()
        .map(|r| (r[0].as_f64().expect("m"), r[1].as_f64().expect("s")))
        .collect()
}

#[track_caller]
fn same(got: &CriticalSpeed, fit: &Value, speed: &str, distance: &str) {
    let number = |field: &str| fit[field].as_f64().expect("a number");
    near(got.speed_m_s, number(speed), FULL_PRECISION * 10.0);
    near(got.distance_m, number(distance), FULL_PRECISION * 200.0);
    let se = |value: Option<f64>| value.expect("an error");
    near(
        se(got.speed_se),
        number(&format!("se_{speed}")),
        FULL_PRECISION,
    );
    near(
        se(got.distance_se),
        number(&format!("se_{distance}")),
        FULL_PRECISION * 10.0,
    );
}

#[test]
fn both_lines_on_records_and_three_runs() {
    let file: Value = serde_json::from_str(FILE).expect("JSON");
    for name in [
        "track_records_800_5000",
        "track_records_1500_5000",
        "three_trial",
    ] {
        let entry = &file[name];
        let runs = trials(entry);
        let fits = &entry["fits"];
        let got = critical_speed(&runs).expect("a speed");
        same(&got, &fits["distance_on_time"], "slope", "intercept");
        let got = critical_speed_inverse_time(&runs).expect("a speed");
        same(&got, &fits["speed_on_inverse_time"], "intercept", "slope");
    }
}

#[test]
fn two_runs_give_no_error() {
    let file: Value = serde_json::from_str(FILE).expect("JSON");
    let got = critical_speed(&trials(&file["two_trial"])).expect("a speed");
    near(
        got.speed_m_s,
        file["two_trial"]["CS"].as_f64().expect("n"),
        FULL_PRECISION,
    );
    near(
        got.distance_m,
        file["two_trial"]["Dprime"].as_f64().expect("n"),
        FULL_PRECISION * 200.0,
    );
    assert_eq!((got.speed_se, got.distance_se, got.runs), (None, None, 2));
}
