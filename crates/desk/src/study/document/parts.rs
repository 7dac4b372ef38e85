//! The parts of a study's document: all numbers of one scale, each with its interval or why not.

use plimsoll_measure::error::{IccForm, MeanChange};
use plimsoll_measure::study::{
    Analysis, Detectable, ErrorEstimate, FirstPair, IccEstimate, Limits, PairResult,
};
use plimsoll_measure::{Interval, MeasureError};
use serde_json::{Map, Value, json};

use crate::study::answer::{OnScale, change_of, limits_of};

/// Level of a detectable change that is shown first. Common practice in the trade.
const DETECT: f64 = 0.95;

/// Turns numbers on logs into percent, and leaves others as they are.
#[derive(Clone, Copy)]
pub(super) struct Unit {
    pub logs: bool,
}

impl Unit {
    pub(super) fn of(self, value: f64) -> f64 {
        if self.logs {
            100.0 * value.exp_m1()
        } else {
            value
        }
    }

    fn interval(self, value: f64, interval: Interval) -> Map<String, Value> {
        let mut map = Map::new();
        map.insert("value".to_owned(), json!(self.of(value)));
        map.insert("lower".to_owned(), json!(self.of(interval.lower)));
        map.insert("upper".to_owned(), json!(self.of(interval.upper)));
        map.insert("level".to_owned(), json!(interval.level));
        map
    }
}

/// A number, or why there is none.
pub(super) fn part<T>(found: &Result<T, MeasureError>, show: impl FnOnce(&T) -> Value) -> Value {
    match found {
        Ok(found) => show(found),
        Err(why) => json!({ "value": null, "why": why.to_string() }),
    }
}

fn with(mut map: Map<String, Value>, more: &[(&str, Value)]) -> Value {
    for (key, value) in more {
        map.insert((*key).to_owned(), value.clone());
    }
    Value::Object(map)
}

/// Everything of one scale.
pub(super) fn block(analysis: &Analysis, scale: OnScale, unit: &str) -> Map<String, Value> {
    let u = Unit {
        logs: scale == OnScale::Logs,
    };
    let mut out = Map::new();
    let mut put = |key: &str, value: Value| {
        out.insert(key.to_owned(), value);
    };
    let first = analysis.pairs.first();
    put(
        "change_in_mean",
        first.map_or(Value::Null, |p| change(u, p, unit)),
    );
    put(
        "typical_error",
        part(&analysis.pooled, |e| error(u, e, unit)),
    );
    put("icc", part(&analysis.correlations, icc));
    put(
        "limits_of_agreement",
        first.map_or(Value::Null, |p| part(&limits_of(p), |l| limits(u, l, unit))),
    );
    put(
        "detectable_change",
        part(&analysis.detectable, |d| {
            detectable(u, d, analysis.pooled.as_ref().ok(), unit)
        }),
    );
    put(
        "worthwhile",
        part(
            &analysis.worthwhile,
            |w| json!({ "value": u.of(*w), "unit": unit, "how": "0.2 x the SD between people, error taken out" }),
        ),
    );
    put(
        "sem",
        part(
            &analysis.sem,
            |s| json!({ "consistency": u.of(s.consistency), "agreement": u.of(s.agreement), "unit": unit }),
        ),
    );
    put(
        "variances",
        part(
            &analysis.components,
            |c| json!({ "people": c.between, "trials": c.trial, "error": c.error }),
        ),
    );
    put(
        "pairs",
        analysis
            .pairs
            .iter()
            .map(|p| {
                json!({
                    "from": p.first_trial, "to": p.second_trial, "n": p.n,
                    "change_in_mean": change(u, p, unit),
                    "typical_error": part(&p.error, |e| error(u, e, unit)),
                    "limits_of_agreement": part(&limits_of(p), |l| limits(u, l, unit)),
                })
            })
            .collect(),
    );
    put("learning", learning(u, analysis, unit));
    put("influence", influence(u, analysis));
    out
}

fn change(u: Unit, pair: &PairResult, unit: &str) -> Value {
    part(&change_of(pair), |c| {
        let of = format!(
            "trial {} minus trial {}",
            pair.second_trial, pair.first_trial
        );
        with(
            u.interval(c.mean, c.interval),
            &[("unit", json!(unit)), ("of", json!(of)), ("n", json!(c.n))],
        )
    })
}

