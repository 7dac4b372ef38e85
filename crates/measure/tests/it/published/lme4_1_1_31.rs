//! Source: lme4 1.1-31 and lmerTest 3.1-3 under R 4.2.2 (run), on the sleep data of Belenky et al.
//! 2003 and the growth data of Potthoff & Roy 1964; numbers in tests/golden/mixed_models.json.

use plimsoll_measure::mixed::{Criterion, Fit, Level, ProfileTarget, Weights};
use serde_json::Value;

use crate::golden::{close, close_relative, json, number, numbers, rows};
use crate::mixed_data::{Slopes, fitted, orthodont, sleep};

const NUMBERS: &str = include_str!("../../golden/mixed_models.json");

/// Both searches stop near the optimum, where the likelihood is flat.
const LOG_LIKELIHOOD: f64 = 1e-6;
/// SDs move much more than the likelihood between two stops; the golden page asks for this.
const SDS: f64 = 1e-4;
/// Predicted effects are in the unit of the response and shrink with the SDs.
const EFFECTS: f64 = 1e-4;
/// Fixed effects of balanced data do not depend on the variances.
const FIXED: f64 = 1e-8;
/// lme4 interpolates its profile with splines; the ends are right to about this.
const PROFILE: f64 = 5e-4;
/// lmerTest differentiates numerically, at lme4's slightly different optimum.
const FREEDOM: f64 = 1e-3;
/// A correlation near 0, absolute.
const CORRELATION: f64 = 1e-4;

fn check_fixed(fit: &Fit, want: &Value) {
    for (k, effect) in fit.fixed.iter().enumerate() {
        let name = effect.name.as_str();
        close(name, effect.estimate, number(&want["fixef"], name), FIXED);
        close_relative("se", effect.se, number(&want["fixef_se"], name), SDS);
        let row: Vec<f64> = want["fixef_vcov"][k]
            .as_array()
            .expect("a row")
            .iter()
            .map(|v| v.as_f64().expect("a number"))
            .collect();
        for (got, want) in fit.covariance[k].iter().zip(&row) {
            close("vcov", *got, *want, 4.0 * SDS);
        }
    }
}

fn check_variances(fit: &Fit, want: &Value) {
    let term = &fit.terms[0];
    for part in rows(want, "varcomp") {
        let sdcor = number(part, "sdcor");
        let name = part["var1"].as_str();
        if part["grp"] == "Residual" {
            close_relative("sigma", fit.sigma.expect("sigma"), sdcor, SDS);
        } else if part["var2"].is_string() {
            let got = term.correlations[0][1].expect("a correlation");
            close("correlation", got, sdcor, CORRELATION);
        } else {
            let column = term.columns.iter().find(|c| Some(c.name.as_str()) == name);
            close_relative("sd", column.expect("a column").sd, sdcor, SDS);
        }
    }
}

fn check_effects(fit: &Fit, want: &Value) {
    let term = &fit.terms[0];
    let effects = rows(&want["ranef"], "Subject");
    assert_eq!(effects.len(), term.levels.len());
    for (level, row) in effects.iter().enumerate() {
        for (c, column) in term.columns.iter().enumerate() {
            let want = number(row, &column.name);
            close("effect", term.effects[level][c], want, EFFECTS);
        }
    }
    let sds = rows(&want["ranef_condSD"]["Subject"], "sd");
    for (got, want) in term.conditional_sds.iter().zip(sds) {
        for (got, want) in got.iter().zip(want.as_array().expect("a row")) {
            close_relative("cond sd", *got, want.as_f64().expect("sd"), SDS);
        }
    }
}

/// Source: all ten models of the golden file.
#[test]
fn golden_models() {
    let file = json(NUMBERS);
    let models = file["models"].as_object().expect("models");
    assert_eq!(models.len(), 10);
    for (name, want) in models {
        let slopes = match name.as_str() {
            n if n.contains("_ri_") => Slopes::None,
            n if n.contains("_rsu_") => Slopes::Uncorrelated,
            _ => Slopes::Correlated,
        };
        let data = if name.starts_with("sleep") {
            sleep(slopes)
        } else {
            orthodont(slopes)
        };
        let criterion = if want["REML"] == true {
            Criterion::Reml
        } else {
            Criterion::Ml
        };
        let fit = fitted(&data, criterion);
        let off = (fit.log_likelihood - number(want, "logLik")).abs();
        assert!(off < LOG_LIKELIHOOD, "{name}: logLik off by {off:e}");
        assert!(!fit.singular && fit.singular_notes().is_empty());
        assert_eq!(fit.parameters as f64, number(want, "df"));
        for (got, field) in [
            (fit.aic, "AIC"),
            (fit.bic, "BIC"),
            (fit.deviance, "deviance"),
        ] {
            assert!(
                (got - number(want, field)).abs() < 2.0 * LOG_LIKELIHOOD,
                "{name} {field}"
            );
        }
        let theta = want["theta"]
            .as_array()
            .map_or_else(|| vec![number(want, "theta")], |_| numbers(want, "theta"));
        assert_eq!(theta.len(), fit.theta.len());
        for (got, want) in fit.theta.iter().zip(&theta) {
            close("theta", *got, *want, SDS);
        }
        check_fixed(&fit, want);
        check_variances(&fit, want);
        check_effects(&fit, want);
        let got = fit
            .predict(&data.design, Level::Groups)
            .expect("fitted values");
        for (got, want) in got.values.iter().zip(numbers(want, "fitted_first5")) {
            close("fitted", *got, want, EFFECTS);
        }
    }
}

