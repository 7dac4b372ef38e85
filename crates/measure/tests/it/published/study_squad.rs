//! Source: invented data worked through with scipy 1.17.1, statsmodels 0.15.0, scikit-learn 1.9.1
//! and R 4.2.2 with lme4 1.1-31 (golden file study_squad.json).

use plimsoll_measure::dist;
use plimsoll_measure::squad::{
    Cause, CauseKind, Group, KappaWeights, Rating, Runner, SpreadRule, best_of, cut_risk,
    even_shape, expected_of_lowest, fingerprint, heaping, kappa, learning_shape, severity,
    training_shape,
};
use serde_json::Value;

use crate::golden::{FULL_PRECISION, close, close_relative, json, number, numbers, rows};

const NUMBERS: &str = include_str!("../../golden/study_squad.json");

/// scipy's quadrature and root finding behind these numbers stop at about 1e-11.
const QUADRATURE: f64 = 1e-9;
/// lme4's optimiser stops at this distance in its parameters; the likelihood is flat there.
const LME4_PARAMETER: f64 = 1e-4;
/// The log-likelihood at the optimum: suggested tolerance of the golden notes.
const LME4_LIKELIHOOD: f64 = 1e-6;

fn whole(row: &Value, field: &str) -> usize {
    row[field].as_u64().expect("a whole number") as usize
}

/// Source: scipy `nct`, and tolerance factors by quadrature.
#[test]
fn noncentral_t_and_tolerance_factors() {
    let file = json(NUMBERS);
    for row in rows(&file, "noncentral_t") {
        let (p, df, shift) = (number(row, "p"), number(row, "df"), number(row, "shift"));
        let got = dist::noncentral_t_quantile(p, df, shift).expect("a quantile");
        close("non-central t", got, number(row, "q"), QUADRATURE);
    }
    for row in rows(&file, "tolerance") {
        let n = whole(row, "n");
        let (share, chance) = (number(row, "share"), number(row, "chance"));
        let got = dist::tolerance_factor(n, share, chance).expect("a factor");
        close("tolerance factor", got, number(row, "k"), QUADRATURE);
    }
}

/// Source: golden file true_change.json, 20 quantiles of scipy's non-central t.
#[test]
fn noncentral_t_of_the_change_file() {
    let file = json(include_str!("../../golden/true_change.json"));
    for row in rows(&file, "noncentral_t_quantiles") {
        let (p, df, shift) = (number(row, "p"), number(row, "df"), number(row, "nc"));
        let got = dist::noncentral_t_quantile(p, df, shift).expect("a quantile");
        close("non-central t", got, number(row, "q"), QUADRATURE);
    }
}

/// Source: statsmodels `cohens_kappa` (value, SE) and scikit-learn `cohen_kappa_score`.
#[test]
fn kappa_plain_and_weighted() {
    let part = json(NUMBERS)["kappa"].clone();
    let (mut first, mut second) = (Vec::new(), Vec::new());
    for (i, row) in rows(&part, "table").iter().enumerate() {
        for (j, count) in row.as_array().expect("a row").iter().enumerate() {
            for _ in 0..count.as_u64().expect("a count") {
                first.push(i);
                second.push(j);
            }
        }
    }
    let all = [
        KappaWeights::Same,
        KappaWeights::Linear,
        KappaWeights::Quadratic,
    ];
    for (weights, row) in all.into_iter().zip(rows(&part, "rows")) {
        let got = kappa(&first, &second, 3, weights, 0.95).expect("kappa");
        close("kappa", got.value, number(row, "kappa"), FULL_PRECISION);
        close("kappa", got.value, number(row, "sklearn"), FULL_PRECISION);
        close("se", got.se, number(row, "se"), FULL_PRECISION);
        let interval = got.interval.expect("an interval");
        let half = 1.959_963_984_540_054 * number(row, "se");
        close(
            "low",
            interval.lower,
            number(row, "kappa") - half,
            FULL_PRECISION,
        );
    }
}

/// Source: lme4 1.1-31 `glmer`, Laplace: likelihood, SDs, effects and their conditional SDs.
#[test]
fn severity_as_lme4() {
    let want = json(NUMBERS)["severity"].clone();
    let list = |field| numbers(&want, field);
    let ratings: Vec<Rating> = list("a")
        .iter()
        .zip(list("e").iter().zip(list("y")))
        .map(|(a, (e, y))| Rating {
            assessor: *a as u64,
            event: *e as u64,
            called: y > 0.5,
        })
        .collect();
    let got = severity(&ratings, SpreadRule::MaximumLikelihood).expect("severities");
    assert!(got.record.converged);
    close(
        "logLik",
        got.log_likelihood,
        number(&want, "logLik"),
        LME4_LIKELIHOOD,
    );
    // Ours may not be worse: both maximise the same function.
    assert!(got.log_likelihood >= number(&want, "logLik") - LME4_LIKELIHOOD);
    close("mean", got.mean, number(&want, "mean"), LME4_PARAMETER);
    close(
        "SD a",
        got.assessor_sd,
        number(&want, "sd_a"),
        LME4_PARAMETER,
    );
    close("SD e", got.event_sd, number(&want, "sd_e"), LME4_PARAMETER);
    for ((one, effect), sd) in got
        .assessors
        .iter()
        .zip(list("effects"))
        .zip(list("cond_sd"))
    {
        close("effect", one.value, effect, LME4_PARAMETER);
        close("SD", one.se_given_rate, sd, LME4_PARAMETER);
        assert!(one.se > one.se_given_rate);
    }
}

