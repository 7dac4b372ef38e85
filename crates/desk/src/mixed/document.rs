//! The mixed model as a document for programs. Keys are fixed; what has no value says why.

use plimsoll_measure::mixed::{ProfileInterval, Stop};
use plimsoll_measure::{Interval, MeasureError, dist};
use serde_json::{Value, json};

use super::answer::{Effect, MixedAnswer};
use super::coding::INTERCEPT;
use super::pen::percent;
use super::predict::Predictions;
use super::share::share_words;
use super::words::verdict;

fn ends(found: &Result<Interval, MeasureError>) -> Value {
    match found {
        Ok(i) => json!({ "lower": i.lower, "upper": i.upper, "level": i.level }),
        Err(why) => json!({ "lower": null, "upper": null, "why": why.to_string() }),
    }
}

fn profile(found: Option<&Result<ProfileInterval, MeasureError>>) -> Value {
    match found {
        None => Value::Null,
        Some(Err(why)) => json!({ "lower": null, "upper": null, "why": why.to_string() }),
        Some(Ok(found)) => json!({
            "lower": found.interval.lower,
            "upper": found.interval.upper,
            "level": found.interval.level,
            "lower_at_bound": found.lower_at_bound,
            "upper_at_bound": found.upper_at_bound,
            "ml_estimate": found.estimate,
            "converged": found.converged,
        }),
    }
}

fn effect(effect: &Effect, log: bool) -> Value {
    let mut out = json!({
        "name": effect.name,
        "estimate": effect.estimate,
        "se": effect.se,
        "df": effect.df,
        "interval": ends(&effect.interval),
        "profile": profile(effect.profile.as_ref()),
    });
    if log {
        let height = effect.name == INTERCEPT || effect.name == "typical";
        let show = |v: f64| if height { v.exp() } else { percent(v) };
        let key = if height { "value" } else { "percent" };
        out[key] = json!({
            "estimate": show(effect.estimate),
            "lower": effect.interval.as_ref().ok().map(|i| show(i.lower)),
            "upper": effect.interval.as_ref().ok().map(|i| show(i.upper)),
        });
    }
    out
}

/// Returns the document of a mixed model.
pub fn document(answer: &MixedAnswer, predicted: Option<&Predictions>) -> Value {
    let (ask, fit) = (&answer.ask, &answer.fit);
    let log = ask.log;
    let residual = answer.parts.iter().find(|p| p.group.is_none());
    let shares = answer.shares.iter().map(|s| {
        json!({
            "group": s.group, "variance": s.variance, "share": s.share, "words": share_words(s.share),
        })
    });
    let dropped = answer
        .dropped
        .iter()
        .map(|d| json!({ "row": d.row, "name": d.name, "missing": d.columns }));
    json!({
        "outcome": ask.outcome,
        "unit": answer.unit,
        "scale": if log { "logs" } else { "raw" },
        "criterion": if ask.ml { "ML" } else { "REML" },
        "level": ask.level,
        "rows": fit.rows,
        "dropped": dropped.collect::<Vec<_>>(),
        "words": verdict(answer),
        "fixed": answer.fixed.iter().map(|e| effect(e, log)).collect::<Vec<_>>(),
        "typical": effect(&answer.typical, log),
        "random": random(answer),
        "residual": residual.map(|p| json!({
            "sd": p.sd,
            "percent": log.then(|| percent(p.sd)),
            "interval": profile(p.interval.as_ref()),
        })),
        "shares": shares.collect::<Vec<_>>(),
        "singular": fit.singular,
        "singular_notes": fit.singular_notes(),
        "log_likelihood": fit.log_likelihood,
        "deviance": fit.deviance,
        "parameters": fit.parameters,
        "aic": fit.aic,
        "bic": fit.bic,
        "convergence": convergence(answer),
        "deviations": deviations(answer),
        "predictions": predicted.map(predictions),
        "notes": answer.notes,
    })
}

fn convergence(answer: &MixedAnswer) -> Value {
    let c = &answer.fit.convergence;
    json!({
        "converged": c.converged,
        "stop": match c.stop {
            Stop::Optimum => "optimum",
            Stop::NoDescent => "no descent",
            Stop::Budget => "budget",
        },
        "iterations": c.iterations,
        "evaluations": c.evaluations,
        "gradient": c.gradient,
        "expected_gain": c.expected_gain,
        "smallest_curvature": c.smallest_curvature,
    })
}

fn random(answer: &MixedAnswer) -> Value {
    let of = |name: &String| -> Vec<Value> {
        let parts = answer
            .parts
            .iter()
            .filter(move |p| p.group.as_ref() == Some(name));
        parts
            .map(|p| {
                json!({
                    "column": p.slope.as_deref().unwrap_or(INTERCEPT),
                    "sd": p.sd,
                    "percent": answer.ask.log.then(|| percent(p.sd)),
                    "interval": profile(p.interval.as_ref()),
                })
            })
            .collect()
    };
    let pairs = |name: &String| -> Vec<Value> {
        let all = answer.together.iter().filter(move |t| &t.group == name);
        all.map(|t| {
            json!({ "columns": t.columns, "value": t.value, "interval": profile(t.interval.as_ref()) })
        }).collect()
    };
    let terms = answer.fit.terms.iter().map(|term| {
        json!({
            "group": term.name,
            "levels": term.levels.len(),
            "columns": of(&term.name),
            "correlations": pairs(&term.name),
            "singular": term.singular,
        })
    });
    terms.collect()
}

/// Predicted deviations, one entry a level.
fn deviations(answer: &MixedAnswer) -> Value {
    let z = dist::two_sided(answer.ask.level, None).unwrap_or(f64::NAN);
    let mut out = Vec::new();
    for (term, labels) in answer.fit.terms.iter().zip(&answer.levels) {
        for (level, label) in labels.iter().enumerate() {
            let effects = term.columns.iter().enumerate().map(|(at, column)| {
                let (value, sd) = (term.effects[level][at], term.conditional_sds[level][at]);
                json!({
                    "column": column.name,
                    "value": value,
                    "sd": sd,
                    "lower": value - z * sd,
                    "upper": value + z * sd,
                    "percent": answer.ask.log.then(|| percent(value)),
                })
            });
            out.push(json!({
                "group": term.name, "level": label, "effects": effects.collect::<Vec<_>>(),
            }));
        }
    }
    json!(out)
}

fn predictions(found: &Predictions) -> Value {
    let rows = found.rows.iter().map(|r| {
        json!({
            "row": r.row,
            "levels": r.levels,
            "expected": r.expected,
            "typical": r.typical,
            "typical_interval": ends(&r.interval),
            "new_reading": r.new_reading.map(|i| json!({ "lower": i.lower, "upper": i.upper, "level": i.level })),
            "unknown": r.unknown,
        })
    });
    let dropped = found
        .dropped
        .iter()
        .map(|d| json!({ "row": d.row, "missing": d.columns }));
    json!({ "rows": rows.collect::<Vec<_>>(), "dropped": dropped.collect::<Vec<_>>() })
}
