//! Degenerate input: a worded refusal or a worded answer, never a panic or an infinity.

use plimsoll_measure::MeasureError;
use plimsoll_measure::level::{
    Effect, Learning, Model, Normal, Observation, Outcome, PriorWidth, Series, Start, Test,
    conditions, fit_squad, kalman, levels, posterior,
};

use super::{bouts, series, usual};

fn words<T: std::fmt::Debug>(result: Result<T, MeasureError>) -> String {
    result.expect_err("a fault").to_string()
}

fn diffuse(drift: f64) -> Model {
    Model::new(
        Start::Diffuse,
        drift,
        vec![Test::anchor(0.07)],
        Learning::NONE,
    )
    .expect("a model")
}

#[test]
fn models_that_cannot_be() {
    let make = |start, drift, tests| words(Model::new(start, drift, tests, Learning::NONE));
    let test = || vec![Test::anchor(0.07)];
    assert!(make(Start::Diffuse, -1.0, test()).contains("variance of the level per week is -1"));
    assert!(make(Start::Diffuse, f64::NAN, test()).contains("not a finite number"));
    assert!(make(Start::Diffuse, 0.1, vec![]).contains("tests of the model: found 0"));
    assert!(make(Start::Diffuse, 0.1, vec![Test::anchor(0.0)]).contains("typical error of a test"));
    let flat = Test {
        slope: Normal::ZERO,
        ..Test::anchor(0.07)
    };
    assert!(make(Start::Diffuse, 0.1, vec![flat]).contains("any number but 0"));
    let narrow = Start::From(Normal::exactly(7.0));
    assert!(make(narrow, 0.1, test()).contains("SD of levels in the group is 0"));
}

#[test]
fn results_that_cannot_be() {
    let make = |one| words(Series::new(vec![one]));
    let plain = Observation::plain(0.0, 0, Outcome::Exact(7.0));
    assert!(words(Series::new(vec![])).contains("results of one person: found 0"));
    for bad in [f64::NAN, f64::INFINITY] {
        assert!(make(Observation { week: bad, ..plain }).contains("week of a result"));
        let outcome = Outcome::Exact(bad);
        assert!(make(Observation { outcome, ..plain }).contains("outcome of a result"));
    }
    let outcome = Outcome::Between {
        lower: 7.0,
        upper: 7.0,
    };
    assert!(make(Observation { outcome, ..plain }).contains("above the lower end"));
    let trial = Some(0);
    assert!(make(Observation { trial, ..plain }).contains("number of a trial is 0"));
    let bad = Effect {
        value: f64::NAN,
        coefficient: Normal::ZERO,
    };
    assert!(words(conditions(&[bad])).contains("value of a condition"));
    assert_eq!(conditions(&[]).expect("nothing"), Normal::ZERO);
    let other = Series::new(vec![Observation { test: 3, ..plain }]).expect("a series");
    assert!(words(posterior(&usual(), &other)).contains("position of the test"));
    assert!(words(kalman(&usual(), &other)).contains("position of the test"));
}

#[test]
fn the_exact_filter_refuses_ranges() {
    assert!(words(kalman(&usual(), &series(&[(0.0, bouts(30))]))).contains("on a grid instead"));
}

#[test]
fn one_result_and_doubles_are_answered() {
    let model = diffuse(0.0);
    let one = series(&[(0.0, Outcome::Exact(7.1))]);
    let level = posterior(&model, &one)
        .expect("a posterior")
        .levels(0.9)
        .expect("levels")[0];
    assert!((level.mean - 7.1).abs() < 1e-6 && (level.sd - 0.07).abs() < 1e-6);
    let twice = series(&[(0.0, Outcome::Exact(7.1)), (0.0, Outcome::Exact(7.1))]);
    let found = posterior(&model, &twice).expect("a posterior");
    let level = found.levels(0.9).expect("levels");
    assert_eq!(level.len(), 1);
    assert!((level[0].sd - 0.07 / 2.0_f64.sqrt()).abs() < 1e-6);
    let same = found.change(0.0, 0.0).expect("a change");
    assert_eq!((same.mean, same.sd), (0.0, 0.0));
    assert_eq!(same.interval(0.9).expect("an interval").half_width(), 0.0);
    // Levels that do not drift stay for a thousand weeks.
    let later = found.level_at(1000.0, 0.9).expect("a level");
    assert!((later.sd - level[0].sd).abs() < 1e-9);
}

