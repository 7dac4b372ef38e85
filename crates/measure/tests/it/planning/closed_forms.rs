//! Tails, order statistics, counts and retests against their closed forms.

use plimsoll_measure::dist::normal_cdf;
use plimsoll_measure::planning::{
    RetestPlan, Rungs, alone, chance_seen, count_of, hazard, hazard_with_misses, last_stop, retest,
    squad_predictions, stops, survival, together, within,
};

use super::{rungs, runner};

/// Sums of products of doubles.
const TINY: f64 = 1e-12;

#[test]
fn survival_is_a_normal_tail_and_the_results_add_up_to_one() {
    let (rungs, runner) = (rungs(60), runner(1_000.0, 0.15));
    let survival = survival(&runner, &rungs);
    let stops = stops(&runner, &rungs);
    assert_eq!((survival.len(), stops.len()), (61, 61));
    assert!((stops.iter().sum::<f64>() - 1.0).abs() < TINY);
    for k in 1..=60 {
        let z = ((k as f64 * 40.0).ln() - 1_000_f64.ln()) / 0.15;
        let tail = normal_cdf(-z).expect("finite");
        assert!((survival[k] - tail).abs() < TINY, "{k}");
        let rest: f64 = stops[k..].iter().sum();
        assert!((rest - tail).abs() < TINY, "{k}: {rest} {tail}");
    }
}

#[test]
fn the_hazard_is_the_share_of_those_still_running_and_keeps_its_digits_in_the_tail() {
    let (rungs, runner) = (rungs(200), runner(1_000.0, 0.10));
    let survival = survival(&runner, &rungs);
    for done in [0, 10, 20, 25, 40] {
        let p = hazard(&runner, &rungs, done).expect("on the ladder");
        let ratio = 1.0 - survival[done + 1] / survival[done];
        assert!((p - ratio).abs() < 1e-9, "{done}: {p} {ratio}");
    }
    // Far beyond: the tail of the normal falls like exp(-z dz - dz^2 / 2) z0 / z1.
    let (z0, z1) = (
        (4_000_f64 / 1_000.0).ln() / 0.10,
        (4_040_f64 / 1_000.0).ln() / 0.10,
    );
    let mills = |z: f64| (1.0 - 1.0 / (z * z) + 3.0 / z.powi(4)) / z;
    let ratio = (-(z1 * z1 - z0 * z0) / 2.0).exp() * mills(z1) / mills(z0);
    let p = hazard(&runner, &rungs, 100).expect("on the ladder");
    assert!((p - (1.0 - ratio)).abs() < 1e-4, "{p} {ratio}");
    assert_eq!(hazard(&runner, &rungs, 200), None);
    // As good as impossible: taken to stop now, not 0 / 0.
    let sure = super::runner(100.0, 0.0);
    assert_eq!(hazard(&sure, &rungs, 150), Some(1.0));
    assert_eq!(hazard(&sure, &rungs, 1), Some(0.0));
}

#[test]
fn the_best_of_equal_runners_follows_the_power_of_the_distribution_function() {
    let (rungs, runner) = (rungs(60), runner(1_000.0, 0.15));
    let one = stops(&runner, &rungs);
    let all = vec![one.clone(); 24];
    let last = last_stop(&all);
    assert!((last.iter().sum::<f64>() - 1.0).abs() < TINY);
    let (mut f, mut g) = (0.0, 0.0);
    for (k, (p, q)) in one.iter().zip(&last).enumerate() {
        f += p;
        g += q;
        assert!((g - f.powi(24)).abs() < 1e-10, "{k}: {g}");
    }
}

#[test]
fn counts_of_equal_chances_are_binomial() {
    let count = count_of(&[0.3; 10]).expect("chances");
    let mut choose = 1.0;
    for k in 0..=10_usize {
        let exact = choose * 0.3_f64.powi(k as i32) * 0.7_f64.powi(10 - k as i32);
        assert!((count.chances[k] - exact).abs() < TINY, "{k}");
        choose *= (10 - k) as f64 / (k + 1) as f64;
    }
    assert!((count.mean - 3.0).abs() < TINY);
    assert_eq!((count.most_likely(), count.quantile(0.5)), (3, 3));
    assert!((count.any() - (1.0 - 0.7_f64.powi(10))).abs() < TINY);
    let none = count_of(&[]).expect("nobody");
    assert_eq!((none.chances, none.mean), (vec![1.0], 0.0));
}

