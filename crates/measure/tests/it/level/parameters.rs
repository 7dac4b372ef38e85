//! Parameters from simulated squads, and what happens with too few results.

use plimsoll_measure::level::{
    Estimate, Learning, Model, Normal, Observation, Outcome, Parameter, PriorWidth, Series,
    SquadFit, Start, StopReason, Test, fit_squad,
};

use super::random::Random;
use super::{bouts, series};

/// Estimates lie within so many of their standard errors.
const SURE: f64 = 3.0;

/// Truth: error 0.06, drift 0.0003, first trial -0.05, group 7.3 with SD 0.18.
fn squad(people: usize, seed: u64, whole: bool) -> Vec<Series> {
    let mut random = Random::new(seed);
    (0..people)
        .map(|_| {
            let mut level = 7.3 + 0.18 * random.normal();
            let rows = (0..8).map(|k| {
                if k > 0 {
                    level += (0.0003_f64 * 5.0).sqrt() * random.normal();
                }
                let first = if k == 0 { -0.05 } else { 0.0 };
                let y = level + first + 0.06 * random.normal();
                let outcome = if whole {
                    bouts((y.exp() / 40.0) as u32)
                } else {
                    Outcome::Exact(y)
                };
                Observation {
                    trial: Some(k + 1),
                    ..Observation::plain(5.0 * f64::from(k), 0, outcome)
                }
            });
            Series::new(rows.collect()).expect("a series")
        })
        .collect()
}

fn prior() -> Model {
    let start = Start::From(Normal {
        mean: 7.1,
        sd: 0.25,
    });
    let learning = Learning {
        first: Normal {
            mean: 0.0,
            sd: 0.05,
        },
        second: Normal::ZERO,
    };
    Model::new(start, 0.0002, vec![Test::anchor(0.08)], learning).expect("a model")
}

fn of(fit: &SquadFit, parameter: Parameter) -> Estimate {
    *fit.estimates
        .iter()
        .find(|one| one.parameter == parameter)
        .expect("an estimate")
}

fn near(fit: &SquadFit, parameter: Parameter, truth: f64) {
    let one = of(fit, parameter);
    let se = one.se.expect("a standard error");
    assert!(
        se > 0.0 && se < 0.5 * truth.abs().max(0.1),
        "{parameter:?}: SE {se}"
    );
    assert!(
        (one.value - truth).abs() < SURE * se,
        "{parameter:?}: {} +- {se}",
        one.value
    );
    let interval = one.interval(0.99).expect("ok").expect("an interval");
    assert!(interval.contains(one.value) && interval.lower < interval.upper);
}

#[test]
fn a_simulated_squad_gives_its_parameters_back() {
    for whole in [false, true] {
        let squad = squad(if whole { 60 } else { 120 }, 11, whole);
        let fit = fit_squad(&prior(), &squad, &PriorWidth::WEAK, 2).expect("a fit");
        assert!(fit.record.converged, "{:?}", fit.record);
        assert_eq!(fit.record.stopped, StopReason::Gradient);
        assert!(fit.record.iterations > 1 && fit.record.evaluations > fit.record.iterations);
        assert_eq!(fit.estimates.len(), 5);
        near(&fit, Parameter::Error(0), 0.06);
        near(&fit, Parameter::Drift, 0.0003);
        near(&fit, Parameter::FirstTrial, -0.05);
        near(&fit, Parameter::GroupMean, 7.3);
        near(&fit, Parameter::GroupSd, 0.18);
        assert!(fit.kept.is_empty(), "{:?}", fit.kept);
        let learned = fit.model.learning().first;
        assert_eq!(Some(learned.sd), of(&fit, Parameter::FirstTrial).se);
        assert!(fit.log_posterior <= fit.log_likelihood);
    }
}