#[test]
fn bounds_alone_need_a_group_or_both_sides() {
    let low = [(0.0, Outcome::AtLeast(7.0)), (4.0, Outcome::AtLeast(7.2))];
    assert!(words(posterior(&diffuse(0.0002), &series(&low))).contains("on the same side"));
    let both = [(0.0, Outcome::AtLeast(7.0)), (4.0, Outcome::AtMost(7.2))];
    let model = diffuse(0.0002);
    let both = series(&both);
    let found = posterior(&model, &both).expect("a posterior");
    let levels = found.levels(0.9).expect("levels");
    // Symmetric about 7.1 when read backwards.
    assert!((levels[0].mean + levels[1].mean - 14.2).abs() < 1e-4);
    assert!(levels[0].sd > 0.05 && levels[0].sd < 0.2);
    let found = posterior(&usual(), &series(&low)).map(|p| p.levels(0.9).expect("levels")[1].mean);
    assert!(found.expect("the group bounds it") > 7.25);
}

#[test]
fn dates_and_levels_outside_are_refused() {
    let (model, one) = (usual(), series(&[(5.0, bouts(30)), (9.0, bouts(33))]));
    let found = posterior(&model, &one).expect("a posterior");
    assert!(words(found.level_at(4.0, 0.9)).contains("date of the first result"));
    assert!(words(found.level_at(f64::NAN, 0.9)).contains("not a finite number"));
    assert!(words(found.change(4.0, 9.0)).contains("date of the first result"));
    assert!(words(found.change(5.0, f64::INFINITY)).contains("not a finite number"));
    assert!(words(found.levels(1.0)).contains("confidence level"));
    assert!(words(levels(&model, &[], 90.0, 1)).contains("confidence level"));
    assert!(words(found.outlook(9.0, 1, None, Normal::ZERO)).contains("position of the test"));
    let next = found
        .outlook(9.0, 0, None, Normal::ZERO)
        .expect("an outlook");
    assert!(words(next.quantile(1.0)).contains("fraction between 0 and 1"));
    assert!(words(next.bouts(&[7.0, 7.0])).contains("is not above the one before it"));
    assert!(words(next.bouts(&[])).contains("edges of the bouts"));
    let change = found.change(5.0, 9.0).expect("a change");
    assert!(words(change.chance(-0.1)).contains("smallest worthwhile change"));
}

#[test]
fn what_cannot_be_on_a_grid_says_so() {
    let far = [(0.0, Outcome::Exact(7.0)), (0.0, Outcome::Exact(1e7))];
    let text = words(posterior(&diffuse(0.0), &series(&far)));
    assert!(
        text.contains("errors or more from what the others") || text.contains("unit"),
        "{text}"
    );
    let huge = [(0.0, Outcome::Exact(1e300)), (1.0, Outcome::Exact(-1e300))];
    let text = words(posterior(&diffuse(0.1), &series(&huge)));
    assert!(text.contains("check the unit"), "{text}");
    // An hour apart in a year of data: the change is tiny, not undefined.
    let close = [
        (0.0, bouts(30)),
        (1.0 / 168.0, bouts(31)),
        (52.0, bouts(40)),
    ];
    let (model, close) = (usual(), series(&close));
    let found = posterior(&model, &close).expect("a posterior");
    let change = found.change(0.0, 1.0 / 168.0).expect("a change");
    assert!(change.sd < 1.2e-3 && change.sd > 0.9e-3, "{}", change.sd);
    assert!(change.chance(0.02).expect("chances").trivial > 0.999_999);
}

#[test]
fn an_impossible_squad_is_refused_and_one_bad_person_is_named_in_place() {
    let model = usual();
    let text = words(fit_squad(&model, &[], &PriorWidth::WEAK, 1));
    assert!(text.contains("people of the squad"));
    let width = PriorWidth {
        ln_drift: Some(0.0),
        ..PriorWidth::WEAK
    };
    let good = series(&[(0.0, bouts(30))]);
    assert!(
        words(fit_squad(&model, std::slice::from_ref(&good), &width, 1))
            .contains("width of a prior")
    );
    let bad = Series::new(vec![Observation::plain(0.0, 9, bouts(3))]).expect("a series");
    let found = levels(&model, &[good.clone(), bad, good], 0.9, 2).expect("levels");
    assert!(found[0].is_ok() && found[1].is_err() && found[2].is_ok());
}
