//! Models that cannot be estimated are refused in words; singular ones are said to be so.

use plimsoll_measure::MeasureError;
use plimsoll_measure::mixed::{
    Column, Criterion, Data, Design, Level, ProfileTarget, RandomTerm, Settings, Stop, Weights,
    fit, intercept, treatment_columns,
};

use crate::mixed_data::{Lehmer, Slopes, crossed, fitted, sleep};

fn message(data: &Data) -> String {
    match fit(data, &Settings::new(Criterion::Reml)) {
        Ok(_) => panic!("the model was fitted"),
        Err(fault) => fault.to_string(),
    }
}

#[track_caller]
fn refused(data: &Data, parts: &[&str]) {
    let message = message(data);
    for part in parts {
        assert!(message.contains(part), "`{part}` is not in: {message}");
    }
}

#[test]
fn a_whole_message() {
    let mut data = sleep(Slopes::None);
    data.design.random[0].groups.pop();
    assert_eq!(
        message(&data),
        "random term `Subject`: found 179 values; allowed is 180, as many as the response has; \
         give one value for each row"
    );
}

#[test]
fn dependent_fixed_columns() {
    let mut data = sleep(Slopes::None);
    let days = data.design.fixed[1].values.clone();
    let twice = days.iter().map(|d| 2.0 * d + 3.0).collect();
    data.design.fixed.push(Column::new("twice", twice));
    refused(&data, &["fixed column `twice`", "leave it out"]);
    data.design.fixed[2] = Column::new("empty", vec![0.0; 180]);
    refused(&data, &["fixed column `empty`"]);
}

#[test]
fn numbers_that_are_none() {
    let mut data = sleep(Slopes::None);
    data.response[4] = f64::NAN;
    refused(&data, &["response, row 5", "NaN"]);
    let mut data = sleep(Slopes::Correlated);
    data.design.random[0].columns[1].values[2] = f64::INFINITY;
    refused(
        &data,
        &["random term `Subject`, column `Days`, row 3", "inf"],
    );
    let mut data = sleep(Slopes::None);
    data.weights = Weights::Prior(vec![0.0; 180]);
    refused(&data, &["prior weights, row 1", "numbers above 0"]);
    data.weights = Weights::KnownVariance(vec![1.0; 3]);
    refused(&data, &["known error variances", "3 values"]);
}

#[test]
fn responses_without_spread() {
    let mut data = sleep(Slopes::None);
    data.response = vec![7.0; 180];
    refused(&data, &["do not differ at all"]);
    data.response = data.design.fixed[1]
        .values
        .iter()
        .map(|d| 5.0 + 0.1 * d)
        .collect();
    refused(&data, &["do not differ at all"]);
    data.response = vec![0.0; 180];
    refused(&data, &["do not differ at all"]);
}

#[test]
fn responses_that_are_group_means() {
    let mut data = sleep(Slopes::None);
    let groups = &data.design.random[0].groups;
    data.response = groups.iter().map(|&g| (g * g % 7) as f64).collect();
    refused(&data, &["groups are taken out", "exactly"]);
}

#[test]
fn groups_that_carry_nothing() {
    let mut data = sleep(Slopes::None);
    data.design.random[0].groups = vec![3; 180];
    refused(&data, &["one level", "take the term out"]);
    data.design.random[0].groups = (0..180).collect();
    refused(&data, &["180 random effects", "add repeats"]);
    data.design.random[0].columns = vec![Column::new("none", vec![0.0; 180])];
    refused(&data, &["column `none`", "only zeros"]);
    data.design.random[0].columns.clear();
    refused(&data, &["no columns"]);
    data.design.random.clear();
    refused(&data, &["random terms", "ordinary regression"]);
}

#[test]
fn too_few_rows() {
    refused(
        &Data {
            response: vec![1.0, 2.0],
            design: Design {
                fixed: vec![intercept(2)],
                random: vec![RandomTerm::intercept("g", vec![0, 1])],
            },
            weights: Weights::Equal,
        },
        &["found 2", "at least 3"],
    );
    refused(&Data::default(), &["random terms"]);
    let mut data = Data::default();
    data.design.random.push(RandomTerm::intercept("g", vec![]));
    refused(&data, &["found 0"]);
}

#[test]
fn numbers_beyond_all_units() {
    let mut data = sleep(Slopes::None);
    data.response.iter_mut().for_each(|y| *y *= 1e200);
    refused(&data, &["too large or too small"]);
    let mut data = sleep(Slopes::None);
    data.design.fixed[1]
        .values
        .iter_mut()
        .for_each(|x| *x *= 1e200);
    refused(&data, &["change its unit"]);
}

#[test]
fn crossed_data_that_are_too_wide() {
    let n = 9000;
    let mut random = Lehmer(7);
    let data = Data {
        response: (0..n).map(|_| random.normal()).collect(),
        design: Design {
            fixed: vec![intercept(n)],
            random: vec![
                RandomTerm::intercept("a", (0..n).map(|i| i % 3000).collect()),
                RandomTerm::intercept("b", (0..n).map(|i| (i * 7 + i / 3000) % 2500).collect()),
            ],
        },
        weights: Weights::Equal,
    };
    refused(&data, &["crossed random terms", "2500", "2000"]);
}

