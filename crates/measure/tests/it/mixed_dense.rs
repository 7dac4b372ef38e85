//! Mixed models against the dense formula on chosen data, known variances, coverage.

use nalgebra::{DMatrix, DVector};
use plimsoll_measure::mixed::{
    Criterion, Data, Design, Fit, RandomTerm, Settings, Structure, Weights, fit, intercept,
};

use crate::golden::close_relative;
use crate::mixed_data::{Lehmer, Slopes, crossed, fitted, nested, sleep};

/// Dense and blocked sums of a few dozen rows.
const DENSE: f64 = 1e-8;
/// Two searches stop at slightly different places.
const STOP: f64 = 1e-5;

/// Deviance and effects by the dense formula at theta and sigma: no block, no elimination.
fn dense(data: &Data, theta: &[f64], sigma: f64, criterion: Criterion) -> (f64, Vec<f64>) {
    let n = data.response.len();
    let error: Vec<f64> = match &data.weights {
        Weights::Equal => vec![sigma * sigma; n],
        Weights::Prior(w) => w.iter().map(|w| sigma * sigma / w).collect(),
        Weights::KnownVariance(v) => v.clone(),
    };
    let mut v = DMatrix::from_diagonal(&DVector::from_vec(error));
    let (mut at, mut parts) = (0, Vec::new());
    for term in &data.design.random {
        let q = term.columns.len();
        let mut lambda = DMatrix::zeros(q, q);
        for j in 0..q {
            for i in j..if term.correlated { q } else { j + 1 } {
                lambda[(i, j)] = theta[at];
                at += 1;
            }
        }
        let levels = term.groups.iter().max().expect("a level") + 1;
        let mut z = DMatrix::zeros(n, levels * q);
        for (row, &g) in term.groups.iter().enumerate() {
            for (c, column) in term.columns.iter().enumerate() {
                z[(row, g * q + c)] = column.values[row];
            }
        }
        let part = DMatrix::identity(levels, levels).kronecker(&(&lambda * lambda.transpose()))
            * (sigma * sigma);
        v += &z * &part * z.transpose();
        parts.push(part * z.transpose());
    }
    let chol = v.cholesky().expect("positive definite");
    let x = DMatrix::from_fn(n, data.design.fixed.len(), |i, j| {
        data.design.fixed[j].values[i]
    });
    let y = DVector::from_vec(data.response.clone());
    let xvx = x.transpose() * chol.solve(&x);
    let inner = xvx.clone().cholesky().expect("positive definite");
    let beta = inner.solve(&(x.transpose() * chol.solve(&y)));
    let rest = &y - &x * beta;
    let solved = chol.solve(&rest);
    let log_det = |l: &DMatrix<f64>| 2.0 * (0..l.nrows()).map(|i| l[(i, i)].ln()).sum::<f64>();
    let mut df = n as f64;
    let mut deviance = log_det(&chol.l()) + rest.dot(&solved);
    if criterion == Criterion::Reml {
        df -= x.ncols() as f64;
        deviance += log_det(&inner.l());
    }
    deviance += df * (2.0 * std::f64::consts::PI).ln();
    let effects = parts
        .iter()
        .flat_map(|p| (p * &solved).iter().copied().collect::<Vec<_>>());
    (deviance, effects.collect())
}

/// Asserts deviance and effects of the dense formula, and that no near theta is better.
#[track_caller]
pub fn agrees_with_dense(data: &Data, fit: &Fit) {
    let sigma = fit.sigma.unwrap_or(1.0);
    let (deviance, effects) = dense(data, &fit.theta, sigma, fit.criterion);
    close_relative("deviance", fit.deviance, deviance, DENSE);
    let got = fit.terms.iter().flat_map(|t| t.effects.iter().flatten());
    for (got, want) in got.zip(&effects) {
        assert!((got - want).abs() < 1e-6 * sigma.max(1.0), "{got} {want}");
    }
    for k in 0..fit.theta.len() {
        for step in [-0.01, 0.01, 0.1] {
            let mut theta = fit.theta.clone();
            theta[k] += step;
            let other = dense(data, &theta, sigma, fit.criterion).0;
            assert!(
                other > fit.deviance - 1e-6,
                "theta {k} {step}: {other} {}",
                fit.deviance
            );
        }
    }
}

#[test]
fn known_error_variances() {
    let mut random = Lehmer(4242);
    let n = 25;
    let variance: Vec<f64> = (0..n).map(|_| 0.2 + 3.0 * random.uniform()).collect();
    let response = variance
        .iter()
        .map(|v| 4.0 + 1.5 * random.normal() + v.sqrt() * random.normal())
        .collect();
    let data = Data {
        response,
        design: Design {
            fixed: vec![intercept(n)],
            random: vec![RandomTerm::intercept("study", (0..n).collect())],
        },
        weights: Weights::KnownVariance(variance),
    };
    for criterion in [Criterion::Reml, Criterion::Ml] {
        let fit = fitted(&data, criterion);
        assert!(fit.sigma.is_none() && fit.parameters == 2);
        close_relative("sd", fit.terms[0].columns[0].sd, fit.theta[0], DENSE);
        agrees_with_dense(&data, &fit);
        assert!(fit.test(&[1.0]).expect("a test").df.expect("df") > 1.0);
    }
}

