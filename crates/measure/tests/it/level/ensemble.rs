//! Answers averaged over what a squad leaves open: laws, and whether they come true where one model's are too sure.

use plimsoll_measure::level::{
    Ensemble, Learning, Model, Normal, Observation, Outcome, PriorWidth, Series, Start, Test,
    fit_squad, posterior,
};

use super::random::Random;
use super::{bouts, series, usual};

fn some() -> Series {
    series(&[(0.0, bouts(30)), (6.0, bouts(34)), (13.0, bouts(33))])
}

#[test]
fn one_model_gives_what_it_gives_alone() {
    let (model, seen) = (usual(), some());
    let ensemble = Ensemble::only(model.clone());
    let (one, all) = (
        posterior(&model, &seen).expect("a posterior"),
        ensemble.posterior(&seen).expect("a posterior"),
    );
    assert_eq!(one.level_at(9.0, 0.9), all.level_at(9.0, 0.9));
    let (a, b) = (
        one.change(0.0, 13.0).expect("a change"),
        all.change(0.0, 13.0).expect("a change"),
    );
    assert_eq!(a.interval(0.9), b.interval(0.9));
    assert_eq!(a.chance(0.03), b.chance(0.03));
    let next = |o: plimsoll_measure::level::Outlook| (o.mean, o.interval(0.9));
    assert_eq!(
        next(
            one.outlook(20.0, 0, None, Normal::ZERO)
                .expect("an outlook")
        ),
        next(
            all.outlook(20.0, 0, None, Normal::ZERO)
                .expect("an outlook")
        )
    );
}

/// A squad whose drift is known only to a factor, results exact, so that fits are quick.
fn squad(random: &mut Random, prior: &Model) -> (Vec<Series>, Vec<Vec<f64>>) {
    let drift = prior.drift() * random.normal().exp();
    let mut truths = Vec::new();
    let all = (0..16)
        .map(|_| {
            let mut level = 7.2 + 0.2 * random.normal();
            let mut levels = Vec::new();
            let rows = (0..4).map(|k| {
                if k > 0 {
                    level += (drift * 6.0).sqrt() * random.normal();
                }
                levels.push(level);
                let y = level + 0.07 * random.normal();
                Observation::plain(6.0 * f64::from(k), 0, Outcome::Exact(y))
            });
            let one = Series::new(rows.collect()).expect("a series");
            truths.push(levels);
            one
        })
        .collect();
    (all, truths)
}

fn prior() -> Model {
    let start = Start::From(Normal { mean: 7.2, sd: 0.2 });
    Model::new(start, 0.0002, vec![Test::anchor(0.07)], Learning::NONE).expect("a model")
}

/// Simulated, seeded. Source: the model itself, its drift drawn from the prior's width.
#[test]
fn averaged_changes_come_true_where_one_models_are_too_sure() {
    let prior = prior();
    let (mut averaged, mut alone, mut asked) = (0, 0, 0);
    for seed in 0..50 {
        let (squad, truths) = squad(&mut Random::new(1000 + seed), &prior);
        let fit = fit_squad(&prior, &squad, &PriorWidth::WEAK, 2).expect("a fit");
        if !fit.record.converged {
            continue;
        }
        assert_eq!(fit.ensemble.most_probable(), &fit.model);
        assert!(fit.ensemble.models() > 3, "{}", fit.ensemble.models());
        for (seen, truth) in squad.iter().zip(&truths) {
            let change = truth[3] - truth[0];
            let of = |c: plimsoll_measure::Interval| i32::from(c.contains(change));
            let both = fit.ensemble.posterior(seen).expect("a posterior");
            let both = both.change(0.0, 18.0).expect("a change");
            averaged += of(both.interval(0.9).expect("an interval"));
            let chance = both.chance(0.03).expect("chances");
            assert!((chance.up + chance.trivial + chance.down - 1.0).abs() < 1e-9);
            let one = posterior(&fit.model, seen).expect("a posterior");
            let one = one.change(0.0, 18.0).expect("a change");
            alone += of(one.interval(0.9).expect("an interval"));
            asked += 1;
        }
    }
    let share = |n: i32| f64::from(n) / f64::from(asked);
    assert!(asked > 700, "{asked}");
    // Three binomial SD of 800 are 0.032; people of one squad share the doubt, so somewhat more.
    assert!(
        (0.85..=0.94).contains(&share(averaged)),
        "{}",
        share(averaged)
    );
    assert!(
        share(averaged) > share(alone),
        "{} {}",
        share(averaged),
        share(alone)
    );
}

#[test]
fn another_test_is_added_to_every_model() {
    let (squad, _) = squad(&mut Random::new(5), &prior());
    let fit = fit_squad(&prior(), &squad, &PriorWidth::WEAK, 1).expect("a fit");
    let more = fit.ensemble.with_test(Test::anchor(0.1)).expect("a test");
    assert_eq!(more.models(), fit.ensemble.models());
    assert_eq!(more.most_probable().tests().len(), 2);
    assert!(fit.ensemble.with_test(Test::anchor(0.0)).is_err());
    let both = Series::new(vec![
        Observation::plain(0.0, 0, Outcome::Exact(7.2)),
        Observation::plain(4.0, 1, Outcome::Exact(7.3)),
    ])
    .expect("a series");
    let level = more.posterior(&both).expect("a posterior");
    let level = level.level_at(4.0, 0.9).expect("a level");
    assert!(level.interval.lower < level.mean && level.mean < level.interval.upper);
}