#[test]
fn a_search_cut_short_says_so() {
    let mut settings = Settings::new(Criterion::Reml);
    settings.max_evaluations = 30;
    let fit = fit(&sleep(Slopes::Correlated), &settings).expect("a fit");
    assert!(!fit.convergence.converged);
    assert_eq!(fit.convergence.stop, Stop::Budget);
}

#[test]
fn random_columns_that_cannot_be_told_apart() {
    let mut data = sleep(Slopes::Correlated);
    let days = data.design.random[0].columns[1].values.clone();
    data.design.random[0]
        .columns
        .push(Column::new("again", days.clone()));
    refused(&data, &["random term `Subject`", "told apart"]);
    let later = days.iter().map(|d| 2.0 * d + 5.0).collect();
    data.design.random[0].columns[2] = Column::new("later", later);
    refused(&data, &["random term `Subject`", "told apart"]);
    let mut data = sleep(Slopes::None);
    data.design.random.push(data.design.random[0].clone());
    refused(&data, &["random term `Subject`", "told apart"]);
}

/// A slope that is a multiple of the intercept in every group has correlation 1.
#[test]
fn perfect_correlation_is_said() {
    let mut random = Lehmer(99);
    let (mut y, mut x, mut groups) = (Vec::new(), Vec::new(), Vec::new());
    for group in 0..12 {
        let effect = random.normal();
        for i in 0..8 {
            x.push(f64::from(i));
            groups.push(group);
            y.push(5.0 + effect * (2.0 + f64::from(i)) + 0.8 * random.normal());
        }
    }
    let x = Column::new("x", x);
    let data = Data {
        design: Design {
            fixed: vec![intercept(y.len()), x.clone()],
            random: vec![RandomTerm::new("g", groups, vec![intercept(y.len()), x])],
        },
        response: y,
        weights: Weights::Equal,
    };
    let fit = fitted(&data, Criterion::Ml);
    let correlation = fit.terms[0].correlations[0][1].expect("a correlation");
    assert!(fit.singular && correlation > 1.0 - 1e-6, "{correlation}");
    assert!(fit.singular_notes()[0].contains("perfectly correlated"));
    let target = ProfileTarget::Correlation {
        term: 0,
        first: 0,
        second: 1,
    };
    let got = fit.profile(target, 0.95).expect("an interval");
    assert!(
        got.upper_at_bound && got.interval.upper == 1.0 && got.interval.lower < 1.0,
        "{got:?}"
    );
}

#[test]
fn factors_become_columns() {
    let columns = treatment_columns("place", &["A", "B", "C"], &[0, 2, 1, 2]).expect("columns");
    assert_eq!(columns[0], Column::new("placeB", vec![0.0, 0.0, 1.0, 0.0]));
    assert_eq!(columns[1], Column::new("placeC", vec![0.0, 1.0, 0.0, 1.0]));
    let text =
        |r: Result<_, MeasureError>| r.map(|_: Vec<Column>| ()).expect_err("a fault").to_string();
    assert!(text(treatment_columns("place", &["A", "B"], &[0, 2])).contains("row 2 of factor"));
    assert!(text(treatment_columns("place", &["A"], &[0])).contains("levels"));
}

#[test]
fn questions_a_fit_cannot_answer() {
    let data = crossed(Slopes::Uncorrelated);
    let fit = fitted(&data, Criterion::Reml);
    assert!(fit.test(&[1.0]).is_err() && fit.test(&[0.0, 0.0]).is_err());
    assert!(fit.test(&[f64::NAN, 0.0]).is_err());
    let sd = |term, column| fit.profile(ProfileTarget::Sd { term, column }, 0.95);
    assert!(sd(2, 0).is_err() && sd(1, 1).is_err());
    let target = ProfileTarget::Correlation {
        term: 0,
        first: 0,
        second: 1,
    };
    let text = fit
        .profile(target, 0.95)
        .expect_err("no correlation")
        .to_string();
    assert!(
        text.contains("uncorrelated terms have no correlation"),
        "{text}"
    );
    assert!(fit.profile(ProfileTarget::Sigma, 1.0).is_err());
    let mut other = data.design.clone();
    other.fixed.pop();
    let text = fit
        .predict(&other, Level::Groups)
        .expect_err("a fault")
        .to_string();
    assert!(text.contains("those of the fit: (Intercept), t"), "{text}");
}

#[test]
fn an_unknown_level_counts_as_typical() {
    let mut data = sleep(Slopes::Correlated);
    let fit = fitted(&data, Criterion::Reml);
    data.design.random[0].groups[0] = 77;
    let groups = fit.predict(&data.design, Level::Groups).expect("values");
    let typical = fit
        .predict(&data.design, Level::Population)
        .expect("values");
    assert_eq!((groups.unknown_levels, typical.unknown_levels), (1, 0));
    assert_eq!(groups.values[0], typical.values[0]);
    assert!(groups.values[1] != typical.values[1]);
}
