//! The grid against the exact filter.

use plimsoll_measure::dist::normal_cdf;
use plimsoll_measure::level::{
    Learning, Model, Normal, Observation, Outcome, Series, Start, Test, kalman, levels, posterior,
};

use super::{bouts, series, usual};

/// The aim set for the grid, in SDs and in chances.
const GRID: f64 = 1e-3;
/// A result a millionth of its error wide, against an exact one.
const THIN: f64 = 1e-6;

#[test]
fn a_very_narrow_range_is_an_exact_result() {
    let values = [(0.0, 7.10), (3.0, 7.22), (3.0, 7.15), (11.0, 7.31)];
    let model = usual();
    let exact = kalman(
        &model,
        &series(&values.map(|(t, y)| (t, Outcome::Exact(y)))),
    );
    let exact = exact.expect("levels");
    let width = THIN * 0.07;
    let narrow = values.map(|(t, y)| {
        let (lower, upper) = (y - 0.5 * width, y + 0.5 * width);
        (t, Outcome::Between { lower, upper })
    });
    let narrow = series(&narrow);
    let found = posterior(&model, &narrow).expect("a posterior");
    for (level, want) in found
        .levels(0.9)
        .expect("levels")
        .iter()
        .zip(&exact.smoothed)
    {
        let sd = want.variance.sqrt();
        assert!((level.mean - want.mean).abs() < GRID * sd);
        assert!((level.sd - sd).abs() < GRID * sd);
    }
    // A range holds a chance, an exact result a density: they differ by ln of the width.
    let got = found.log_likelihood() - 4.0 * width.ln();
    assert!((got - exact.log_likelihood).abs() < 1e-5);
}

#[test]
fn short_and_long_gaps_agree_with_the_exact_filter() {
    for (drift, gap) in [
        (1e-6, 1.0),
        (1e-4, 0.15),
        (2e-4, 3.0),
        (0.01, 20.0),
        (0.0, 5.0),
    ] {
        let start = Start::From(Normal { mean: 7.2, sd: 0.2 });
        let model = Model::new(start, drift, vec![Test::anchor(0.07)], Learning::NONE);
        let model = model.expect("a model");
        let values = [7.1, 7.3, 7.25, 7.2, 7.4, 7.35];
        let results: Vec<(f64, Outcome)> = (0..)
            .zip(values)
            .map(|(k, y)| (gap * f64::from(k), Outcome::Exact(y)))
            .collect();
        let series = series(&results);
        let exact = kalman(&model, &series).expect("levels");
        let grid = posterior(&model, &series).expect("a posterior");
        for (level, want) in grid
            .levels(0.9)
            .expect("levels")
            .iter()
            .zip(&exact.smoothed)
        {
            let sd = want.variance.sqrt();
            assert!((level.mean - want.mean).abs() < GRID * sd, "drift {drift}");
            assert!(
                (level.sd - sd).abs() < GRID * sd,
                "drift {drift}: {} {sd}",
                level.sd
            );
        }
        for (a, b) in [(0, 1), (0, 5), (4, 1)] {
            let want = exact.change(a, b).expect("a change");
            let got = grid
                .change(exact.weeks[a], exact.weeks[b])
                .expect("a change");
            let sd = want.variance.sqrt();
            assert!((got.mean - want.mean).abs() <= GRID * sd, "drift {drift}");
            assert!(
                (got.sd - sd).abs() <= GRID * sd,
                "drift {drift}: {} {sd}",
                got.sd
            );
            let swc = 0.5 * sd;
            let chance = got.chance(swc).expect("chances");
            if sd > 0.0 {
                let up = normal_cdf((want.mean - swc) / sd).expect("a chance");
                assert!(
                    (chance.up - up).abs() < GRID,
                    "drift {drift}: {} {up}",
                    chance.up
                );
            } else {
                assert_eq!((chance.up, chance.trivial, chance.down), (0.0, 1.0, 0.0));
            }
        }
    }
}

