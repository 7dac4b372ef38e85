//! Speed and heart-rate helpers: identities and faults.

use plimsoll_interpret::equations::{CodeForm, Inputs, Refusal};
use plimsoll_interpret::speeds::{
    SpeedReserve, all_out_speed, critical_speed, critical_speed_3min, heart_rate_at, shuttle_work,
    time_above_critical_speed,
};

use crate::catalogue;

/// Double rounding only.
const EXACT: f64 = 1e-9;

#[test]
fn a_run_at_the_fitted_line_lasts_its_own_time() {
    let line = critical_speed(&[(684.0, 120.0), (936.0, 180.0), (2700.0, 600.0)]).expect("a line");
    let time = time_above_critical_speed(&line, 2700.0 / 600.0).expect("a time");
    assert!((time - 600.0).abs() < 1e-6, "{time}");
    let message = time_above_critical_speed(&line, 4.0)
        .expect_err("too slow")
        .to_string();
    assert_eq!(
        message,
        "speed (m/s) is 4; allowed is a speed above the critical speed; correct the value"
    );
}

#[test]
fn three_minutes_all_out() {
    let got = critical_speed_3min(4.0, 5.2).expect("a speed");
    assert!((got.speed_m_s - 4.0).abs() < EXACT && (got.distance_m - 180.0).abs() < EXACT);
    assert!(critical_speed_3min(5.0, 4.0).is_err());
}

#[test]
fn share_and_speed_undo_each_other() {
    let reserve = SpeedReserve::new(4.5, 8.5).expect("a reserve");
    assert!((reserve.reserve_m_s() - 4.0).abs() < EXACT);
    assert!((reserve.share_at(reserve.speed_at(0.25)) - 0.25).abs() < EXACT);
    let short = all_out_speed(&reserve, 3.0).expect("a speed");
    let long = all_out_speed(&reserve, 240.0).expect("a speed");
    assert!(short < 8.5 && short > 8.3 && long > 4.5 && long < 4.7);
    assert!(all_out_speed(&reserve, 2.0).is_err() && all_out_speed(&reserve, 300.0).is_err());
    assert!(SpeedReserve::new(5.0, 5.0).is_err() && SpeedReserve::new(f64::NAN, 5.0).is_err());
}

#[test]
fn faults_are_worded() {
    assert!(critical_speed(&[(1200.0, 240.0)]).is_err());
    assert!(critical_speed(&[(1200.0, 240.0), (1300.0, 240.0)]).is_err());
    assert!(critical_speed(&[(1200.0, -1.0), (1300.0, 240.0)]).is_err());
    assert!(heart_rate_at(60.0, 50.0, 0.5).is_err() && heart_rate_at(60.0, 190.0, 1.5).is_err());
    assert!(shuttle_work(5.0, 15.0, 5.0, 0.7).is_err());
    assert!(shuttle_work(f64::INFINITY, 15.0, 20.0, 0.7).is_err());
    // Turns that cost more time than there is leave no distance, and end.
    assert!(
        shuttle_work(9.0, 300.0, 10.0, 30.0)
            .expect("a distance")
            .shuttle_m
            >= 0.0
    );
}

/// Every equation that is a function names one, and says so when evaluated as terms.
#[test]
fn every_function_has_its_equation() {
    let all = catalogue();
    let mut found: Vec<CodeForm> = all.equations.iter().filter_map(|e| e.code).collect();
    for equation in all.equations.iter().filter(|e| e.code.is_some()) {
        let refused = equation
            .evaluate(&Inputs::default())
            .expect_err("a function");
        assert_eq!(refused, Refusal::OwnFunction);
    }
    found.dedup();
    assert_eq!(found.len(), 8, "{found:?}");
}
