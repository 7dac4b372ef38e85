//! A fitted reference as a document for programs and in words.

use plimsoll_measure::MeasureError;
use plimsoll_measure::growth::{Alarm, Curve, MedianScale, QTest, Shape, Smoothing, Stop};
use plimsoll_report::format::{number, with_unit};
use serde_json::{Map, Value, json};

use super::fitted::{CENTILES, Fitted};

fn part<T>(found: &Result<T, MeasureError>, show: impl FnOnce(&T) -> Value) -> Value {
    match found {
        Ok(found) => show(found),
        Err(why) => json!({ "value": null, "why": why.to_string() }),
    }
}

/// Returns the document of a fit.
pub fn document(fitted: &Fitted) -> Value {
    let fit = &fitted.fit;
    let (first, last) = fit.ages();
    let model = &fitted.ask.model;
    let record = fit.convergence();
    let curve = |which| {
        let errors = fit.standard_errors(which);
        let pairs = fit.coefficients(which).iter().zip(errors);
        pairs
            .map(|(value, se)| json!({ "value": value, "se": se }))
            .collect::<Value>()
    };
    let half = (last - first) / 2.0;
    let (centre, unit) = model
        .age_scale
        .unwrap_or((first + half, if half > 0.0 { half } else { 1.0 }));
    json!({
        "n": fit.people(),
        "ages": [first, last],
        "model": { "l": shape(model.l), "m": shape(model.m), "s": shape(model.s),
            "median": match model.median { MedianScale::Value => "M", MedianScale::Log => "ln M" },
            "age_scale": { "centre": centre, "unit": unit },
            "smoothing": smoothing(model.smoothing) },
        "coefficients": { "l": curve(Curve::L), "m": curve(Curve::M), "ln_s": curve(Curve::S) },
        "log_likelihood": fit.log_likelihood(),
        "effective_df": fit.effective_df(),
        "penalty_factors": fit.penalty_factors(),
        "aic": part(&fit.gaic(2.0), |v| json!(v)),
        "bic": part(&fit.bic(), |v| json!(v)),
        "convergence": { "converged": record.converged, "iterations": record.iterations,
            "halvings": record.halvings, "gradient": record.gradient, "step": record.step,
            "smoothness_settled": record.smoothness_settled,
            "stop": match record.stop { Stop::Arrived => "arrived", Stop::Steps => "too many steps",
                Stop::NoGain => "no step gained", Stop::Smoothness => "the smoothness did not settle" } },
        "curves": fitted.curves.iter().map(|at| json!({
            "age": at.age, "l": at.lms.0, "m": at.lms.1, "s": at.lms.2,
            "centiles": Value::Object(CENTILES.iter().zip(&at.centiles).map(|(p, c)| (format!("P{p}"), part(c, |c|
                json!({ "value": c.value, "se": c.se, "se_z": c.se_z, "z": c.z })))).collect::<Map<_, _>>()),
        })).collect::<Vec<_>>(),
        "refused": fitted.refused().iter().map(|(p, from, to)|
            json!({ "centile": p, "from_age": from, "to_age": to, "limit_z": fitted.ask.limit })).collect::<Vec<_>>(),
        "q": part(&fitted.groups, |g| json!({ "mean": q(&g.q[0]), "variance": q(&g.q[1]),
            "skewness": q(&g.q[2]), "kurtosis": q(&g.q[3]) })),
        "shape": part(&fitted.shape, |all| all.iter().map(|s| json!({
            "ages": [s.ages.0, s.ages.1], "n": s.moments.people, "mean": s.moments.mean, "sd": s.moments.sd,
            "skewness": s.moments.skewness, "excess_kurtosis": s.moments.excess_kurtosis,
            "anderson_darling": s.anderson_darling, "p": s.p, "gap": s.gap,
            "alarm": s.alarm.map(alarm), "words": s.alarm.map(|a| a.to_string()),
        })).collect()),
        "worms": part(&fitted.worms, |all| all.iter().map(|w| json!({
            "ages": [w.ages.0, w.ages.1], "n": w.people, "outside": w.outside, "level": fitted.ask.level,
            "points": w.points.iter().map(|p| json!([p.expected, p.deviation, p.half_band])).collect::<Vec<_>>(),
        })).collect()),
        "advice": verdict(fitted),
    })
}

const fn alarm(alarm: Alarm) -> &'static str {
    match alarm {
        Alarm::HeavyTails => "heavy tails",
        Alarm::TwoHumps => "two humps",
        Alarm::OtherShape => "other shape",
    }
}