/// Source: Rubin 1981, coaching in eight schools (from memory); with no spread left between the
/// schools the mean is the weighted one (derived).
#[test]
fn eight_schools_have_no_spread() {
    let effects = vec![28.0, 8.0, -3.0, 7.0, -1.0, 1.0, 18.0, 12.0];
    let errors = [15.0_f64, 10.0, 16.0, 11.0, 9.0, 11.0, 10.0, 18.0];
    let weight: f64 = errors.iter().map(|e| 1.0 / (e * e)).sum();
    let sum: f64 = effects.iter().zip(&errors).map(|(y, e)| y / (e * e)).sum();
    let data = Data {
        response: effects,
        design: Design {
            fixed: vec![intercept(8)],
            random: vec![RandomTerm::intercept("school", (0..8).collect())],
        },
        weights: Weights::KnownVariance(errors.iter().map(|e| e * e).collect()),
    };
    let fit = fitted(&data, Criterion::Reml);
    assert!(fit.singular && fit.terms[0].columns[0].sd == 0.0);
    close_relative("mean", fit.fixed[0].estimate, sum / weight, DENSE);
    close_relative("se", fit.fixed[0].se, weight.sqrt().recip(), DENSE);
}

#[test]
fn both_structures_give_the_same_numbers() {
    for data in [
        nested(),
        crossed(Slopes::Correlated),
        sleep(Slopes::Correlated),
    ] {
        let mut settings = Settings::new(Criterion::Ml);
        let apart = fit(&data, &settings).expect("a fit");
        settings.structure = Structure::OneBlock;
        let joined = fit(&data, &settings).expect("a fit");
        close_relative("deviance", joined.deviance, apart.deviance, 1e-10);
    }
}

/// Two terms with the same groups are one correlated-free term.
#[test]
fn two_terms_are_one_uncorrelated_term() {
    let data = sleep(Slopes::Uncorrelated);
    let mut other = data.clone();
    let term = data.design.random[0].clone();
    other.design.random = term
        .columns
        .iter()
        .map(|c| RandomTerm::new("Subject", term.groups.clone(), vec![c.clone()]))
        .collect();
    let (a, b) = (
        fitted(&data, Criterion::Reml),
        fitted(&other, Criterion::Reml),
    );
    close_relative("deviance", b.deviance, a.deviance, 1e-12);
    assert_eq!(b.terms.len(), 2);
    close_relative(
        "sd",
        b.terms[1].columns[0].sd,
        a.terms[0].columns[1].sd,
        STOP,
    );
}

/// Large dense blocks go through another factorisation; 150 x 130 crossed levels.
#[test]
fn a_large_crossed_block_agrees_with_the_dense_formula() {
    let mut random = Lehmer(31);
    let n = 420;
    let effect: Vec<f64> = (0..280).map(|_| random.normal()).collect();
    let a: Vec<usize> = (0..n).map(|i| i % 150).collect();
    let b: Vec<usize> = (0..n).map(|i| (i * 7 + i / 150) % 130).collect();
    let response = (0..n)
        .map(|i| effect[a[i]] + 0.7 * effect[150 + b[i]] + random.normal())
        .collect();
    let data = Data {
        response,
        design: Design {
            fixed: vec![intercept(n)],
            random: vec![RandomTerm::intercept("a", a), RandomTerm::intercept("b", b)],
        },
        weights: Weights::Equal,
    };
    agrees_with_dense(&data, &fitted(&data, Criterion::Reml));
}

/// Fits of many invented data sets cover the true values about as often as they should.
#[test]
fn intervals_cover() {
    let (mut hits, runs) = (0, 200);
    let mut random = Lehmer(20_260_101);
    for _ in 0..runs {
        let (mut y, mut groups) = (Vec::new(), Vec::new());
        for group in 0..10 {
            let effect = 2.0 * random.normal();
            for _ in 0..4 {
                groups.push(group);
                y.push(50.0 + effect + random.normal());
            }
        }
        let data = Data {
            design: Design {
                fixed: vec![intercept(40)],
                random: vec![RandomTerm::intercept("g", groups)],
            },
            response: y,
            weights: Weights::Equal,
        };
        let test = fitted(&data, Criterion::Reml).test(&[1.0]).expect("a test");
        hits += usize::from(test.interval(0.9).expect("an interval").contains(50.0));
    }
    // Binomial 200 x 0.9: SD 4.2, so that three SDs are 13.
    assert!((167..=193).contains(&hits), "{hits} of {runs}");
}
