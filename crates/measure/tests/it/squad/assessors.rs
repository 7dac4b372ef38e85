//! Kappa and severity at their ends.

use plimsoll_measure::squad::{KappaWeights, Rating, SpreadRule, kappa, severity};

use crate::seeded::Seeded;

/// What the search of a likelihood leaves.
const SEARCH: f64 = 1e-5;

#[test]
fn kappa_at_its_ends() {
    let answers = [0, 1, 1, 0, 2, 2];
    let same = kappa(&answers, &answers, 3, KappaWeights::Same, 0.95).expect("kappa");
    assert!((same.value - 1.0).abs() < 1e-12 && same.interval.is_none() && same.n == 6);
    let opposite = kappa(&[0, 1, 0, 1], &[1, 0, 1, 0], 2, KappaWeights::Same, 0.95).expect("kappa");
    assert!((opposite.value + 1.0).abs() < 1e-12);
    // Two categories: all weights are the same.
    let (a, b) = ([0, 1, 1, 0, 1, 0, 0, 1], [0, 1, 0, 0, 1, 1, 0, 1]);
    let of = |weights| kappa(&a, &b, 2, weights, 0.9).expect("kappa");
    assert!((of(KappaWeights::Same).value - of(KappaWeights::Quadratic).value).abs() < 1e-12);
    let swapped = kappa(&b, &a, 2, KappaWeights::Same, 0.9).expect("kappa");
    assert!((swapped.value - of(KappaWeights::Same).value).abs() < 1e-12);
    assert!((swapped.se - of(KappaWeights::Same).se).abs() < 1e-12);
    assert!(kappa(&[0, 0, 0], &[0, 0, 0], 2, KappaWeights::Same, 0.9).is_err());
    assert!(kappa(&[0, 1], &[0], 2, KappaWeights::Same, 0.9).is_err());
    assert!(kappa(&[0, 2], &[0, 1], 2, KappaWeights::Same, 0.9).is_err());
    assert!(kappa(&[0], &[0], 2, KappaWeights::Same, 0.9).is_err());
    assert!(kappa(&[0, 1], &[0, 1], 1, KappaWeights::Same, 0.9).is_err());
    assert!(kappa(&[0, 1], &[0, 1], 2000, KappaWeights::Same, 0.9).is_err());
}

/// Three assessors of whom the last is strict; every event judged by two of them.
fn calls(random: &mut Seeded, events: u64) -> Vec<Rating> {
    let severity = [-0.8, -0.2, 1.5];
    let mut ratings = Vec::new();
    for event in 0..events {
        let level = random.normal();
        let left_out = random.below(3);
        for (assessor, strict) in severity.iter().enumerate().filter(|(i, _)| *i != left_out) {
            let chance = 1.0 / (1.0 + (-(level + strict - 0.5)).exp());
            ratings.push(Rating {
                assessor: assessor as u64,
                event,
                called: random.uniform() < chance,
            });
        }
    }
    ratings
}

#[test]
fn a_strict_assessor_is_seen_with_many_calls() {
    let mut random = Seeded(51);
    let got = severity(&calls(&mut random, 300), SpreadRule::Cautious).expect("severities");
    assert!(got.record.converged && got.record.iterations > 0);
    let strict = &got.assessors[2];
    assert!(strict.value - got.assessors[0].value > 1.2);
    assert!(!strict.mostly_prior && strict.weight_of_data > 0.8);
    assert_eq!(strict.shared, strict.ratings);
}

#[test]
fn few_calls_are_shrunk_and_said_so() {
    let mut random = Seeded(52);
    let ratings = calls(&mut random, 5);
    let rule = SpreadRule::Given {
        assessors: 0.5,
        events: 1.0,
    };
    let few = severity(&ratings, rule).expect("severities");
    for one in &few.assessors {
        assert!(one.value.abs() < 0.5 && one.se > 0.3, "{one:?}");
        assert!(one.mostly_prior && one.weight_of_data < 0.5);
    }
    // With no spread allowed nobody differs, whatever was called.
    let rule = SpreadRule::Given {
        assessors: 0.0,
        events: 1.0,
    };
    let none = severity(&ratings, rule).expect("severities");
    assert!(
        none.assessors
            .iter()
            .all(|a| a.value == 0.0 && a.mostly_prior)
    );
    assert!(none.assessors.iter().all(|a| a.weight_of_data == 0.0));
}

#[test]
fn an_assessor_without_overlap_is_named_so() {
    let mut random = Seeded(53);
    let mut ratings = calls(&mut random, 60);
    for event in 1000..1030 {
        ratings.push(Rating {
            assessor: 9,
            event,
            called: event % 3 == 0,
        });
    }
    let got = severity(&ratings, SpreadRule::Cautious).expect("severities");
    let alone = got.assessors.last().expect("one");
    assert_eq!((alone.assessor, alone.shared, alone.ratings), (9, 0, 30));
    assert!(alone.mostly_prior);
}

#[test]
fn marks_order_and_turned_calls() {
    let mut random = Seeded(54);
    let ratings = calls(&mut random, 80);
    let base = severity(&ratings, SpreadRule::Cautious).expect("severities");
    let mut other: Vec<Rating> = ratings
        .iter()
        .rev()
        .map(|r| Rating {
            assessor: 100 - r.assessor,
            event: 7 * r.event + 3,
            called: !r.called,
        })
        .collect();
    other.rotate_left(17);
    let turned = severity(&other, SpreadRule::Cautious).expect("severities");
    assert!((turned.mean + base.mean).abs() < SEARCH);
    assert!((turned.assessor_sd - base.assessor_sd).abs() < SEARCH);
    for (a, b) in base.assessors.iter().zip(turned.assessors.iter().rev()) {
        assert!((a.value + b.value).abs() < SEARCH && (a.se - b.se).abs() < SEARCH);
    }
}

#[test]
fn calls_that_tell_nothing() {
    let rating = |assessor, event, called| Rating {
        assessor,
        event,
        called,
    };
    let rule = SpreadRule::Cautious;
    assert!(severity(&[], rule).is_err());
    assert!(severity(&[rating(1, 1, true), rating(1, 2, false)], rule).is_err());
    let said = severity(&[rating(1, 1, true), rating(2, 1, true)], rule).expect_err("a fault");
    assert!(said.to_string().contains("some did not"));
    let twice = [rating(1, 1, true), rating(1, 1, false), rating(2, 1, true)];
    assert!(
        severity(&twice, rule)
            .expect_err("a fault")
            .to_string()
            .contains("occur together twice")
    );
    let bad = SpreadRule::Given {
        assessors: f64::NAN,
        events: 1.0,
    };
    let two = [rating(1, 1, true), rating(2, 1, false)];
    assert!(severity(&two, bad).is_err());
    let least = severity(&two, rule).expect("severities");
    assert!(
        least
            .assessors
            .iter()
            .all(|a| a.mostly_prior && a.value.is_finite() && a.se.is_finite())
    );
    let ml = severity(&two, SpreadRule::MaximumLikelihood);
    assert!(ml.is_err() || ml.is_ok_and(|r| r.assessors.iter().all(|a| a.se.is_finite())));
}
