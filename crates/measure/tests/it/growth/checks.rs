//! Checks of fit: numbers of other libraries, calibration, and alarms that must sound.

use plimsoll_measure::growth::{
    Alarm, Groups, Model, Row, Sample, fit, kurtosis_test, residuals, skewness_test,
};

use crate::golden::close_relative;
use crate::simulate::{Draws, people, people_with, truth};

fn groups(rows: &[Row], model: &Model, count: usize) -> Groups {
    let sample = Sample::from_rows(rows).expect("a sample");
    let fit = fit(&sample, model).expect("a fit");
    residuals(&sample, &fit)
        .expect("z")
        .groups(count)
        .expect("groups")
}

/// Source: scipy 1.17.1, skewtest and kurtosistest of 60 invented values.
#[test]
fn moment_tests() {
    let skewness = skewness_test(0.894_845_519_419_523, 60.0).expect("z");
    close_relative("skewness", skewness, 2.781_491_441_514_18, 1e-12);
    let kurtosis = kurtosis_test(0.722_153_610_904_859_2, 60.0).expect("z");
    close_relative("kurtosis", kurtosis, 1.409_370_588_034_801, 1e-12);
    assert!(skewness_test(0.0, 7.0).is_err());
    assert!(kurtosis_test(0.0, 19.0).is_err());
}

/// Over 60 draws from the model: p of each Q below 0.05 in about 5 %, no alarm in 90 % or more.
#[test]
fn a_right_model_passes() {
    let (mut small, mut alarms, mut outside) = ([0; 4], 0, 0.0);
    for seed in 0..60 {
        let groups = groups(&people(2_000, 300 + seed), &Model::smooth(), 30);
        for (count, q) in small.iter_mut().zip(groups.q) {
            *count += u32::from(q.p.expect("degrees of freedom") < 0.05);
        }
        let checks = groups.shape().expect("checks");
        alarms += u32::from(checks.iter().any(|c| c.alarm.is_some()));
        outside += groups.groups[3].worm(0.95).expect("a worm").outside;
    }
    // Three standard errors above 3 of 60 are 8.
    assert!(small.iter().all(|&count| count <= 8), "{small:?}");
    assert!(alarms <= 6, "{alarms}");
    assert!(outside / 60.0 < 0.10, "{outside}");
}

/// A median taken as constant shows in the first Q, S in the second, L in the third.
#[test]
fn each_q_finds_its_curve() {
    let rows = people(8_000, 7);
    let full = groups(&rows, &Model::smooth(), 25);
    assert!(
        full.q.iter().all(|q| q.p.expect("p") > 1e-3),
        "{:?}",
        full.q
    );
    let flat = |change: fn(&mut Model)| {
        let mut model = Model::smooth();
        change(&mut model);
        groups(&rows, &model, 25).q.map(|q| q.p.expect("p"))
    };
    use plimsoll_measure::growth::Shape::Polynomial;
    assert!(flat(|m| m.m = Polynomial(1))[0] < 1e-6);
    assert!(flat(|m| m.s = Polynomial(0))[1] < 1e-6);
    assert!(flat(|m| m.l = Polynomial(0))[2] < 1e-3);
}

