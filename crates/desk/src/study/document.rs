//! The study as a document for programs. Keys are fixed; what has no value says why.

mod parts;

use plimsoll_measure::study::{Advice, BlendBasis};
use serde_json::{Map, Value, json};

use super::answer::{OnScale, StudyAnswer};
use super::learning::practice;
use super::words::verdict;
use parts::{Unit, block, detectable, part};

/// Returns the document of a study.
pub fn document(answer: &StudyAnswer) -> Value {
    let (study, table) = (&answer.study, &answer.table);
    let unit = if answer.in_percent() {
        "%"
    } else {
        &table.unit
    };
    let mut out = block(answer.analysis(), answer.scale, unit);
    let cv = study
        .logs
        .clone()
        .and_then(|logs| logs.pooled?.cv_percent());
    let cv = part(
        &cv,
        |(value, interval)| json!({ "value": value, "lower": interval.lower, "upper": interval.upper, "level": interval.level }),
    );
    let (first_is_practice, practice_words) = practice(answer);
    let more = json!({
        "n": study.people,
        "trials": study.trials,
        "values": study.values,
        "complete_people": study.complete_people,
        "level": study.level,
        "unit": table.unit,
        "test": answer.test,
        "mean": answer.mean,
        "scale": if answer.in_percent() { "logs" } else { "raw" },
        "scale_why": answer.scale_why,
        "cv_percent": cv,
        "basis": basis(answer),
        "advice": verdict(answer),
        "practice": { "first_trial_is_practice": first_is_practice, "words": practice_words },
        "heteroscedasticity": heteroscedasticity(answer),
        "trial_names": table.trials,
        "notes": table.notes,
    });
    if let Value::Object(more) = more {
        out.extend(more);
    }
    out.insert(
        "raw".to_owned(),
        Value::Object(block(&study.raw, OnScale::Raw, &table.unit)),
    );
    let logs = part(&study.logs, |logs| {
        Value::Object(block(logs, OnScale::Logs, "%"))
    });
    out.insert("logs".to_owned(), logs);
    name_people(&mut out, &table.people);
    Value::Object(out)
}

fn basis(answer: &StudyAnswer) -> Value {
    let u = Unit {
        logs: answer.in_percent(),
    };
    let unit = if u.logs { "%" } else { &answer.table.unit };
    let published = answer.published.as_ref().map(|p| {
        json!({
            "error": u.of(p.error.error.value), "spread_between_groups": p.error.spread, "unit": unit,
            "words": p.words, "source": p.source, "confidence": p.confidence,
        })
    });
    let mut out = part(&answer.blend, |b| {
        let (from, weight) = match b.basis {
            BlendBasis::Own { .. } => ("own", 1.0),
            BlendBasis::Both { own_weight, .. } => ("own and published", own_weight),
            BlendBasis::Published => ("published", 0.0),
        };
        json!({ "from": from, "own_weight": weight, "error": u.of(b.error.value), "df": b.error.df, "unit": unit })
    });
    out["pairs"] = json!(answer.pairs);
    out["published"] = json!(published);
    if let Ok(interval) = &answer.blend_interval {
        out["lower"] = json!(u.of(interval.lower));
        out["upper"] = json!(u.of(interval.upper));
    }
    out["detectable_change"] = part(&answer.detectable, |d| detectable(u, d, None, unit));
    out
}

fn heteroscedasticity(answer: &StudyAnswer) -> Value {
    part(&answer.study.level_check, |check| {
        let show = |r: &plimsoll_measure::study::Relation| json!({ "r": r.r, "lower": r.interval.lower, "upper": r.interval.upper, "level": r.interval.level, "n": r.n });
        json!({
            "raw": show(&check.raw),
            "logs": part(&check.logs, show),
            "advice": match check.advice {
                Advice::Logs => "logs",
                Advice::Raw => "raw",
                Advice::CannotTell => "cannot tell",
            },
        })
    })
}

/// Puts names where the numbers crate has marks.
fn name_people(out: &mut Map<String, Value>, people: &[String]) {
    let name = |list: Option<&mut Value>| {
        for one in list.and_then(Value::as_array_mut).into_iter().flatten() {
            if let Some(mark) = one["person"].as_u64().and_then(|m| people.get(m as usize)) {
                one["person"] = json!(mark);
            }
        }
    };
    name(out.get_mut("influence"));
    for scale in ["raw", "logs"] {
        name(out.get_mut(scale).and_then(|v| v.get_mut("influence")));
    }
}