#[test]
fn starts_far_apart_end_at_the_same_place_without_priors() {
    let squad = squad(40, 3, false);
    let mut ends = Vec::new();
    for (drift, error) in [(0.00005, 0.03), (0.002, 0.15)] {
        let start = Start::From(Normal { mean: 7.0, sd: 0.3 });
        let model = Model::new(start, drift, vec![Test::anchor(error)], Learning::NONE);
        let fit = fit_squad(&model.expect("a model"), &squad, &PriorWidth::FLAT, 2);
        let fit = fit.expect("a fit");
        assert!(fit.record.converged, "{:?}", fit.record);
        ends.push(fit);
    }
    for (a, b) in ends[0].estimates.iter().zip(&ends[1].estimates) {
        assert!((a.value / b.value - 1.0).abs() < 1e-4, "{a:?} {b:?}");
    }
    assert!((ends[0].log_likelihood - ends[1].log_likelihood).abs() < 1e-6);
}

#[test]
fn too_few_results_stay_at_the_prior_with_words() {
    let squad = vec![
        series(&[(0.0, bouts(30)), (6.0, bouts(32))]),
        series(&[(0.0, bouts(25))]),
    ];
    let fit = fit_squad(&prior(), &squad, &PriorWidth::WEAK, 1).expect("a fit");
    assert!(fit.estimates.is_empty());
    assert_eq!(fit.model, prior());
    assert_eq!(fit.kept.len(), 5);
    assert_eq!(fit.record.stopped, StopReason::NothingToFit);
    assert!(fit.record.converged && fit.log_likelihood == fit.log_posterior);
    let drift = fit
        .kept
        .iter()
        .find(|one| one.parameter == Parameter::Drift)
        .expect("kept");
    assert_eq!(
        drift.why,
        "stays at its prior: 1 results on a later date than a person's first, at least 10 needed"
    );
}

#[test]
fn a_flat_prior_with_nothing_to_hold_it_is_not_called_converged() {
    // Everybody repeats the same number: the error runs to 0 without a prior.
    let squad: Vec<Series> = (0..12)
        .map(|k| {
            let y = 7.0 + 0.02 * f64::from(k);
            series(&[
                (0.0, Outcome::Exact(y)),
                (4.0, Outcome::Exact(y)),
                (9.0, Outcome::Exact(y)),
            ])
        })
        .collect();
    let free = fit_squad(&prior(), &squad, &PriorWidth::FLAT, 1).expect("a fit");
    assert!(!free.record.converged, "{:?}", free.record);
    let held = fit_squad(&prior(), &squad, &PriorWidth::WEAK, 1).expect("a fit");
    assert!(held.record.converged, "{:?}", held.record);
    assert!(of(&held, Parameter::Error(0)).value > 0.0);
}

#[test]
fn parameters_do_not_depend_on_unit_and_origin() {
    let plain = squad(20, 9, false);
    let moved: Vec<Series> = plain
        .iter()
        .map(|one| {
            let rows = one.observations().iter().map(|seen| {
                let Outcome::Exact(y) = seen.outcome else {
                    panic!("an exact result")
                };
                let outcome = Outcome::Exact(100.0 * y - 300.0);
                Observation { outcome, ..*seen }
            });
            Series::new(rows.collect()).expect("a series")
        })
        .collect();
    let model = |mean: f64, unit: f64| {
        let start = Start::From(Normal {
            mean,
            sd: 0.25 * unit,
        });
        let test = vec![Test::anchor(0.08 * unit)];
        Model::new(start, 0.0002 * unit * unit, test, Learning::NONE).expect("a model")
    };
    let a = fit_squad(&model(7.1, 1.0), &plain, &PriorWidth::WEAK, 1).expect("a fit");
    let b = fit_squad(&model(410.0, 100.0), &moved, &PriorWidth::WEAK, 1).expect("a fit");
    let ratio = |what| of(&b, what).value / of(&a, what).value;
    assert!((ratio(Parameter::Error(0)) / 100.0 - 1.0).abs() < 1e-4);
    assert!((ratio(Parameter::Drift) / 1e4 - 1.0).abs() < 1e-4);
    assert!((ratio(Parameter::GroupSd) / 100.0 - 1.0).abs() < 1e-4);
    let mean = of(&b, Parameter::GroupMean).value;
    assert!((mean - (100.0 * of(&a, Parameter::GroupMean).value - 300.0)).abs() < 1e-3);
}