fn error(u: Unit, found: &ErrorEstimate, unit: &str) -> Value {
    with(
        u.interval(found.error.value, found.interval),
        &[("df", json!(found.error.df)), ("unit", json!(unit))],
    )
}

fn limits(u: Unit, l: &Limits, unit: &str) -> Value {
    json!({
        "lower": u.interval(l.lower, l.lower_interval),
        "upper": u.interval(l.upper, l.upper_interval),
        "mean_difference": u.of(l.agreement.mean_difference),
        "sd": if u.logs { Value::Null } else { json!(l.agreement.sd) },
        "n": l.agreement.n,
        "share": l.share,
        "unit": unit,
    })
}

pub(super) fn detectable(
    u: Unit,
    found: &[Detectable; 3],
    error: Option<&ErrorEstimate>,
    unit: &str,
) -> Value {
    let levels: Map<String, Value> = found
        .iter()
        .map(|d| {
            let key = format!("{:.0}", d.level * 100.0);
            (key, json!({ "normal": u.of(d.normal), "student": u.of(d.student), "down": u.of(-d.student) }))
        })
        .collect();
    let Some(shown) = found.iter().find(|d| d.level == DETECT) else {
        return Value::Null;
    };
    // The interval of the error, scaled: the same multiple holds for each end.
    let scale = error.map(|e| (shown.normal / e.error.value, e.interval));
    json!({
        "value": u.of(shown.normal),
        "lower": scale.map(|(s, i)| u.of(s * i.lower)),
        "upper": scale.map(|(s, i)| u.of(s * i.upper)),
        "interval_level": scale.map(|(_, i)| i.level),
        "level": DETECT,
        "unit": unit,
        "by_level": levels,
    })
}

fn icc(all: &[IccEstimate; 6]) -> Value {
    let entries = all.iter().map(|one| {
        let key = match one.icc.form {
            IccForm::OneWay => "ICC(1,1)",
            IccForm::Agreement => "ICC(2,1)",
            IccForm::Consistency => "ICC(3,1)",
            IccForm::OneWayMean => "ICC(1,k)",
            IccForm::AgreementMean => "ICC(2,k)",
            IccForm::ConsistencyMean => "ICC(3,k)",
        };
        (
            key.to_owned(),
            json!({
                "value": one.icc.value,
                "lower": one.interval.map(|i| i.lower),
                "upper": one.interval.map(|i| i.upper),
                "level": one.interval.map(|i| i.level),
                "exact": one.exact,
                "calibrated": one.calibrated.map(|i| json!({ "lower": i.lower, "upper": i.upper })),
            }),
        )
    });
    Value::Object(entries.collect())
}

fn learning(u: Unit, analysis: &Analysis, unit: &str) -> Value {
    analysis.learning.as_ref().map_or(Value::Null, |l| {
        let mean = |c: &MeanChange| with(u.interval(c.mean, c.interval), &[("n", json!(c.n))]);
        json!({
            "first_change": part(&l.first_change, mean),
            "later_change_per_trial": part(&l.later_change, mean),
            "first_error": part(&l.first_error, |e| error(u, e, unit)),
            "later_error": part(&l.later_error, |e| error(u, e, unit)),
            "error_ratio": part(&l.ratio, |r| json!(r)),
            "error_ratio_interval": part(l.matched.as_ref().map_or(&l.ratio_interval, |_| &l.matched),
                |i| json!({ "lower": i.lower, "upper": i.upper, "level": i.level })),
            "first_pair": match l.verdict {
                FirstPair::Noisier => "noisier",
                FirstPair::Quieter => "quieter",
                FirstPair::CannotTell => "cannot tell",
            },
        })
    })
}

fn influence(u: Unit, analysis: &Analysis) -> Value {
    part(&analysis.influence, |report| {
        json!(
            report
                .people
                .iter()
                .map(|p| json!({
                    "person": p.person, "error_without": p.error_without.map(|e| u.of(e)),
                    "change_percent": p.change_percent, "stands_out": p.stands_out,
                }))
                .collect::<Vec<_>>()
        )
    })
}
