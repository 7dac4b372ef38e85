//! Data that leave no answer get a worded reason; the other parts still stand.

use plimsoll_measure::error::TypicalError;
use plimsoll_measure::study::{
    Advice, BlendBasis, LongRow, Published, Trials, blend, level_check, limits_of, study,
};
use plimsoll_measure::{MeasureError, dist};

fn message<T: std::fmt::Debug>(result: Result<T, MeasureError>) -> String {
    result.expect_err("a fault").to_string()
}

fn row(person: u64, trial: u32, value: f64) -> LongRow {
    LongRow {
        person,
        trial,
        value,
    }
}

#[test]
fn tables_that_are_no_study() {
    for bad in [f64::NAN, f64::INFINITY] {
        assert!(Trials::complete(&[1.0, 2.0, bad, 4.0], 2).is_err());
        assert!(Trials::wide(&[Some(1.0), None, Some(bad), None], 2).is_err());
        assert!(Trials::long(&[row(1, 1, bad), row(2, 2, 1.0)]).is_err());
    }
    assert!(Trials::complete(&[], 2).is_err() && Trials::long(&[]).is_err());
    assert!(Trials::complete(&[1.0, 2.0], 1).is_err() && Trials::complete(&[1.0, 2.0], 0).is_err());
    assert!(Trials::complete(&[1.0, 2.0], 2).is_err(), "one person");
    assert!(Trials::wide(&[None; 8], 2).is_err());
    assert_eq!(
        message(Trials::complete(&[1.0, 2.0, 3.0], 2)),
        "the table of the study has no value here: 3 values do not fill rows of 2 trials; give \
         every person 2 places and leave a missing trial empty"
    );
    assert_eq!(
        message(Trials::long(&[
            row(7, 2, 1.0),
            row(8, 1, 1.0),
            row(7, 2, 3.0)
        ])),
        "person and trial 7 and 2 occur together twice; keep one of the two rows"
    );
    let far: Vec<LongRow> = (0..8000).map(|i| row(i, i as u32, 1.0)).collect();
    assert!(message(Trials::long(&far)).contains("split the data"));
}

#[test]
fn empty_rows_and_columns_are_left_out() {
    let cells = [
        Some(1.0),
        None,
        Some(2.0),
        None,
        None,
        None,
        Some(4.0),
        None,
        Some(7.0),
        Some(3.0),
        None,
        Some(5.0),
    ];
    let trials = Trials::wide(&cells, 3).expect("trials");
    assert_eq!(trials.people(), [0, 2, 3]);
    assert_eq!(trials.numbers(), [1, 3]);
    assert_eq!(trials.value(1, 1), Some(7.0));
    assert_eq!(trials.value(9, 0), None);
    let study = study(&trials, 0.9).expect("a study");
    assert_eq!(
        (
            study.people,
            study.trials,
            study.values,
            study.complete_people
        ),
        (3, 2, 6, 3)
    );
    assert_eq!(
        (
            study.raw.pairs[0].first_trial,
            study.raw.pairs[0].second_trial
        ),
        (1, 3)
    );
}

#[test]
fn a_copied_trial_has_no_error() {
    let values: Vec<f64> = (0..8)
        .flat_map(|i| [0.1 * f64::from(i), 0.1 * f64::from(i) + 0.3])
        .collect();
    let study = study(&Trials::complete(&values, 2).expect("trials"), 0.9).expect("a study");
    let said = message(study.raw.pooled.clone());
    assert!(said.contains("copied"), "{said}");
    assert!(message(study.raw.pairs[0].error.clone()).contains("copied"));
    assert!(study.raw.detectable.is_err() && study.raw.correlations.is_err());
    assert!(study.raw.influence.is_err());
    // The change in the mean is still there.
    let change = study.raw.pairs[0].change.clone().expect("a change");
    assert!((change.mean - 0.3).abs() < 1e-12);
    // A value of 0 has no log; the reason is kept.
    assert!(message(study.logs).contains("log"));
}

#[test]
fn people_who_do_not_differ() {
    // Every row a turn of the same four values: no spread between people, and error.
    let rows = [
        [1.0, 2.0, 3.0, 4.0],
        [2.0, 3.0, 4.0, 1.0],
        [4.0, 1.0, 2.0, 3.0],
    ];
    let trials = Trials::complete(&rows.concat(), 4).expect("trials");
    let raw = study(&trials, 0.9).expect("a study").raw;
    assert!(raw.pooled.is_ok());
    assert!(message(raw.worthwhile).contains("care about yourself"));
    let same = Trials::complete(&[5.0; 8], 2).expect("trials");
    let raw = study(&same, 0.9).expect("a study").raw;
    assert!(raw.pooled.is_err() && raw.components.is_err());
}

#[test]
fn trials_that_share_nobody() {
    let n = None;
    let cells = [
        Some(1.0),
        Some(2.0),
        n,
        n,
        Some(3.0),
        Some(3.5),
        n,
        n,
        n,
        n,
        Some(1.0),
        Some(1.7),
        n,
        n,
        Some(4.0),
        Some(4.1),
    ];
    let raw = study(&Trials::wide(&cells, 4).expect("trials"), 0.9)
        .expect("a study")
        .raw;
    // The error needs no common person; the split into people and trials does.
    assert_eq!(raw.pooled.expect("an error").error.df, 2.0);
    assert!(message(raw.components).contains("2 groups that share no person"));
    assert!(raw.pairs[1].change.is_err() && raw.pairs[0].change.is_ok());
    let once = [Some(1.0), n, Some(2.0), n, n, Some(3.0)];
    let raw = study(&Trials::wide(&once, 2).expect("trials"), 0.9)
        .expect("a study")
        .raw;
    assert!(message(raw.pooled).contains("one a person"));
}