/// Two groups 3.2 SD apart; tails of Student's t with 3 degrees of freedom.
#[test]
fn alarms_sound() {
    let two = people_with(3_000, 1, |d| {
        let side = if d.uniform() < 0.5 { -1.6 } else { 1.6 };
        side + 0.5 * d.normal()
    });
    let first = groups(&two, &Model::smooth(), 10).shape().expect("checks")[0];
    assert_eq!(first.alarm, Some(Alarm::TwoHumps), "{first:?}");
    assert!(first.gap > 0.05 && first.p < 1e-6);
    let heavy = people_with(3_000, 2, |d| {
        let chi: f64 = (0..3).map(|_| Draws::normal(d).powi(2)).sum();
        0.6 * d.normal() / (chi / 3.0).sqrt()
    });
    let first = groups(&heavy, &Model::smooth(), 10)
        .shape()
        .expect("checks")[0];
    assert_eq!(first.alarm, Some(Alarm::HeavyTails), "{first:?}");
    assert!(
        first
            .alarm
            .expect("one")
            .to_string()
            .contains("heavy tails")
    );
    // Three humps close to a normal's kurtosis: only the whole shape shows it.
    let other = people_with(20_000, 3, |d| {
        let u = d.uniform();
        let centre = if u < 0.18 {
            -1.75
        } else if u < 0.82 {
            0.0
        } else {
            1.75
        };
        centre + 0.25 * d.normal()
    });
    let first = groups(&other, &Model::smooth(), 10)
        .shape()
        .expect("checks")[0];
    assert!(first.alarm.is_some(), "{first:?}");
}

/// A worm of a right model lies near 0, a worm of shifted data far off.
#[test]
fn worms() {
    let rows = people(4_000, 5);
    let sample = Sample::from_rows(&rows).expect("a sample");
    let fit = fit(&sample, &Model::smooth()).expect("a fit");
    let shifted: Vec<Row> = rows
        .iter()
        .map(|r| Row {
            value: 1.1 * r.value,
            ..*r
        })
        .collect();
    let shifted = Sample::from_rows(&shifted).expect("a sample");
    for (sample, right) in [(&sample, true), (&shifted, false)] {
        let groups = residuals(sample, &fit)
            .expect("z")
            .groups(8)
            .expect("groups");
        for group in &groups.groups {
            let worm = group.worm(0.95).expect("a worm");
            assert!(worm.points.len() <= 200 && worm.points.len() >= 100);
            assert!(worm.points.is_sorted_by(|a, b| a.expected < b.expected));
            assert_eq!(worm.outside < 0.5, right, "{}", worm.outside);
        }
    }
}

/// Counts in bins give the checks of the rows behind them.
#[test]
fn bins_pass_as_rows_do() {
    let rows = people(4_000, 11);
    let sample = Sample::from_rows(&rows).expect("a sample");
    let fit = fit(&sample, &Model::smooth()).expect("a fit");
    let cells: Vec<_> = rows
        .iter()
        .map(|r| plimsoll_measure::growth::Cell {
            age: (r.age.floor(), r.age.floor()),
            lower: ((r.value / 20.0).floor() * 20.0).max(1.0),
            upper: (r.value / 20.0).floor() * 20.0 + 20.0,
            count: 1.0,
        })
        .filter(|c| c.age.0 >= fit.ages().0)
        .collect();
    let cells = Sample::from_cells(&cells).expect("cells");
    let whole = fit_of(&cells);
    let checks = residuals(&cells, &whole)
        .expect("z")
        .groups(5)
        .expect("groups");
    assert!((checks.all.sd - 1.0).abs() < 0.02, "{:?}", checks.all);
    assert!(checks.all.mean.abs() < 0.02);
    assert!(
        checks
            .shape()
            .expect("checks")
            .iter()
            .all(|c| c.alarm.is_none())
    );
}

fn fit_of(sample: &Sample) -> plimsoll_measure::growth::LmsFit {
    fit(sample, &Model::smooth()).expect("a fit")
}

#[test]
fn groups_need_people() {
    let sample = Sample::from_rows(&people(200, 1)).expect("a sample");
    let z = residuals(&sample, &fit_of(&sample)).expect("z");
    assert!(z.groups(0).is_err());
    assert!(z.groups(11).is_err());
    assert!(z.groups(10).is_ok());
    // A sample reaching beyond the ages of the fit has no z there.
    let young = Sample::from_rows(&[Row::new(5.0, 500.0), Row::new(13.0, 900.0)]).expect("two");
    assert!(residuals(&young, &fit_of(&sample)).is_err());
    assert!(truth(13.0).standing(900.0).is_ok());
}