#[test]
fn two_tests_learning_and_conditions_enter_both_engines_alike() {
    let other = Test {
        offset: Normal {
            mean: 6.5,
            sd: 0.08,
        },
        slope: Normal::exactly(1.6),
        pivot: 7.2,
        error: 0.1,
    };
    let learning = Learning {
        first: Normal {
            mean: -0.04,
            sd: 0.02,
        },
        second: Normal {
            mean: -0.01,
            sd: 0.01,
        },
    };
    let start = Start::From(Normal { mean: 7.2, sd: 0.2 });
    let model = Model::new(start, 0.0002, vec![Test::anchor(0.07), other], learning);
    let model = model.expect("a model");
    let wind = Normal {
        mean: -0.03,
        sd: 0.02,
    };
    let seen = |week, test, trial, conditions, y| Observation {
        week,
        test,
        trial,
        conditions,
        outcome: Outcome::Exact(y),
    };
    let all = Series::new(vec![
        seen(0.0, 0, Some(1), Normal::ZERO, 7.1),
        seen(0.0, 1, Some(1), Normal::ZERO, 6.6),
        seen(6.0, 0, Some(2), wind, 7.15),
        seen(9.0, 1, Some(3), Normal::ZERO, 6.7),
    ])
    .expect("a series");
    let exact = kalman(&model, &all).expect("levels");
    let grid = posterior(&model, &all).expect("a posterior");
    for (level, want) in grid
        .levels(0.9)
        .expect("levels")
        .iter()
        .zip(&exact.smoothed)
    {
        let sd = want.variance.sqrt();
        assert!((level.mean - want.mean).abs() < GRID * sd);
        assert!((level.sd - sd).abs() < GRID * sd);
    }
    assert!((grid.log_likelihood() - exact.log_likelihood).abs() < 1e-6);
    // By hand: one first trial, learning taken off, its spread added.
    let one = Series::new(vec![seen(0.0, 0, Some(1), wind, 7.1)]).expect("a series");
    let got = kalman(&model, &one).expect("a level").smoothed[0];
    let noise = 0.07_f64.powi(2) + 0.02_f64.powi(2) + 0.02_f64.powi(2);
    let share = 0.04 / (0.04 + noise);
    assert!((got.mean - (7.2 + share * (7.1 + 0.07 - 7.2))).abs() < 1e-12);
    assert!((got.variance - share * noise).abs() < 1e-12);
}

#[test]
fn many_threads_give_what_one_gives() {
    let squad: Vec<Series> = (0..7)
        .map(|k| {
            series(&[
                (0.0, bouts(30 + k)),
                (4.0, bouts(33)),
                (9.0, bouts(31 + 2 * k)),
            ])
        })
        .collect();
    let model = usual();
    let one = levels(&model, &squad, 0.9, 1).expect("levels");
    assert_eq!(one, levels(&model, &squad, 0.9, 3).expect("levels"));
    assert_eq!(one, levels(&model, &squad, 0.9, 50).expect("levels"));
    for (found, series) in one.iter().zip(&squad) {
        let found = found.as_ref().expect("levels");
        let alone = posterior(&model, series).expect("a posterior");
        assert_eq!(found.dates, alone.levels(0.9).expect("levels"));
        assert_eq!(found.log_likelihood, alone.log_likelihood());
    }
}

#[test]
fn a_date_between_and_an_outlier_far_off_are_read_right() {
    let model = usual();
    let results = [(0.0, Outcome::Exact(7.1)), (8.0, Outcome::Exact(7.3))];
    let series = series(&results);
    let grid = posterior(&model, &series).expect("a posterior");
    let ends = grid.levels(0.9).expect("levels");
    let middle = grid.level_at(4.0, 0.9).expect("a level");
    assert!((middle.mean - 0.5 * (ends[0].mean + ends[1].mean)).abs() < GRID * middle.sd);
    // A slip of the pen: 30 errors away. The walk must follow as the exact filter does.
    let slip = super::series(&[
        (0.0, Outcome::Exact(7.1)),
        (4.0, Outcome::Exact(5.0)),
        (8.0, Outcome::Exact(7.1)),
    ]);
    let exact = kalman(&model, &slip).expect("levels");
    let found = posterior(&model, &slip).expect("a posterior");
    for (level, want) in found
        .levels(0.9)
        .expect("levels")
        .iter()
        .zip(&exact.smoothed)
    {
        let sd = want.variance.sqrt();
        assert!(
            (level.mean - want.mean).abs() < GRID * sd,
            "{} {}",
            level.mean,
            want.mean
        );
    }
}

#[test]
fn many_steps_far_shorter_than_the_spacing_add_up() {
    // Sixty dates: steps of a third to three quarters of a spacing, carried by three or five points.
    for drift in [2e-6, 6.4e-6] {
        let start = Start::From(Normal { mean: 7.2, sd: 0.2 });
        let model = Model::new(start, drift, vec![Test::anchor(0.07)], Learning::NONE);
        let model = model.expect("a model");
        let results: Vec<(f64, Outcome)> = (0..60)
            .map(|k| {
                let y = 7.2 + 0.05 * (1.7 * f64::from(k)).sin() + 0.0005 * f64::from(k);
                (0.1 * f64::from(k), Outcome::Exact(y))
            })
            .collect();
        let series = series(&results);
        let exact = kalman(&model, &series).expect("levels");
        let grid = posterior(&model, &series).expect("a posterior");
        for (level, want) in grid
            .levels(0.9)
            .expect("levels")
            .iter()
            .zip(&exact.smoothed)
        {
            let sd = want.variance.sqrt();
            assert!((level.mean - want.mean).abs() < GRID * sd, "drift {drift}");
            assert!(
                (level.sd - sd).abs() < GRID * sd,
                "drift {drift}: {} {sd}",
                level.sd
            );
        }
        let want = exact.change(0, 59).expect("a change");
        let got = grid
            .change(exact.weeks[0], exact.weeks[59])
            .expect("a change");
        let sd = want.variance.sqrt();
        assert!((got.mean - want.mean).abs() < GRID * sd && (got.sd - sd).abs() < GRID * sd);
    }
}