#[test]
fn huge_numbers_do_not_become_infinite() {
    let trials =
        Trials::complete(&[1e300, -1e300, 1e300, 1e299, -1e300, 1e300], 2).expect("trials");
    if let Ok(study) = study(&trials, 0.9) {
        assert!(study.raw.pooled.is_err());
    }
    assert!(study(&trials, 1.0).is_err() && study(&trials, f64::NAN).is_err());
}

#[test]
fn a_large_common_level_costs_no_digits() {
    let small = [1.0, 2.5, 3.0, 3.25, 7.0, 6.0, 5.5, 5.25];
    let large = small.map(|v| v + 1e9);
    let te = |values: &[f64]| {
        let study = study(&Trials::complete(values, 2).expect("trials"), 0.9).expect("a study");
        (
            study.raw.pooled.expect("one").error.value,
            study.raw.components.expect("some").between,
        )
    };
    let (a, b) = (te(&small), te(&large));
    assert!((a.0 - b.0).abs() < 1e-6 && (a.1 - b.1).abs() < 1e-6);
}

#[test]
fn level_checks_that_cannot_tell() {
    let few = Trials::complete(&[1.0, 2.0, 3.0, 5.0, 4.0, 4.5], 2).expect("trials");
    assert!(message(level_check(&few, 0.9)).contains("at least 4 needed"));
    let even = Trials::complete(&[1.0, 2.0, 2.0, 3.0, 3.0, 4.0, 4.0, 5.0], 2).expect("trials");
    assert!(message(level_check(&even, 0.9)).contains("do not differ"));
    let five: Vec<f64> = vec![1.0, 1.2, 2.0, 2.9, 3.0, 3.1, 4.0, 5.0, 5.0, 5.2];
    let check = level_check(&Trials::complete(&five, 2).expect("trials"), 0.9).expect("a check");
    assert_eq!(check.advice, Advice::CannotTell);
}

#[test]
fn limits_and_factors_refuse() {
    assert!(limits_of(&[1.0], &[2.0], 0.95, 0.95).is_err());
    assert!(limits_of(&[1.0, 2.0], &[2.0, 4.0], 1.0, 0.95).is_err());
    assert!(limits_of(&[1.0, 2.0], &[2.0, 4.0], 0.95, 0.0).is_err());
    assert!(dist::noncentral_t_quantile(0.5, 0.5, 0.0).is_err());
    assert!(dist::noncentral_t_quantile(0.5, 5.0, f64::NAN).is_err());
    assert!(dist::tolerance_factor(1, 0.9, 0.9).is_err());
    let none = limits_of(&[1.0, 2.0, 3.0], &[2.0, 3.0, 4.0], 0.95, 0.95).expect("limits");
    assert_eq!((none.lower, none.upper), (1.0, 1.0));
}

#[test]
fn limits_of_very_few_and_very_many() {
    let two = limits_of(&[1.0, 2.0], &[2.0, 4.0], 0.95, 0.95).expect("limits");
    assert!(two.outer.1 > 40.0 && two.outer.1.is_finite());
    assert!(two.upper_interval.lower < two.upper && two.upper < two.upper_interval.upper);
    let first: Vec<f64> = (0..200_000).map(|i| f64::from(i % 10)).collect();
    let second: Vec<f64> = (0..200_000).map(|i| f64::from(i % 7)).collect();
    let many = limits_of(&first, &second, 0.95, 0.95).expect("limits");
    // Close to the large-sample form: s root(1/n + z^2 / 2n) on either side, times 1.96.
    let half = 1.959_964 * many.agreement.se_of_limit_1999();
    assert!((many.upper_interval.half_width() / half - 1.0).abs() < 1e-3);
    assert!(many.inner.1 < many.upper && many.upper < many.outer.1);
}

#[test]
fn blends_at_their_ends() {
    let own = TypicalError {
        value: 20.0,
        df: 8.0,
    };
    let published = Published {
        error: TypicalError {
            value: 30.0,
            df: 25.0,
        },
        spread: 0.0,
    };
    let ten = blend(Some((own, 10)), Some(published)).expect("a blend");
    assert_eq!((ten.error, ten.basis), (own, BlendBasis::Own { pairs: 10 }));
    let nine = blend(Some((own, 9)), Some(published)).expect("a blend");
    assert!(nine.error.value > 20.0 && nine.error.value < 30.0);
    assert!(nine.error.df > 25.0 && nine.error.df < 33.5);
    let none = blend(None, Some(published)).expect("a blend");
    assert_eq!(none.basis, BlendBasis::Published);
    assert!((none.error.value - 30.0).abs() < 1e-9 && (none.error.df - 25.0).abs() < 1e-7);
    let apart = Published {
        spread: 0.5,
        ..published
    };
    let weak = blend(Some((own, 9)), Some(apart)).expect("a blend");
    assert!(weak.error.value < nine.error.value && weak.error.df < nine.error.df);
    assert!(message(blend(Some((own, 9)), None)).contains("at least 10 needed"));
    assert!(blend(None, None).is_err());
    for bad in [-1.0, 0.0, f64::NAN, f64::INFINITY] {
        assert!(
            blend(
                Some((
                    TypicalError {
                        value: bad,
                        df: 5.0
                    },
                    12
                )),
                None
            )
            .is_err()
        );
        assert!(
            blend(
                Some((
                    TypicalError {
                        value: 5.0,
                        df: bad
                    },
                    12
                )),
                None
            )
            .is_err()
        );
    }
}
