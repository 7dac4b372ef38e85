//! When a gain shows: against a simulation of the plan, and at its limits.

use plimsoll_measure::level::{
    Learning, Model, Normal, Observation, Outcome, Plan, Series, Start, Test, detectable, kalman,
    posterior,
};

use super::random::Random;
use super::{bouts, series, usual};

fn plan() -> Plan {
    Plan {
        test: 0,
        every_weeks: 4.0,
        score_width: 0.0,
        weekly_gain: 0.008,
        worthwhile: 0.03,
        certainty: 0.9,
        probability: 0.8,
        most_tests: 30,
    }
}

#[test]
fn the_probabilities_are_those_of_a_simulated_plan() {
    let model = usual();
    let now = Normal {
        mean: 7.2,
        sd: 0.06,
    };
    let plan = Plan {
        probability: 0.95,
        ..plan()
    };
    let answer = detectable(&model, now, &plan).expect("an answer");
    let (runs, z) = (1500, 1.281_551_565_544_6);
    // The model of the plan: start from what is known now, with a result that says nothing new.
    let start = Start::From(now);
    let later = Model::new(start, 0.0002, vec![Test::anchor(0.07)], Learning::NONE);
    let mut tests = vec![Test::anchor(1e6)];
    tests.extend_from_slice(later.expect("a model").tests());
    let later = Model::new(start, 0.0002, tests, Learning::NONE).expect("a model");
    for place in [1, 3, answer.tests.len() - 1] {
        let mut random = Random::new(40 + place as u64);
        let mut seen = 0;
        for _ in 0..runs {
            let level = now.mean + now.sd * random.normal();
            let mut rows = vec![Observation::plain(0.0, 0, Outcome::Exact(now.mean))];
            for k in 1..=place + 1 {
                let weeks = 4.0 * k as f64;
                let y = level + 0.008 * weeks + 0.07 * random.normal();
                rows.push(Observation::plain(weeks, 1, Outcome::Exact(y)));
            }
            let found = kalman(&later, &Series::new(rows).expect("a series")).expect("levels");
            let change = found.change(0, place + 1).expect("a change");
            seen += usize::from(change.mean - 0.03 >= z * change.variance.sqrt());
        }
        let (said, came) = (
            answer.tests[place].probability,
            seen as f64 / f64::from(runs),
        );
        let se = (said * (1.0 - said) / f64::from(runs)).sqrt();
        assert!(
            (said - came).abs() < 3.5 * se,
            "test {place}: said {said}, came {came}"
        );
    }
}

#[test]
fn larger_gains_and_better_tests_show_sooner() {
    let model = usual();
    let now = Normal {
        mean: 7.2,
        sd: 0.06,
    };
    let weeks = |plan: &Plan| {
        let found = detectable(&model, now, plan).expect("an answer");
        found.weeks.expect("it shows")
    };
    let usual = weeks(&plan());
    let fast = Plan {
        weekly_gain: 0.016,
        ..plan()
    };
    let often = Plan {
        every_weeks: 2.0,
        ..plan()
    };
    let coarse = Plan {
        score_width: 0.3,
        ..plan()
    };
    assert!(weeks(&fast) < usual && weeks(&often) <= usual && weeks(&coarse) >= usual);
    let slow = Plan {
        weekly_gain: 1e-5,
        most_tests: 5,
        ..plan()
    };
    let never = detectable(&model, now, &slow).expect("an answer");
    assert!(never.weeks.is_none() && never.tests.len() == 5);
    let wrong = Plan {
        weekly_gain: 0.0,
        ..plan()
    };
    let text = detectable(&model, now, &wrong)
        .expect_err("a fault")
        .to_string();
    assert!(text.contains("gain per week is 0"));
    let endless = Plan {
        every_weeks: 1e307,
        ..plan()
    };
    let text = detectable(&model, now, &endless)
        .expect_err("a fault")
        .to_string();
    assert!(text.contains("too large"), "{text}");
}

#[test]
fn a_posterior_plans_from_its_last_level() {
    let (model, results) = (usual(), series(&[(0.0, bouts(30)), (6.0, bouts(33))]));
    let found = posterior(&model, &results).expect("a posterior");
    let level = found.levels(0.9).expect("levels")[1];
    let now = Normal {
        mean: level.mean,
        sd: level.sd,
    };
    let direct = detectable(&model, now, &plan()).expect("an answer");
    assert_eq!(found.detectable(&plan()).expect("an answer"), direct);
}
