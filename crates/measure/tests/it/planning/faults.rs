//! Bad input is a worded fault, never a panic, an infinity or a silent zero.

use plimsoll_measure::planning::{
    RetestPlan, Rungs, Runner, chance_seen, count_of, hazard_with_misses, last_stop, retest,
    share_out, split_waves, squad_predictions,
};

use super::{rungs, runner};

fn said<T: std::fmt::Debug>(result: Result<T, plimsoll_measure::MeasureError>) -> String {
    result.expect_err("refused").to_string()
}

#[test]
fn ladders_that_do_not_rise_or_match_are_refused() {
    assert!(said(Rungs::new(vec![], vec![])).contains("at least 1 needed"));
    assert!(said(Rungs::new(vec![40.0, 40.0], vec![1.0, 2.0])).contains("value 2 of the list"));
    assert!(said(Rungs::new(vec![0.0], vec![1.0])).contains("value 1 of the list (0)"));
    assert!(said(Rungs::new(vec![1.0], vec![1.0, 2.0])).contains("1 and 2 values"));
    assert!(said(Rungs::new(vec![f64::NAN], vec![1.0])).contains("not a finite number"));
}

#[test]
fn runners_chances_and_errors_out_of_range_are_refused() {
    for (mean, sd) in [
        (f64::NAN, 0.1),
        (7.0, -0.1),
        (7.0, f64::INFINITY),
        (1e9, 0.1),
    ] {
        assert!(Runner::new(mean, sd).is_err(), "{mean} {sd}");
    }
    assert!(said(count_of(&[0.2, 1.2])).contains("chance is 1.2"));
    assert!(hazard_with_misses(f64::NAN, 1, 4.0, 0.0).is_err());
    assert!(hazard_with_misses(0.1, 1, 0.5, 0.0).is_err());
    assert!(said(squad_predictions(&[vec![], vec![]], 0.1)).contains("found 0, at least 1"));
    assert!(squad_predictions(&[vec![f64::NAN]], 0.1).is_err());
    assert!(squad_predictions(&[vec![7.0]], -1.0).is_err());
    assert_eq!(last_stop(&[]), Vec::<f64>::new());
}

#[test]
fn equal_results_of_a_squad_leave_only_the_error() {
    let same = vec![vec![7.0]; 6];
    let squad = squad_predictions(&same, 0.1).expect("numbers");
    assert_eq!(squad.between, Some(0.0));
    let one = squad.runners[0].expect("known");
    assert!((one.mean() - 7.0).abs() < 1e-12 && (one.sd() - 0.1).abs() < 1e-12);
    let exact = squad_predictions(&same, 0.0).expect("numbers");
    assert_eq!(exact.runners[0].expect("known").sd(), 0.0);
}

#[test]
fn plans_that_cannot_end_say_so() {
    let plan = RetestPlan {
        typical_error: 100.0,
        weekly_gain: 0.01,
        trials: 1,
        level: 0.95,
        chance: 0.8,
    };
    assert!(said(retest(&plan)).contains("more than ten years"));
    let none = RetestPlan {
        weekly_gain: 0.0,
        ..plan
    };
    assert!(retest(&none).is_err() && chance_seen(&none, 4.0).is_err());
    let without = RetestPlan { trials: 0, ..plan };
    assert!(said(retest(&without)).contains("trials on each occasion"));
    assert!(chance_seen(&plan, -1.0).is_err());
}

#[test]
fn lists_that_do_not_match_are_refused() {
    let one = plimsoll_measure::planning::stops(&runner(500.0, 0.1), &rungs(20));
    assert!(share_out(std::slice::from_ref(&one), &[], 1).is_err());
    assert!(split_waves(&[one], &[2], 1, 3).is_err());
    let nobody = share_out(&[], &[], 1).expect("nobody is fine");
    assert_eq!(nobody.best.cost, 0.0);
}