/// Source: lmerTest 3.1-3, summary(); the balanced design has 17 exactly.
#[test]
fn satterthwaite_degrees_of_freedom() {
    for (slopes, want) in [
        (Slopes::Correlated, [17.0, 17.0]),
        (Slopes::None, [22.81019896, 161.0]),
        (Slopes::Uncorrelated, [18.15619605, 18.15609129]),
    ] {
        let fit = fitted(&sleep(slopes), Criterion::Reml);
        for (k, want) in want.into_iter().enumerate() {
            let contrast: Vec<f64> = (0..2).map(|j| f64::from(j == k)).collect();
            let test = fit.test(&contrast).expect("a test");
            close_relative("df", test.df.expect("df"), want, FREEDOM);
            close_relative("se", test.se, fit.fixed[k].se, FIXED);
        }
    }
    let fit = fitted(&sleep(Slopes::Correlated), Criterion::Reml);
    let days = fit.test(&[0.0, 1.0]).expect("a test");
    close_relative("t", days.t, 6.771481489, SDS);
    close_relative("p", days.p, 3.263824470e-06, 10.0 * SDS);
}

/// Source: confint(fit by ML), lme4 1.1-31, correlated slopes.
#[test]
fn profile_intervals() {
    use ProfileTarget::{Correlation, Fixed, Sd, Sigma};
    let fit = fitted(&sleep(Slopes::Correlated), Criterion::Reml);
    for (target, low, high) in [
        (Sd { term: 0, column: 0 }, 14.3814811165, 37.716018740),
        (Sd { term: 0, column: 1 }, 3.8011647624, 8.753366659),
        (Sigma, 22.8982662150, 28.857997323),
        (Fixed { column: 0 }, 237.6806954694, 265.129514692),
        (Fixed { column: 1 }, 7.3586532953, 13.575918741),
        (
            Correlation {
                term: 0,
                first: 0,
                second: 1,
            },
            -0.4815004432,
            0.684986139,
        ),
    ] {
        let got = fit.profile(target, 0.95).expect("an interval");
        assert!(
            got.converged && !got.lower_at_bound && !got.upper_at_bound,
            "{got:?}"
        );
        close(&format!("{target:?} low"), got.interval.lower, low, PROFILE);
        close(
            &format!("{target:?} high"),
            got.interval.upper,
            high,
            PROFILE,
        );
    }
    let apart = fitted(&sleep(Slopes::Uncorrelated), Criterion::Ml);
    for (target, low, high) in [
        (Sd { term: 0, column: 0 }, 15.258646166, 37.78646394),
        (Sd { term: 0, column: 1 }, 3.964074373, 8.76916043),
        (Sigma, 22.880554680, 28.78759756),
        (Fixed { column: 1 }, 7.334066827, 13.60050511),
    ] {
        let got = apart.profile(target, 0.95).expect("an interval").interval;
        close(&format!("{target:?} low"), got.lower, low, PROFILE);
        close(&format!("{target:?} high"), got.upper, high, PROFILE);
    }
}

/// Source: lmer(weights = ), weights 1, 2, 0.5, 3, 1.5 over and over; run for this test.
#[test]
fn prior_weights() {
    let mut data = sleep(Slopes::Correlated);
    let weights = [1.0, 2.0, 0.5, 3.0, 1.5];
    data.weights = Weights::Prior((0..180).map(|i| weights[i % 5]).collect());
    for (criterion, log_likelihood, sds, sigma, theta) in [
        (
            Criterion::Reml,
            -881.180007535,
            [28.541954142517, 6.542867295505],
            30.538061889787,
            [0.9346354148, -0.0234886722, 0.2129614356],
        ),
        (
            Criterion::Ml,
            -885.496786503,
            [27.515183226015, 6.326863698896],
            30.538062027451,
            [0.9010127493, -0.0207411595, 0.2061387736],
        ),
    ] {
        let fit = fitted(&data, criterion);
        assert!((fit.log_likelihood - log_likelihood).abs() < LOG_LIKELIHOOD);
        close_relative("sigma", fit.sigma.expect("sigma"), sigma, SDS);
        for (column, want) in fit.terms[0].columns.iter().zip(sds) {
            close_relative("sd", column.sd, want, SDS);
        }
        for (got, want) in fit.theta.iter().zip(theta) {
            close("theta", *got, want, SDS);
        }
    }
    use ProfileTarget::{Correlation, Fixed, Sd, Sigma};
    let fit = fitted(&data, Criterion::Ml);
    let correlation = Correlation {
        term: 0,
        first: 0,
        second: 1,
    };
    for (target, low, high) in [
        (Sd { term: 0, column: 0 }, 17.7950836221, 42.6111072292),
        (Sd { term: 0, column: 1 }, 4.3454415798, 9.5466126285),
        (Sigma, 27.3239170579, 34.4355145587),
        (correlation, -0.5785765553, 0.4648476606),
    ] {
        let got = fit.profile(target, 0.95).expect("an interval").interval;
        close(&format!("{target:?} low"), got.lower, low, PROFILE);
        close(&format!("{target:?} high"), got.upper, high, PROFILE);
    }
    // DIFFERENCE: with weights lme4 gives 251.76 to 252.85 for the intercept, after warnings of a
    // profile that is not monotonic; four standard errors of 7.4 make that impossible.
    let got = fit.profile(Fixed { column: 0 }, 0.95).expect("an interval");
    let width = got.interval.half_width() / fit.fixed[0].se;
    assert!((1.96..2.3).contains(&width), "{width}");
}
