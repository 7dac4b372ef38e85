//! Source: lme4 1.1-31 and lmerTest 3.1-3 under R 4.2.2 (run for this test, bobyqa with rhoend
//! 1e-10), on the invented crossed and nested rows of `mixed_data::crossed_rows`.

use plimsoll_measure::mixed::{Criterion, Fit, ProfileTarget, Settings, Structure, fit};

use crate::golden::{close, close_relative};
use crate::mixed_data::{Slopes, crossed, crossed_rows, fitted, nested};

/// Both searches stop near the optimum, where the likelihood is flat.
const LOG_LIKELIHOOD: f64 = 1e-6;
/// Relative agreement of SDs and standard errors at two stops of two searches.
const SDS: f64 = 1e-4;
/// lmerTest differentiates numerically, at lme4's slightly different optimum.
const FREEDOM: f64 = 1e-3;
/// lme4 interpolates its profile with splines.
const PROFILE: f64 = 1e-3;
/// Two orders of elimination of the same sums.
const SAME: f64 = 1e-8;

/// Numbers printed by R for one model.
struct Want {
    log_likelihood: f64,
    sds: &'static [f64],
    sigma: f64,
    fixed: [[f64; 3]; 2],
    effects: &'static [(usize, usize, f64)],
    conditional: &'static [(usize, [f64; 3])],
}

#[track_caller]
fn compare(fit: &Fit, want: &Want) {
    let off = (fit.log_likelihood - want.log_likelihood).abs();
    assert!(off < LOG_LIKELIHOOD, "logLik off by {off:e}");
    let sds: Vec<f64> = fit
        .terms
        .iter()
        .flat_map(|t| t.columns.iter().map(|c| c.sd))
        .collect();
    assert_eq!(sds.len(), want.sds.len());
    for (got, want) in sds.iter().zip(want.sds) {
        close_relative("sd", *got, *want, SDS);
    }
    close_relative("sigma", fit.sigma.expect("sigma"), want.sigma, SDS);
    for (k, [estimate, se, df]) in want.fixed.into_iter().enumerate() {
        close_relative("estimate", fit.fixed[k].estimate, estimate, SDS);
        close_relative("se", fit.fixed[k].se, se, SDS);
        let contrast: Vec<f64> = (0..2).map(|j| f64::from(j == k)).collect();
        let test = fit.test(&contrast).expect("a test");
        close_relative("df", test.df.expect("df"), df, FREEDOM);
    }
    for &(term, level, effect) in want.effects {
        close("effect", fit.terms[term].effects[level][0], effect, SDS);
    }
    for &(term, sds) in want.conditional {
        for (level, sd) in sds.into_iter().enumerate() {
            let got = fit.terms[term].conditional_sds[level][0];
            close_relative("conditional sd", got, sd, SDS);
        }
    }
}

/// Source: the rows as R made them: 208, first value, sum.
#[test]
fn the_rows_are_those_of_r() {
    let y = crossed_rows().y;
    assert_eq!(y.len(), 208);
    close("first", y[0], 13.0639291357522, 1e-13);
    close("sum", y.iter().sum(), 2406.55222082805, 1e-13);
}

/// Source: y ~ t + (1 | plate) + (1 | sample), REML.
#[test]
fn crossed_intercepts_by_reml() {
    compare(
        &fitted(&crossed(Slopes::None), Criterion::Reml),
        &Want {
            log_likelihood: -318.867492940,
            sds: &[1.438411440583, 0.817509150774],
            sigma: 0.892505318334,
            fixed: [
                [10.152295935767, 0.4628073833866, 15.1640752432],
                [0.737974431697, 0.0583051642615, 180.1881288366],
            ],
            effects: &[
                (0, 0, 0.18411223),
                (0, 1, -1.80715429),
                (0, 2, 0.80748973),
                (1, 0, -0.49817984),
                (1, 2, -0.33336467),
            ],
            conditional: &[
                (0, [0.41348921, 0.36208870, 0.34152539]),
                (1, [0.26101109, 0.26748132, 0.25977135]),
            ],
        },
    );
}