/// Source: scipy quadrature of order statistics; n = 2 has the closed form 1 / root pi.
#[test]
fn order_statistics() {
    let file = json(NUMBERS);
    for row in rows(&file, "best_of") {
        let got = best_of(whole(row, "n") as u32, 1.0).expect("a best");
        close("mean", got.inflation, number(row, "mean"), QUADRATURE);
        close("sd", got.sd, number(row, "sd"), QUADRATURE);
    }
    let two = best_of(2, 1.0).expect("a best").inflation;
    close("n = 2", two, 1.0 / std::f64::consts::PI.sqrt(), 1e-12);
    let three = best_of(3, 1.0).expect("a best").inflation;
    close("n = 3", three, 1.5 / std::f64::consts::PI.sqrt(), 1e-12);
    let group = Group {
        mean: 10.0,
        sd: 2.0,
        reliability: 0.75,
    };
    for row in rows(&file, "lowest") {
        let (n, k, z) = (whole(row, "n"), whole(row, "k"), number(row, "z"));
        let got = expected_of_lowest(n, k, &group).expect("an expectation");
        close("first", got.first_mean, 10.0 + 2.0 * z, QUADRATURE);
        close("gain", got.apparent_gain, -0.5 * z, QUADRATURE);
    }
}

/// Source: scipy quadrature, and its bivariate normal for a single trial.
#[test]
fn risks_at_a_cut() {
    let file = json(NUMBERS);
    for row in rows(&file, "cut") {
        let group = Group {
            mean: number(row, "mean"),
            sd: number(row, "sd"),
            reliability: number(row, "reliability"),
        };
        let trials = whole(row, "trials") as u32;
        let got = cut_risk(number(row, "cut"), &group, trials).expect("risks");
        close("pass", got.pass, number(row, "passes"), QUADRATURE);
        close(
            "false pass",
            got.false_pass,
            number(row, "false_pass"),
            QUADRATURE,
        );
        close(
            "false fail",
            got.false_fail,
            number(row, "false_fail"),
            QUADRATURE,
        );
    }
    let first = &rows(&file, "cut")[0];
    let bivariate = number(&file, "cut_bivariate");
    close_relative("bivariate", number(first, "false_pass"), bivariate, 1e-6);
}

/// Source: scipy `multivariate_normal` with the full covariance of each cause.
#[test]
fn marginal_likelihoods_of_causes() {
    let want = json(NUMBERS)["fingerprint"].clone();
    let list = |field| numbers(&want, field);
    let runners: Vec<Runner> = list("predicted")
        .into_iter()
        .zip(list("sd"))
        .zip(list("observed"))
        .map(|((predicted, sd), observed)| Runner {
            predicted,
            sd,
            observed,
        })
        .collect();
    let trials: Vec<u32> = list("trial").iter().map(|t| *t as u32).collect();
    let shapes = [
        (CauseKind::CourseLength, even_shape(runners.len())),
        (CauseKind::Learning, learning_shape(&trials)),
        (
            CauseKind::Training,
            training_shape(&list("weeks")).expect("weeks"),
        ),
    ];
    let causes: Vec<Cause> = shapes
        .into_iter()
        .zip(list("prior_sd"))
        .map(|((kind, shape), prior_sd)| Cause {
            kind,
            shape,
            prior_sd,
            weight: 1.0,
        })
        .collect();
    let got = fingerprint(
        &runners,
        &causes,
        number(&want, "nothing_weight"),
        3.0,
        0.95,
    );
    let got = got.expect("a fingerprint");
    let posterior = list("posterior");
    close("nothing", got.nothing, posterior[0], FULL_PRECISION);
    for (i, cause) in got.causes.iter().enumerate() {
        close(
            "posterior",
            cause.probability,
            posterior[i + 1],
            FULL_PRECISION,
        );
        close(
            "log ratio",
            cause.log_ratio,
            list("log_ratio")[i],
            QUADRATURE,
        );
        let size = numbers(&serde_json::json!({ "v": want["sizes"][i] }), "v");
        close("size", cause.size, size[0], FULL_PRECISION);
        let half = 1.959_963_984_540_054 * size[1];
        close("half", cause.interval.half_width(), half, FULL_PRECISION);
    }
}

/// Source: scipy `poisson_binom`.
#[test]
fn tails_of_heaping() {
    let part = json(NUMBERS)["heaping"].clone();
    let chances = numbers(&part, "chances");
    for (hits, want) in numbers(&part, "tails").into_iter().enumerate() {
        let on_start: Vec<bool> = (0..chances.len()).map(|i| i < hits).collect();
        let got = heaping(&on_start, &chances).expect("a hint");
        assert_eq!(got.observed, hits);
        close("tail", got.chance, want, FULL_PRECISION);
    }
}
