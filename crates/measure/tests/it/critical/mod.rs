//! Critical speed and robust lines: laws and degenerate input.

use plimsoll_measure::MeasureError;
use plimsoll_measure::critical::{
    Bout, CriticalWarning, Method, Trial, balance, bouts_until, critical_fits,
};
use plimsoll_measure::robust::{
    KendallBasis, QuantileType, huber, kendall, quantile, siegel, theil_sen, trimmed_mean,
};
use proptest::prelude::*;

/// Sums of a handful of numbers of size 1000.
const ROUNDING: f64 = 1e-7;
/// The library (scipy 1.17.1) prints p to ten digits here.
const PRINTED: f64 = 1e-9;

fn runs(pairs: &[(f64, f64)]) -> Vec<Trial> {
    pairs
        .iter()
        .map(|&(distance, time)| Trial { distance, time })
        .collect()
}

proptest! {
    /// Trials on a line, in any order: every fit gives the line back.
    #[test]
    fn any_line_is_found_again(
        cs in 2.0..6.5_f64,
        d in 50.0..400.0_f64,
        times in prop::collection::btree_set(2_u32..15, 3..7),
        back in any::<bool>(),
    ) {
        let mut trials: Vec<Trial> = times.iter().map(|m| {
            let time = f64::from(*m) * 60.0;
            Trial { distance: d + cs * time, time }
        }).collect();
        if back { trials.reverse(); }
        let found = critical_fits(&trials, 0.90).expect("fits");
        prop_assert_eq!(found.fits.len(), 6, "{:?}", found.refused);
        for fit in &found.fits {
            prop_assert!((fit.speed - cs).abs() < ROUNDING, "{:?}", fit);
            prop_assert!((fit.distance - d).abs() < ROUNDING * 1e3, "{:?}", fit);
        }
        prop_assert!(found.warnings.is_empty(), "{:?}", found.warnings);
    }

    /// Metres to yards: CS and D′ scale, whatever the noise.
    #[test]
    fn the_unit_of_distance_does_not_matter(
        noise in prop::collection::vec(-0.01..0.01_f64, 4),
        factor in 0.5..2.0_f64,
    ) {
        let base: Vec<Trial> = [150.0, 300.0, 500.0, 720.0].iter().zip(&noise)
            .map(|(&time, e)| Trial { distance: (180.0 + 4.2 * time) * (1.0 + e), time }).collect();
        let scaled: Vec<Trial> = base.iter()
            .map(|t| Trial { distance: t.distance * factor, time: t.time }).collect();
        let (a, b) = (critical_fits(&base, 0.95).expect("a"), critical_fits(&scaled, 0.95).expect("b"));
        for fit in &a.fits {
            let other = b.by(fit.method).expect("the same fit");
            prop_assert!((fit.speed * factor - other.speed).abs() < ROUNDING * 10.0);
            prop_assert!((fit.distance * factor - other.distance).abs() < ROUNDING * 1e4);
        }
    }

    /// The balance never leaves 0 to D′ and never forgets where it ran out.
    #[test]
    fn the_balance_stays_within_its_bounds(
        list in prop::collection::vec((0.0..9.0_f64, 1.0..120.0_f64, 0.0..5.0_f64, 0.0..120.0_f64), 1..20),
    ) {
        let bouts: Vec<Bout> = list.iter().map(|&(speed, duration, recovery_speed, recovery)| Bout {
            speed, duration, recovery_speed, recovery,
        }).collect();
        let found = balance(4.0, 200.0, &bouts).expect("a balance");
        prop_assert!((0.0..=200.0).contains(&found.lowest));
        for left in &found.left {
            prop_assert!((0.0..=200.0).contains(&left.after_bout));
            prop_assert!((0.0..=200.0).contains(&left.after_recovery));
        }
        match found.emptied {
            None => prop_assert_eq!(found.left.len(), bouts.len()),
            Some(end) => {
                prop_assert_eq!(end.bout, found.left.len() + 1);
                prop_assert!(end.after >= 0.0 && end.after.is_finite());
            }
        }
    }

    /// One wild point among nine moves neither robust slope out of the range of the others.
    #[test]
    fn one_wild_point_is_not_followed(at in 0_usize..9, wild in -1e4..1e4_f64) {
        let x: Vec<f64> = (0..9).map(f64::from).collect();
        let mut y: Vec<f64> = x.iter().map(|v| 2.0 * v + 1.0).collect();
        y[at] = wild;
        prop_assert!((theil_sen(&x, &y, 0.95).expect("a line").line.slope - 2.0).abs() < ROUNDING);
        prop_assert!((siegel(&x, &y).expect("a line").slope - 2.0).abs() < ROUNDING);
    }

    /// The exact and the approximate chance of a tau are near each other from 30 points on.
    #[test]
    fn both_chances_of_a_tau_agree(order in Just((0..40).collect::<Vec<u32>>()).prop_shuffle()) {
        let x: Vec<f64> = (0..40).map(f64::from).collect();
        let y: Vec<f64> = order.into_iter().map(f64::from).collect();
        let exact = kendall(&x, &y).expect("a tau");
        prop_assert_eq!(exact.basis, KendallBasis::Exact);
        prop_assert!((0.0..=1.0).contains(&exact.p));
        // One tied pair far away makes it take the approximation.
        let (mut x2, mut y2) = (x, y);
        x2.extend([100.0, 100.0]);
        y2.extend([100.0, 100.5]);
        let near = kendall(&x2, &y2).expect("a tau");
        prop_assert_eq!(near.basis, KendallBasis::Normal);
        prop_assert!((near.tau - exact.tau).abs() < 0.15);
    }
}