/// Source: the same by ML.
#[test]
fn crossed_intercepts_by_ml() {
    compare(
        &fitted(&crossed(Slopes::None), Criterion::Ml),
        &Want {
            log_likelihood: -317.043485574,
            sds: &[1.423025353194, 0.774302585588],
            sigma: 0.890097840590,
            fixed: [
                [10.151816990264, 0.4481094742593, 18.041434253],
                [0.738166622285, 0.0581434959792, 181.183989389],
            ],
            effects: &[(0, 1, -1.80550313), (1, 1, 0.40998995)],
            conditional: &[(1, [0.25498677, 0.26146520, 0.25374478])],
        },
    );
}

/// Source: y ~ t + (t | plate) + (1 | sample), REML; correlation -0.083690497771.
#[test]
fn crossed_with_a_random_slope() {
    let fit = fitted(&crossed(Slopes::Correlated), Criterion::Reml);
    let correlation = fit.terms[0].correlations[1][0].expect("a correlation");
    close("correlation", correlation, -0.083690497771, SDS);
    close("slope", fit.terms[0].effects[0][1], 0.35815708, SDS);
    compare(
        &fit,
        &Want {
            log_likelihood: -271.855741024,
            sds: &[1.046596941613, 0.607249867916, 0.777922913783],
            sigma: 0.615398255261,
            fixed: [
                [10.016526787129, 0.395619866280, 10.7757135098],
                [0.742047263443, 0.132028652127, 22.0349354993],
            ],
            effects: &[(0, 0, -0.30838468), (0, 2, 1.44164600), (1, 0, -0.46414740)],
            conditional: &[
                (0, [0.49196333, 0.56674636, 0.36506281]),
                (1, [0.21009481, 0.21667328, 0.21209483]),
            ],
        },
    );
}

/// Source: confint of the ML fit with crossed intercepts.
#[test]
fn crossed_profile_intervals() {
    use ProfileTarget::{Fixed, Sd, Sigma};
    let fit = fitted(&crossed(Slopes::None), Criterion::Ml);
    for (target, low, high) in [
        (Sd { term: 0, column: 0 }, 1.0778120278, 1.9707959313),
        (Sd { term: 1, column: 0 }, 0.4605823231, 1.5889639958),
        (Sigma, 0.8052256696, 0.9910112109),
        (Fixed { column: 0 }, 9.2181674691, 11.0889585006),
        (Fixed { column: 1 }, 0.6235787683, 0.8533297563),
    ] {
        let got = fit.profile(target, 0.95).expect("an interval").interval;
        close(&format!("{target:?} low"), got.lower, low, PROFILE);
        close(&format!("{target:?} high"), got.upper, high, PROFILE);
    }
}

/// Source: y ~ t + (1 | sample / inner), REML; apart and in one block.
#[test]
fn nested_by_both_structures() {
    let data = nested();
    let apart = fitted(&data, Criterion::Reml);
    compare(
        &apart,
        &Want {
            log_likelihood: -398.971639456,
            sds: &[0.689590442040, 0.633619034185],
            sigma: 1.523284843707,
            fixed: [
                [9.669788871565, 0.3641414724350, 9.15499215313],
                [0.980764584838, 0.0962520264944, 194.24032681052],
            ],
            effects: &[(0, 0, 0.32979086), (0, 1, -0.58588339), (1, 1, 0.18327952)],
            conditional: &[
                (0, [0.47834640, 0.46141526, 0.47834640]),
                (1, [0.35511563, 0.36319827, 0.35440073]),
            ],
        },
    );
    let mut settings = Settings::new(Criterion::Reml);
    settings.structure = Structure::OneBlock;
    let joined = fit(&data, &settings).expect("a fit");
    close("deviance", joined.deviance, apart.deviance, SAME);
    for (a, b) in joined.terms.iter().zip(&apart.terms) {
        close("sd", a.columns[0].sd, b.columns[0].sd, 1e3 * SAME);
        for (a, b) in a.effects.iter().zip(&b.effects) {
            close("effect", a[0], b[0], 1e3 * SAME);
        }
        for (a, b) in a.conditional_sds.iter().zip(&b.conditional_sds) {
            close("sd", a[0], b[0], 1e3 * SAME);
        }
    }
}
