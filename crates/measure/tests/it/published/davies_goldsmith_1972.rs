//! Source: Davies & Goldsmith 1972, Statistical Methods in Research and Production, dyestuff
//! yields of 6 batches x 5 (typed from memory, equal to the copy in lme4 1.1-31), and the made-up
//! second table of Box & Tiao 1973 (same); results from lme4 1.1-31 (run).

use plimsoll_measure::mixed::{
    Criterion, Data, Design, Fit, ProfileTarget, RandomTerm, Weights, intercept,
};

use crate::golden::{close, close_relative};
use crate::mixed_data::fitted;

const DYESTUFF: [f64; 30] = [
    1545.0, 1440.0, 1440.0, 1520.0, 1580.0, 1540.0, 1555.0, 1490.0, 1560.0, 1495.0, 1595.0, 1550.0,
    1605.0, 1510.0, 1560.0, 1445.0, 1440.0, 1595.0, 1465.0, 1545.0, 1595.0, 1630.0, 1515.0, 1635.0,
    1625.0, 1520.0, 1455.0, 1450.0, 1480.0, 1445.0,
];
const DYESTUFF_2: [f64; 30] = [
    7.298, 3.846, 2.434, 9.566, 7.99, 5.22, 6.556, 0.608, 11.788, -0.892, 0.11, 10.386, 13.434,
    5.51, 8.166, 2.212, 4.852, 7.092, 9.288, 4.98, 0.282, 9.014, 4.458, 9.446, 7.198, 1.722, 4.782,
    8.106, 0.758, 3.758,
];

/// The search stops where the likelihood is flat.
const LOG_LIKELIHOOD: f64 = 1e-6;
/// Balanced data have the answer in closed form; ours and theirs differ by the stop only.
const SDS: f64 = 1e-5;
/// lme4 interpolates its profile with splines.
const PROFILE: f64 = 5e-4;

pub fn batches(yields: &[f64; 30]) -> Data {
    Data {
        response: yields.to_vec(),
        design: Design {
            fixed: vec![intercept(30)],
            random: vec![RandomTerm::intercept(
                "Batch",
                (0..30).map(|i| i / 5).collect(),
            )],
        },
        weights: Weights::Equal,
    }
}

fn sd(fit: &Fit) -> f64 {
    fit.terms[0].columns[0].sd
}

/// Source: deviance 327.32706 (ML) and 319.65428 (REML), well known; SDs from lme4.
#[test]
fn dyestuff() {
    let data = batches(&DYESTUFF);
    let reml = fitted(&data, Criterion::Reml);
    assert!((reml.log_likelihood + 159.827138421).abs() < LOG_LIKELIHOOD);
    assert!((reml.deviance - 319.65428).abs() < 5e-6);
    close_relative("sd", sd(&reml), 42.0005946300, SDS);
    close_relative("sigma", reml.sigma.expect("sigma"), 49.5101000907, SDS);
    close_relative("se", reml.fixed[0].se, 19.3834119437, SDS);
    let test = reml.test(&[1.0]).expect("a test");
    close_relative("df", test.df.expect("df"), 5.0, SDS);
    close_relative("effect", reml.terms[0].effects[0][0], -17.60685122, SDS);
    close_relative("sd", reml.terms[0].conditional_sds[0][0], 19.58657006, SDS);
    let ml = fitted(&data, Criterion::Ml);
    assert!((ml.log_likelihood + 163.663529941).abs() < LOG_LIKELIHOOD);
    assert!((ml.deviance - 327.32706).abs() < 5e-6);
    close_relative("sd", sd(&ml), 37.2603461564, SDS);
    close_relative("theta", ml.theta[0], 0.7525807122, SDS);
    close_relative("df", ml.test(&[1.0]).expect("ok").df.expect("df"), 6.0, SDS);
    for (target, low, high) in [
        (
            ProfileTarget::Sd { term: 0, column: 0 },
            12.19853521,
            84.06304671,
        ),
        (ProfileTarget::Sigma, 38.22998488, 67.65769624),
        (
            ProfileTarget::Fixed { column: 0 },
            1486.45149997,
            1568.54849437,
        ),
    ] {
        let got = ml.profile(target, 0.95).expect("an interval").interval;
        close("low", got.lower, low, PROFILE);
        close("high", got.upper, high, PROFILE);
    }
}

/// Source: the mean squares of the table; balanced REML is the analysis of variance.
#[test]
fn dyestuff_in_closed_form() {
    let means: Vec<f64> = DYESTUFF
        .chunks(5)
        .map(|b| b.iter().sum::<f64>() / 5.0)
        .collect();
    let all = means.iter().sum::<f64>() / 6.0;
    let between = 5.0 * means.iter().map(|m| (m - all).powi(2)).sum::<f64>() / 5.0;
    let within = (0..30)
        .map(|i| (DYESTUFF[i] - means[i / 5]).powi(2))
        .sum::<f64>()
        / 24.0;
    let fit = fitted(&batches(&DYESTUFF), Criterion::Reml);
    close_relative("sigma", fit.sigma.expect("sigma"), within.sqrt(), 1e-6);
    close_relative("sd", sd(&fit), ((between - within) / 5.0).sqrt(), 1e-6);
    close_relative("mean", fit.fixed[0].estimate, all, 1e-12);
}

/// Source: lme4: batch SD exactly 0, which is said, not hidden.
#[test]
fn dyestuff_2_is_singular() {
    let data = batches(&DYESTUFF_2);
    for (criterion, log_likelihood, sigma, se, df) in [
        (
            Criterion::Reml,
            -80.914138906,
            3.71568427448,
            0.678388031233,
            29.0,
        ),
        (
            Criterion::Ml,
            -81.436518327,
            3.65323135137,
            0.666985739644,
            30.0,
        ),
    ] {
        let fit = fitted(&data, criterion);
        assert!((fit.log_likelihood - log_likelihood).abs() < LOG_LIKELIHOOD);
        assert_eq!(sd(&fit), 0.0);
        assert!(fit.singular && fit.terms[0].singular);
        let notes = fit.singular_notes();
        assert!(
            notes[0].contains("`Batch`") && notes[0].contains("estimated as 0"),
            "{notes:?}"
        );
        assert!(fit.terms[0].effects.iter().all(|e| e[0] == 0.0));
        close_relative("sigma", fit.sigma.expect("sigma"), sigma, SDS);
        close_relative("se", fit.fixed[0].se, se, SDS);
        close_relative("df", fit.test(&[1.0]).expect("ok").df.expect("df"), df, SDS);
    }
    let fit = fitted(&data, Criterion::Ml);
    let sd = fit
        .profile(ProfileTarget::Sd { term: 0, column: 0 }, 0.95)
        .expect("an interval");
    assert!(
        sd.lower_at_bound && sd.interval.lower == 0.0 && sd.interval.upper > 1.0,
        "{sd:?}"
    );
}