/// Small cases that can be counted by hand: of the 6 orders of 3, one has tau 1 and one tau -1.
#[test]
fn chances_of_tau_by_hand() {
    let up = kendall(&[1.0, 2.0, 3.0], &[1.0, 2.0, 3.0]).expect("a tau");
    assert!((up.tau - 1.0).abs() < PRINTED && (up.p - 1.0 / 3.0).abs() < PRINTED);
    // Of the 24 orders of 4, one has no inversion and three have one: 2 * 4 / 24.
    let one = kendall(&[1.0, 2.0, 3.0, 4.0], &[1.0, 2.0, 4.0, 3.0]).expect("a tau");
    assert!((one.tau - 2.0 / 3.0).abs() < PRINTED && (one.p - 1.0 / 3.0).abs() < PRINTED);
}

#[test]
fn trials_that_do_not_slow_are_warned_of_or_refused() {
    // The longest was run fastest.
    let found = critical_fits(
        &runs(&[(1200.0, 300.0), (2400.0, 590.0), (3600.0, 850.0)]),
        0.95,
    )
    .expect("the customary line");
    assert!(
        found
            .warnings
            .contains(&CriticalWarning::Implausible(Method::DistanceOnTime))
    );
    let (_, why) = found
        .refused
        .iter()
        .find(|(method, _)| *method == Method::TimeOnSpeed)
        .expect("the nonlinear fit refuses");
    assert_eq!(
        why.to_string(),
        "critical speed by time on speed has no value here: no speed between 0 and that of the \
         slowest trial explains the times: the longer trials were not slower; repeat a trial"
    );
}

