//! The grid against a plain trapezoid rule over the levels of three dates.

use plimsoll_measure::dist::normal_cdf;
use plimsoll_measure::level::{Learning, Model, Normal, Outcome, Start, Test, posterior};

use super::{bouts, series, usual};

/// The aim set for the grid, in SDs and in chances.
const GRID: f64 = 1e-3;

fn density(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt()
}

fn likelihood(outcome: Outcome, mean: f64, sd: f64) -> f64 {
    let below = |value: f64| normal_cdf((value - mean) / sd).expect("a chance");
    match outcome {
        Outcome::Exact(value) => density((value - mean) / sd) / sd,
        Outcome::Between { lower, upper } => below(upper) - below(lower),
        Outcome::AtLeast(value) => normal_cdf((mean - value) / sd).expect("a chance"),
        Outcome::AtMost(value) => below(value),
    }
}

/// Mean and SD on each of three dates, P(x3 - x1 > 0.02) and ln of the likelihood, by the
/// trapezoid rule over all three levels, independent of the crate's grid.
fn brute(results: &[(f64, Outcome); 3], seen: impl Fn(f64) -> (f64, f64)) -> (Vec<f64>, f64, f64) {
    const POINTS: usize = 240;
    let (low, step) = (6.4, 1.6 / POINTS as f64);
    let level = |k: usize| low + step * k as f64;
    let walk = |a: usize, b: usize, weeks: f64| {
        let sd = (0.0002 * weeks).sqrt();
        density((level(b) - level(a)) / sd) / sd
    };
    let given = |t: usize| -> Vec<f64> {
        (0..POINTS)
            .map(|k| {
                let (mean, sd) = seen(level(k));
                likelihood(results[t].1, mean, sd)
            })
            .collect()
    };
    let like = [given(0), given(1), given(2)];
    let gaps = [results[1].0 - results[0].0, results[2].0 - results[1].0];
    let kernel = |gap: f64| -> Vec<f64> { (0..POINTS).map(|d| walk(0, d, gap)).collect() };
    let kernels = [kernel(gaps[0]), kernel(gaps[1])];
    let (mut total, mut up) = (0.0, 0.0);
    let (mut first, mut second) = ([0.0; 3], [0.0; 3]);
    for a in 0..POINTS {
        let start = density((level(a) - 7.2) / 0.2) / 0.2 * like[0][a];
        for b in 0..POINTS {
            let two = start * kernels[0][a.abs_diff(b)] * like[1][b];
            for c in 0..POINTS {
                let all = two * kernels[1][b.abs_diff(c)] * like[2][c] * step.powi(3);
                total += all;
                let change = level(c) - level(a) - 0.02;
                // A cell on the threshold counts for the part above it.
                up += all * (0.5 + change / step).clamp(0.0, 1.0);
                for (t, k) in [a, b, c].into_iter().enumerate() {
                    first[t] += all * level(k);
                    second[t] += all * level(k) * level(k);
                }
            }
        }
    }
    let moments = (0..3).flat_map(|t| {
        let mean = first[t] / total;
        [mean, (second[t] / total - mean * mean).sqrt()]
    });
    (moments.collect(), up / total, total.ln())
}

fn check(model: &Model, results: &[(f64, Outcome); 3], seen: impl Fn(f64) -> (f64, f64)) {
    let series = series(results);
    let (moments, up, likelihood) = brute(results, seen);
    let posterior = posterior(model, &series).expect("a posterior");
    for (t, level) in posterior.levels(0.9).expect("levels").iter().enumerate() {
        let (mean, sd) = (moments[2 * t], moments[2 * t + 1]);
        assert!(
            (level.mean - mean).abs() < GRID * sd,
            "{t}: {} for {mean}",
            level.mean
        );
        assert!(
            (level.sd - sd).abs() < GRID * sd,
            "{t}: {} for {sd}",
            level.sd
        );
    }
    let change = posterior
        .change(results[0].0, results[2].0)
        .expect("a change");
    let got = change.chance(0.02).expect("chances").up;
    assert!((got - up).abs() < GRID, "chance {got} for {up}");
    assert!((posterior.log_likelihood() - likelihood).abs() < 1e-4);
}

#[test]
fn ranges_and_bounds_agree_with_brute_force() {
    let plain = |x: f64| (x, 0.07);
    check(
        &usual(),
        &[(0.0, bouts(30)), (4.0, bouts(36)), (10.0, bouts(35))],
        plain,
    );
    // Few, wide scores: eight bouts are 12 % apart.
    check(
        &shifted(),
        &[(0.0, bouts(8)), (6.0, bouts(10)), (12.0, bouts(11))],
        |x| (x - 1.3, 0.07),
    );
    let bounds = [
        (0.0, bouts(30)),
        (5.0, Outcome::AtLeast(7.5)),
        (9.0, Outcome::AtMost(7.3)),
    ];
    check(&usual(), &bounds, plain);
}

/// A test whose outcome lies 1.3 below the level.
fn shifted() -> Model {
    let test = Test {
        offset: Normal::exactly(-1.3),
        ..Test::anchor(0.07)
    };
    let start = Start::From(Normal { mean: 7.2, sd: 0.2 });
    Model::new(start, 0.0002, vec![test], Learning::NONE).expect("a model")
}

#[test]
fn an_uncertain_slope_agrees_with_brute_force() {
    let test = Test {
        offset: Normal {
            mean: 2.0,
            sd: 0.05,
        },
        slope: Normal { mean: 1.5, sd: 0.3 },
        pivot: 7.2,
        error: 0.07,
    };
    let start = Start::From(Normal { mean: 7.2, sd: 0.2 });
    let model = Model::new(start, 0.0002, vec![test], Learning::NONE).expect("a model");
    let results = [
        (0.0, Outcome::Exact(2.2)),
        (
            4.0,
            Outcome::Between {
                lower: 2.1,
                upper: 2.3,
            },
        ),
        (10.0, Outcome::Exact(1.9)),
    ];
    check(&model, &results, |x| {
        let variance = 0.07_f64.powi(2) + 0.05_f64.powi(2) + (0.3 * (x - 7.2)).powi(2);
        (2.0 + 1.5 * (x - 7.2), variance.sqrt())
    });
}