fn q(test: &QTest) -> Value {
    json!({ "q": test.q, "df": test.df, "p": test.p })
}

fn shape(shape: Shape) -> String {
    match shape {
        Shape::Polynomial(degree) => format!("polynomial of degree {degree}"),
        Shape::Spline(stretches) => format!("spline on {stretches} stretches"),
    }
}

fn smoothing(smoothing: Smoothing) -> Value {
    match smoothing {
        Smoothing::Reml => json!("marginal likelihood"),
        Smoothing::Gaic(k) => json!(format!("generalised AIC, k {k}")),
        Smoothing::Bic => json!("BIC"),
        Smoothing::Fixed(factors) => json!(factors),
    }
}

/// Returns what the fit says, the most important first.
pub fn verdict(fitted: &Fitted) -> Vec<String> {
    let fit = &fitted.fit;
    let (first, last) = fit.ages();
    let record = fit.convergence();
    let mut out = Vec::new();
    if !record.converged {
        out.push(format!(
            "The fit did not end after {} steps, so no centile is given. Take lower degrees, or more people.",
            record.iterations
        ));
    }
    out.push(format!(
        "Curves for {} people from {} to {} years; nothing is said outside these ages.",
        number(fit.people(), 0),
        number(first, 1),
        number(last, 1)
    ));
    let refused = fitted.refused();
    if record.converged && !refused.is_empty() {
        let list: Vec<String> = refused
            .iter()
            .map(|(p, a, b)| format!("P{p} at {} to {} y", number(*a, 1), number(*b, 1)))
            .collect();
        out.push(format!(
            "Too uncertain to be given (standard error above {} z): {}.",
            number(fitted.ask.limit, 2),
            list.join(", ")
        ));
    }
    let mut odd: Vec<String> = Vec::new();
    for check in fitted.shape.as_ref().into_iter().flatten() {
        if let Some(alarm) = check.alarm {
            odd.push(format!(
                "{} to {} y: {alarm}",
                number(check.ages.0, 1),
                number(check.ages.1, 1)
            ));
        }
    }
    match (&fitted.shape, odd.is_empty()) {
        (Err(why), _) => out.push(format!("The shape was not checked: {why}.")),
        (Ok(_), false) => out.push(format!("Shape: {}.", odd.join("; "))),
        (Ok(_), true) => out.push("Nothing speaks against the shape of L, M and S.".to_owned()),
    }
    if let Ok(groups) = &fitted.groups {
        let names = ["mean", "variance", "skewness", "kurtosis"];
        let poor: Vec<&str> = names
            .into_iter()
            .zip(&groups.q)
            .filter(|(_, q)| q.p.is_some_and(|p| p < 0.05))
            .map(|(name, _)| name)
            .collect();
        if !poor.is_empty() {
            out.push(format!(
                "By age group the {} of z is off (Q test, p below 0.05): let that curve bend more, or look at the worm plots.",
                poor.join(" and the ")
            ));
        }
    }
    out
}

/// Returns rows for a table: age, L, M, S, then the centiles with the error of the middle one.
pub fn curve_rows(fitted: &Fitted, unit: &str) -> (Vec<String>, Vec<Vec<String>>) {
    let mut head: Vec<String> = ["age", "L", "M", "S"].map(str::to_owned).to_vec();
    head.extend(CENTILES.iter().map(|p| with_unit(format!("P{p}"), "")));
    head.push(format!(
        "SE of P50{}",
        if unit.is_empty() {
            String::new()
        } else {
            format!(" ({unit})")
        }
    ));
    let size = fitted.curves.first().map_or(1.0, |c| c.lms.1);
    let places = (2.0 - size.log10().floor()).clamp(0.0, 4.0) as usize;
    let stride = (fitted.curves.len() / 8).max(1);
    let rows = fitted
        .curves
        .iter()
        .step_by(stride)
        .map(|at| {
            let (l, m, s) = at.lms;
            let mut row = vec![
                number(at.age, 1),
                number(l, 2),
                number(m, places),
                number(s, 3),
            ];
            row.extend(at.centiles.iter().map(|c| {
                c.as_ref()
                    .map_or_else(|_| "refused".to_owned(), |c| number(c.value, places))
            }));
            let middle = at
                .centiles
                .get(CENTILES.len() / 2)
                .and_then(|c| c.as_ref().ok());
            row.push(middle.map_or("–".to_owned(), |c| number(c.se, places)));
            row
        })
        .collect();
    (head, rows)
}