#[test]
fn alone_and_together_by_hand() {
    // Two runners on three bouts: one stops after 1 or 2 bouts, the other at 0 or at the end.
    let a = vec![0.0, 0.25, 0.75, 0.0];
    let b = vec![0.5, 0.0, 0.0, 0.5];
    // Bout 1 is begun by both. Bout 2: a runs, b with 1/2. Bout 3: a 3/4, b 1/2.
    let expected = 0.5 + (0.75 * 0.5 + 0.25 * 0.5);
    assert!((alone(&[a.clone(), b.clone()]) - expected).abs() < TINY);
    assert!((alone(std::slice::from_ref(&a)) - 2.75).abs() < TINY);
    assert_eq!(alone(&[]), 0.0);
    // b stops in the first bout; a in the second with 1/4. The end is no stop.
    assert!((together(&a, &b) - 0.5 * 0.25).abs() < TINY);
    assert!((together(&a, &a) - (0.25 * 1.0 + 0.75 * 1.0)).abs() < TINY);
    assert!((within(&[b], 1)[0] - 0.5).abs() < TINY);
}

#[test]
fn misses_multiply_the_odds() {
    let p = hazard_with_misses(0.2, 1, 4.0, 0.02).expect("chances");
    assert!((p - 0.5).abs() < TINY, "odds 1/4 times 4: {p}");
    assert_eq!(hazard_with_misses(0.2, 0, 4.0, 0.02).expect("chances"), 0.2);
    let raised = hazard_with_misses(0.0, 1, 4.0, 0.02).expect("chances");
    assert!((raised - 0.08 / (0.98 + 0.08)).abs() < TINY);
    let many = hazard_with_misses(0.5, u32::MAX, 1e6, 0.0).expect("chances");
    assert!((0.0..=1.0).contains(&many));
}

#[test]
fn a_prediction_is_pulled_by_its_reliability() {
    // Five people one apart: observed variance 2.5; error variance 0.5 in each single result.
    let earlier: Vec<Vec<f64>> = [5.0, 6.0, 7.0, 8.0, 9.0].map(|v| vec![v]).to_vec();
    let mut with_newcomer = earlier.clone();
    with_newcomer.push(Vec::new());
    let squad = squad_predictions(&with_newcomer, 0.5_f64.sqrt()).expect("numbers");
    assert!((squad.mean - 7.0).abs() < TINY);
    assert!((squad.between.expect("five") - 2_f64.sqrt()).abs() < TINY);
    let first = squad.runners[0].expect("known");
    assert!((first.mean() - (7.0 - 2.0 * 0.8)).abs() < TINY);
    // True level: 2 (1 - 0.8); next error 0.5.
    assert!((first.sd() - 0.9_f64.sqrt()).abs() < TINY);
    let newcomer = squad.runners[5].expect("drawn from the squad");
    assert!((newcomer.mean() - 7.0).abs() < TINY && (newcomer.sd() - 2.5_f64.sqrt()).abs() < TINY);
    // Under five: each alone, newcomers unknown.
    let few = squad_predictions(&[vec![7.0, 7.2], vec![]], 0.1).expect("numbers");
    let one = few.runners[0].expect("known");
    assert!((one.mean() - 7.1).abs() < TINY && (one.sd() - 0.015_f64.sqrt()).abs() < TINY);
    assert_eq!((few.runners[1], few.between), (None, None));
}

/// Source: interpretation notes of the project, "Re-test timing": gap = MDC / expected weekly gain;
/// MDC = 1.96 root 2 TE = 2.77 TE.
#[test]
fn the_gap_is_the_detectable_change_over_the_gain() {
    let plan = RetestPlan {
        typical_error: 100.0,
        weekly_gain: 50.0,
        trials: 1,
        level: 0.95,
        chance: 0.80,
    };
    let found = retest(&plan).expect("numbers");
    assert!(
        (found.detectable - 277.18).abs() < 0.01,
        "{}",
        found.detectable
    );
    assert!((found.weeks_even - 5.5436).abs() < 1e-3);
    assert!((chance_seen(&plan, found.weeks_even).expect("numbers") - 0.5).abs() < TINY);
    assert!((chance_seen(&plan, found.weeks_likely).expect("numbers") - 0.8).abs() < 1e-9);
    let four = RetestPlan { trials: 4, ..plan };
    let better = retest(&four).expect("numbers");
    assert!((better.detectable - found.detectable / 2.0).abs() < 1e-9);
}

#[test]
fn a_score_stands_for_the_middle_of_its_bout() {
    let rungs = rungs(10);
    assert!((rungs.middle_ln(0) - 20_f64.ln()).abs() < TINY);
    assert!((rungs.middle_ln(5) - 220_f64.ln()).abs() < TINY);
    assert!((rungs.middle_ln(10) - 420_f64.ln()).abs() < TINY);
    assert_eq!((rungs.bouts_by(124.0), rungs.bouts_at(400.0)), (4, 10));
    assert_eq!((rungs.out_by(0), rungs.out_by(10)), (25.0, 250.0));
    assert!(Rungs::new(vec![1.0], vec![1.0]).is_ok());
}
