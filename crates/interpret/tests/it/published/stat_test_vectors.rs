//! Source: tests/golden/stat_test_vectors.json, entries `probability_of_change_normal`,
//! `critical_speed` and `shuttle_distance`.

use super::near;
use plimsoll_interpret::change::{ChangeContext, QuickRequest, quick_change};
use plimsoll_interpret::speeds::{critical_speed, shuttle_work};
use plimsoll_interpret::{Person, Size};

const FILE: &str = include_str!("../../golden/stat_test_vectors.json");

/// Probabilities are printed to three decimals.
const THREE_DECIMALS: f64 = 5.001e-4;
/// Speeds and distances are printed to six and two decimals.
const SIX_DECIMALS: f64 = 1e-6;
const TWO_DECIMALS: f64 = 0.0051;

fn file() -> serde_json::Value {
    serde_json::from_str(FILE).expect("JSON")
}

#[test]
fn chances_with_an_error_in_metres_and_in_km_h() {
    let (file, all, person) = (file(), crate::catalogue(), Person::default());
    let rows = file["probability_of_change_normal"]
        .as_array()
        .expect("rows")
        .clone();
    assert_eq!(rows.len(), 4);
    for row in rows {
        let number = |field: &str| row[field].as_f64().expect("a number");
        let (test, from) = if number("observed") > 10.0 {
            ("ir1", 1600.0)
        } else {
            ("int30_15_40", 18.0)
        };
        let context = ChangeContext {
            error: Some(Size::InUnit(number("typical_error"))),
            worthwhile: Some(Size::InUnit(number("swc"))),
            ..ChangeContext::new(test, &person)
        };
        let request = QuickRequest {
            context,
            from,
            to: from + number("observed"),
        };
        let got = quick_change(&all, &request).expect("an answer");
        near(got.p_up.expect("up"), number("p_higher"), THREE_DECIMALS);
        near(
            got.p_trivial.expect("trivial"),
            number("p_trivial"),
            THREE_DECIMALS,
        );
        near(got.p_down.expect("down"), number("p_lower"), THREE_DECIMALS);
    }
}

#[test]
fn critical_speed_of_three_runs() {
    let file = file();
    let row = &file["critical_speed"];
    let list = |field: &str| -> Vec<f64> {
        row[field]
            .as_array()
            .expect("a list")
            .iter()
            .map(|v| v.as_f64().expect("n"))
            .collect()
    };
    let trials: Vec<(f64, f64)> = list("distances_m")
        .into_iter()
        .zip(list("times_s"))
        .collect();
    let got = critical_speed(&trials).expect("a speed");
    near(
        got.speed_m_s,
        row["CS_m_s"].as_f64().expect("n"),
        SIX_DECIMALS,
    );
    near(
        got.distance_m,
        row["D_prime_m"].as_f64().expect("n"),
        SIX_DECIMALS * 10.0,
    );
}

#[test]
fn shuttle_distance_with_turns() {
    let file = file();
    let row = &file["shuttle_distance"];
    let number = |field: &str| row[field].as_f64().expect("a number");
    let got = shuttle_work(
        number("speed_m_s"),
        number("time_s"),
        number("lane_m"),
        number("turn_loss_s"),
    )
    .expect("a distance");
    near(got.straight_m, number("straight_m"), TWO_DECIMALS);
    near(got.shuttle_m, number("shuttle_m"), TWO_DECIMALS);
    assert_eq!(f64::from(got.turns), number("turns"));
}