#[test]
fn degenerate_trials_are_refused_in_words() {
    let refused = |pairs: &[(f64, f64)]| critical_fits(&runs(pairs), 0.95).expect_err("refused");
    assert!(matches!(
        refused(&[]),
        MeasureError::TooFew { found: 0, .. }
    ));
    assert!(matches!(
        refused(&[(1200.0, 240.0)]),
        MeasureError::TooFew { found: 1, .. }
    ));
    assert!(matches!(
        refused(&[(1200.0, 240.0), (1200.0, 240.0), (1300.0, 240.0)]),
        MeasureError::NoSpread { .. }
    ));
    assert_eq!(
        refused(&[(1200.0, 0.0), (2400.0, 500.0)]).to_string(),
        "time of a trial (s) is 0; allowed is any number above 0; correct the value"
    );
    assert!(matches!(
        refused(&[(f64::NAN, 240.0), (2400.0, 500.0)]),
        MeasureError::NotFinite { .. }
    ));
    assert!(matches!(
        refused(&vec![(1.0, 1.0); 201]),
        MeasureError::TooMany { found: 201, .. }
    ));
    // Same distance twice in different times: a spread in time is enough.
    assert!(
        critical_fits(
            &runs(&[(1200.0, 240.0), (1200.0, 250.0), (2400.0, 520.0)]),
            0.95
        )
        .is_ok()
    );
}

#[test]
fn a_session_that_empties_the_reserve_says_where() {
    let bout = Bout {
        speed: 5.0,
        duration: 60.0,
        recovery_speed: 0.0,
        recovery: 30.0,
    };
    // 60 m a bout; 4 m/s of pause over a reserve of 100 m refills 70 % of the gap in 30 s.
    let found = balance(4.0, 100.0, &[bout; 3]).expect("a balance");
    assert!((found.left[0].after_bout - 40.0).abs() < ROUNDING);
    let refilled = 100.0 - 60.0 * (-0.04_f64 * 30.0).exp();
    assert!((found.left[0].after_recovery - refilled).abs() < ROUNDING);
    let long = Bout {
        duration: 300.0,
        ..bout
    };
    let emptied = balance(4.0, 100.0, &[long]).expect("a balance").emptied;
    let end = emptied.expect("empty");
    assert_eq!((end.bout, end.in_recovery), (1, false));
    assert!((end.after - 100.0).abs() < ROUNDING);
    assert_eq!(bouts_until(4.0, 100.0, bout, 0.7, 20).expect("a count"), 1);
    assert_eq!(bouts_until(4.0, 100.0, bout, 0.5, 20).expect("a count"), 0);
    // Below critical speed nothing is spent.
    let easy = Bout { speed: 3.9, ..bout };
    assert_eq!(bouts_until(4.0, 100.0, easy, 0.7, 20).expect("a count"), 20);
    assert!(balance(4.0, 100.0, &[]).is_err());
    assert!(balance(4.0, -1.0, &[bout]).is_err());
    assert!(
        balance(
            4.0,
            100.0,
            &[Bout {
                duration: 0.0,
                ..bout
            }]
        )
        .is_err()
    );
    assert!(bouts_until(4.0, 100.0, bout, 1.5, 20).is_err());
}

#[test]
fn degenerate_lists_are_refused_in_words() {
    assert!(theil_sen(&[1.0, 1.0], &[1.0, 2.0], 0.95).is_err());
    assert!(siegel(&[1.0], &[1.0]).is_err());
    assert!(theil_sen(&[1.0, 2.0], &[1.0], 0.95).is_err());
    assert!(theil_sen(&vec![0.0; 2_001], &vec![0.0; 2_001], 0.95).is_err());
    assert!(kendall(&[1.0, 1.0], &[1.0, 2.0]).is_err());
    assert!(kendall(&[1.0], &[1.0]).is_err());
    assert!(quantile(&[], 0.5, QuantileType::Seven).is_err());
    assert!(quantile(&[1.0], 1.5, QuantileType::Seven).is_err());
    assert_eq!(quantile(&[3.0], 0.05, QuantileType::Six), Ok(3.0));
    assert!(trimmed_mean(&[1.0, 2.0], 0.5).is_err());
    assert_eq!(
        huber(&[1.0, 2.0, 3.0], &[2.0, 4.0, 6.0])
            .expect_err("no scale")
            .to_string(),
        "the errors about the line do not differ at all, so no error or spread can be worked out; \
         most points lie on one line: take the least-squares or the Theil-Sen line"
    );
}
