//! Properties that hold for any numbers.

use plimsoll_measure::change::{Comparison, log_change, shrink, true_score};
use plimsoll_measure::dist;
use plimsoll_measure::error::{
    IccForm, agreement, icc, icc_interval, log_error, mean_squares, repeatability, typical_error,
    typical_error_of_trials,
};
use plimsoll_measure::norms::{CentileTable, Lms, Place, standing};
use proptest::prelude::*;

/// Rounding of sums over a few dozen values, relative.
const ROUNDING: f64 = 1e-9;

fn df() -> impl Strategy<Value = Option<f64>> {
    prop_oneof![Just(None), (1.0..500.0).prop_map(Some)]
}

fn pairs() -> impl Strategy<Value = (Vec<f64>, Vec<f64>)> {
    prop::collection::vec((100.0..3000.0, 100.0..3000.0), 3..30)
        .prop_map(|rows| rows.into_iter().unzip())
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= ROUNDING * a.abs().max(b.abs()).max(1.0)
}

proptest! {
    #[test]
    fn chances_sum_to_one(d in -500.0..500.0, te in 0.1..200.0, swc in 0.0..200.0, df in df()) {
        let c = Comparison::new(te, df, 1, 1).expect("ok").chance(d, swc).expect("ok");
        prop_assert!((c.up + c.trivial + c.down - 1.0).abs() < 1e-12);
        for p in [c.up, c.trivial, c.down, c.any_up] {
            prop_assert!((0.0..=1.0).contains(&p));
        }
    }

    #[test]
    fn turning_the_sign_swaps_up_and_down(
        d in -500.0..500.0, te in 0.1..200.0, swc in 0.0..200.0, df in df()
    ) {
        let pair = Comparison::new(te, df, 1, 2).expect("ok");
        let (a, b) = (pair.chance(d, swc).expect("ok"), pair.chance(-d, swc).expect("ok"));
        prop_assert!((a.up - b.down).abs() < 1e-14 && (a.down - b.up).abs() < 1e-14);
        prop_assert!((a.trivial - b.trivial).abs() < 1e-14);
    }

    #[test]
    fn chances_do_not_depend_on_the_unit(
        d in -500.0..500.0, te in 0.1..200.0, swc in 0.0..200.0, df in df(), unit in 0.001..1000.0
    ) {
        let a = Comparison::new(te, df, 1, 1).expect("ok").chance(d, swc).expect("ok");
        let b = Comparison::new(te * unit, df, 1, 1).expect("ok").chance(d * unit, swc * unit);
        let b = b.expect("ok");
        prop_assert!((a.up - b.up).abs() < 1e-9 && (a.down - b.down).abs() < 1e-9);
    }

    #[test]
    fn a_larger_rise_is_never_less_likely_up(d in -300.0..300.0, more in 0.0..100.0, df in df()) {
        let pair = Comparison::new(40.0, df, 1, 1).expect("ok");
        let (a, b) = (pair.chance(d, 20.0).expect("ok"), pair.chance(d + more, 20.0).expect("ok"));
        prop_assert!(b.up >= a.up - 1e-14 && b.down <= a.down + 1e-14);
    }

    #[test]
    fn log_changes_swap_when_time_turns_round(
        from in 200.0..3000.0, to in 200.0..3000.0, cv in 0.5..20.0, swc in 0.0..10.0
    ) {
        let a = log_change(from, to, cv, None, (1, 1)).expect("ok").chance(swc).expect("ok");
        let b = log_change(to, from, cv, None, (1, 1)).expect("ok").chance(swc).expect("ok");
        prop_assert!((a.up - b.down).abs() < 1e-12 && (a.trivial - b.trivial).abs() < 1e-12);
    }

    #[test]
    fn an_interval_holds_its_middle_and_grows_with_the_level(
        d in -500.0..500.0, te in 0.1..200.0, df in df()
    ) {
        let pair = Comparison::new(te, df, 1, 1).expect("ok");
        let narrow = pair.interval(d, 0.80).expect("ok");
        let wide = pair.interval(d, 0.95).expect("ok");
        prop_assert!(narrow.contains(d) && wide.half_width() > narrow.half_width());
        prop_assert!(near(wide.half_width(), pair.detectable(0.95).expect("ok")));
    }

    #[test]
    fn errors_ignore_a_shift_and_follow_a_scale(
        (first, second) in pairs(), shift in -50.0..50.0, scale in 0.01..100.0
    ) {
        let plain = typical_error(&first, &second).expect("ok").value;
        let moved: Vec<f64> = second.iter().map(|v| v + shift).collect();
        prop_assert!(near(typical_error(&first, &moved).expect("ok").value, plain));
        let by = |list: &[f64]| list.iter().map(|v| v * scale).collect::<Vec<f64>>();
        let scaled = typical_error(&by(&first), &by(&second)).expect("ok").value;
        prop_assert!(near(scaled / scale, plain));
        let cv = log_error(&first, &second).expect("ok").cv_percent();
        prop_assert!(near(log_error(&by(&first), &by(&second)).expect("ok").cv_percent(), cv));
    }

    #[test]
    fn two_trials_give_the_same_error_both_ways((first, second) in pairs()) {
        let rows: Vec<Vec<f64>> = first.iter().zip(&second).map(|(&a, &b)| vec![a, b]).collect();
        let by_pairs = typical_error(&first, &second).expect("ok");
        let by_anova = typical_error_of_trials(&rows).expect("ok");
        prop_assert!(near(by_pairs.value, by_anova.value) && near(by_pairs.df, by_anova.df));
    }

    #[test]
    fn anova_repeatability_is_rms_over_root_two((first, second) in pairs()) {
        let r = repeatability(&first, &second).expect("ok");
        prop_assert!(near(r.within_sd_anova * std::f64::consts::SQRT_2, r.sd_about_zero));
    }

    #[test]
    fn swapping_methods_turns_the_limits_round((first, second) in pairs()) {
        let a = agreement(&first, &second).expect("ok");
        let b = agreement(&second, &first).expect("ok");
        let (low, high) = a.limits(1.96).expect("ok");
        let (back_low, back_high) = b.limits(1.96).expect("ok");
        prop_assert!(near(low, -back_high) && near(high, -back_low));
    }

    #[test]
    fn a_correlation_is_at_most_one_and_in_its_interval((first, second) in pairs()) {
        let rows: Vec<Vec<f64>> = first.iter().zip(&second).map(|(&a, &b)| vec![a, b]).collect();
        let squares = mean_squares(&rows).expect("ok");
        let value = icc(&squares, IccForm::Consistency).expect("ok").value;
        prop_assert!(value <= 1.0 && icc_interval(&squares, 0.95).expect("ok").contains(value));
    }

    #[test]
    fn shrinking_lands_between_prior_and_data(
        d in -500.0..500.0, te in 1.0..100.0, mean in -50.0..50.0, sd in 1.0..100.0
    ) {
        let pair = Comparison::new(te, None, 1, 1).expect("ok");
        let got = shrink(&pair, d, mean, sd).expect("ok");
        prop_assert!(got.mean >= d.min(mean) - 1e-9 && got.mean <= d.max(mean) + 1e-9);
        prop_assert!(got.sd <= sd && got.sd <= pair.se());
        let c = got.chance(10.0).expect("ok");
        prop_assert!((c.up + c.trivial + c.down - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_true_score_lies_between_score_and_mean(
        x in 0.0..3000.0, mean in 0.0..3000.0, sd in 1.0..500.0, r in 0.0..=1.0
    ) {
        let got = true_score(x, mean, sd, r).expect("ok");
        prop_assert!(got.expected >= x.min(mean) - 1e-9 && got.expected <= x.max(mean) + 1e-9);
        prop_assert!(got.sd_retest >= got.sd_true - 1e-12);
    }

    #[test]
    fn quantile_and_probability_undo_each_other(p in 0.0001..0.9999, df in df()) {
        let t = dist::student_quantile(p, df).expect("ok");
        prop_assert!((dist::student_cdf(t, df).expect("ok") - p).abs() < 1e-11);
        let mirrored = dist::student_quantile(1.0 - p, df).expect("ok");
        prop_assert!((t + mirrored).abs() < 1e-6 * t.abs().max(1.0));
    }

    #[test]
    fn lms_and_its_inverse_undo_each_other(
        l in -3.0..3.0, m in 1.0..2000.0, s in 0.02..0.25, z in -1.2..1.2
    ) {
        let lms = Lms::new(l, m, s).expect("ok");
        let value = lms.value_at(z).expect("ok");
        prop_assert!((lms.standing(value).expect("ok").z - z).abs() < 1e-9);
        let same = Lms::new(l, m * 7.0, s).expect("ok").standing(value * 7.0).expect("ok").z;
        prop_assert!((same - z).abs() < 1e-9);
    }

    #[test]
    fn a_z_ignores_shift_and_scale(
        x in -100.0..100.0, mean in -100.0..100.0, sd in 1.0..50.0,
        shift in -50.0..50.0, scale in 0.01..100.0
    ) {
        let a = standing(x, mean, sd).expect("ok").z;
        let b = standing((x + shift) * scale, (mean + shift) * scale, sd * scale).expect("ok").z;
        prop_assert!((a - b).abs() < 1e-9);
    }

    #[test]
    fn a_normal_table_gives_the_normal_z(z in -1.64_f64..1.64) {
        let rows: Vec<(f64, f64)> = [5.0, 25.0, 50.0, 75.0, 95.0]
            .iter()
            .map(|&p| (p, 2000.0 + 350.0 * dist::normal_quantile(p / 100.0).expect("ok")))
            .collect();
        let place = CentileTable::new(&rows).expect("ok").place(2000.0 + 350.0 * z).expect("ok");
        let got = match place {
            Place::Within(at) => at.z,
            Place::Below(_) | Place::Above(_) => f64::NAN,
        };
        prop_assert!((got - z).abs() < 1e-9);
    }

    #[test]
    fn distributions_answer_or_refuse(
        p in 0.0..=1.0_f64, a in prop::num::f64::ANY, b in prop::num::f64::ANY, z in prop::num::f64::ANY
    ) {
        let answers = [
            dist::chi_square_quantile(p, a),
            dist::f_quantile(p, a, b),
            dist::student_quantile(p, Some(a)),
            dist::student_quantile(p, None),
            dist::student_cdf(z, Some(a)),
            dist::student_cdf(z, None),
        ];
        for answer in answers.into_iter().flatten() {
            prop_assert!(answer.is_finite());
        }
    }

    #[test]
    fn distributions_on_everyday_degrees_of_freedom(
        p in 0.0001..0.9999_f64, a in 0.01..1e6_f64, b in 0.01..1e6_f64
    ) {
        let _ = dist::f_quantile(p, a, b);
        let chi = dist::chi_square_quantile(p, a).expect("a quantile");
        prop_assert!(chi >= 0.0);
    }

    #[test]
    fn no_numbers_make_a_nan_or_a_panic(
        a in prop::num::f64::ANY, b in prop::num::f64::ANY, c in prop::num::f64::ANY,
        d in prop::num::f64::ANY
    ) {
        if let Ok(pair) = Comparison::new(a, Some(b), 1, 1) {
            if let Ok(chance) = pair.chance(c, d) {
                prop_assert!(chance.up.is_finite() && chance.trivial.is_finite());
                prop_assert!(chance.down.is_finite() && chance.any_up.is_finite());
            }
            if let Ok(interval) = pair.interval(c, 0.9) {
                prop_assert!(interval.lower.is_finite() && interval.upper.is_finite());
            }
            if let Ok(shrunk) = shrink(&pair, c, d, a) {
                prop_assert!(shrunk.mean.is_finite() && shrunk.sd.is_finite());
            }
        }
        if let Ok(change) = log_change(a, b, c, None, (1, 1)) {
            prop_assert!(!change.percent().is_nan());
            if let Ok((up, down)) = change.detectable_percent(0.95) {
                prop_assert!(up.is_finite() && down.is_finite());
            }
        }
        if let Ok(lms) = Lms::new(a, b, c) {
            if let Ok(at) = lms.standing(d) {
                prop_assert!(at.z.is_finite() && at.centile.is_finite());
            }
            if let Ok(value) = lms.value_at(d) {
                prop_assert!(value.is_finite());
            }
        }
        if let Ok(error) = typical_error(&[a, b], &[c, d]) {
            prop_assert!(error.value.is_finite());
        }
        if let Ok(both) = agreement(&[a, b], &[c, d]) {
            prop_assert!(both.mean_difference.is_finite() && both.sd.is_finite());
        }
        if let Ok(score) = true_score(a, b, c, d) {
            prop_assert!(score.expected.is_finite() && score.sd_retest.is_finite());
        }
        if let Ok(at) = standing(a, b, c) {
            prop_assert!(at.z.is_finite());
        }
    }
}
