//! `plimsoll train --trials FILE`: critical speed and D′ by every fit, and a session within D′.

use std::path::Path;

use plimsoll_interpret::Catalogue as Facts;
use plimsoll_interpret::training::{
    CriticalFit, CriticalFits, Interval, Plan, SHARE_TO_SPEND, Trial, critical_fits, format_of,
    is_implausible, plan, trial_words,
};
use plimsoll_report::Cautions;
use serde_json::{Value, json};

use super::{files, refused};
use crate::cli::Train;
use crate::failure::{Failure, Found};
use crate::places::Session;
use crate::print::{self, Align, hanging, number, short};

/// Confidence of the intervals.
const LEVEL: f64 = 0.95;

/// One person's answer.
struct Answer {
    name: String,
    trials: usize,
    fits: CriticalFits,
    words: Vec<String>,
    plan: Option<Plan>,
}

/// Prints every person's fits, warnings and, with a percentage, the plan.
pub fn run(session: &Session, facts: &Facts, args: &Train, file: &Path) -> Result<Found, Failure> {
    let extra = [
        args.run.lane.is_some().then_some("--lane"),
        args.run
            .straight_factor
            .is_some()
            .then_some("--straight-factor"),
        args.run.factor.is_some().then_some("--factor"),
        args.run.reserve.is_some().then_some("--reserve"),
        args.grouping.band.is_some().then_some("--band"),
        (!args.grouping.moves.is_empty()).then_some("--move"),
    ];
    if let Some(option) = extra.into_iter().flatten().next() {
        return Err(Failure::new(format!(
            "{option} has no meaning with --trials, which gives speeds in a straight line"
        ))
        .hint("leave it out; --percent and --format plan a session from critical speed"));
    }
    let answers = files::trials(file)?
        .into_iter()
        .map(|(name, trials)| answer(facts, args, name, &trials))
        .collect::<Result<Vec<_>, Failure>>()?;
    if session.json {
        let people: Vec<Value> = answers.iter().map(document).collect();
        print::json(
            &json!({ "level": LEVEL, "people": people, "cautions": Cautions::default().short }),
        )?;
    } else {
        for answer in &answers {
            print::text(words(answer))?;
        }
        let caution = format!("caution: {}", Cautions::default().short);
        print::text(hanging(&caution, 92))?;
    }
    Ok(Found::any(answers.iter().any(|a| is_implausible(&a.fits))))
}

fn answer(facts: &Facts, args: &Train, name: String, trials: &[Trial]) -> Result<Answer, Failure> {
    let who = if name.is_empty() { "the trials" } else { &name };
    let fault = |e: &dyn std::fmt::Display| {
        Failure::new(format!("{who}: {e}")).hint("three trials of 2 to 15 min are a good set")
    };
    let fits = critical_fits(trials, LEVEL).map_err(|e| fault(&e))?;
    let mut session = None;
    if let (Some(percent), Some(first)) = (args.run.percent, fits.fits.first()) {
        if !(50.0..=200.0).contains(&percent) {
            return Err(
                Failure::new(format!("--percent is {percent}; allowed is 50 to 200"))
                    .hint("it is percent of critical speed"),
            );
        }
        if !is_implausible(&fits) {
            let format = format_of(facts, &args.run.format).map_err(refused)?;
            let speed = first.speed * 3.6 * percent / 100.0;
            let times = format.periods;
            let found = plan(
                first.speed,
                first.distance,
                speed,
                times.work_s,
                times.rest_s,
            );
            session = Some(found.map_err(|e| fault(&e))?);
        }
    }
    Ok(Answer {
        name,
        trials: trials.len(),
        words: trial_words(&fits, trials),
        fits,
        plan: session,
    })
}

fn interval(of: Option<Interval>) -> Value {
    of.map_or(Value::Null, |i| json!([number(i.lower), number(i.upper)]))
}

fn document(answer: &Answer) -> Value {
    let fits: Vec<Value> = answer
        .fits
        .fits
        .iter()
        .map(|fit| {
            json!({
                "method": fit.method.words(),
                "critical_speed_m_s": number(fit.speed),
                "critical_speed_kmh": number(fit.speed * 3.6),
                "critical_speed_se": fit.speed_se.map(number),
                "critical_speed_interval": interval(fit.speed_interval),
                "d_prime_m": number(fit.distance),
                "d_prime_se": fit.distance_se.map(number),
                "d_prime_interval": interval(fit.distance_interval),
            })
        })
        .collect();
    json!({
        "name": answer.name,
        "trials": answer.trials,
        "fits": fits,
        "critical_speed_spread_m_s": [number(answer.fits.speeds.0), number(answer.fits.speeds.1)],
        "d_prime_spread_m": [number(answer.fits.distances.0), number(answer.fits.distances.1)],
        "warnings": answer.words,
        "plan": answer.plan.map(|p| json!({
            "speed_kmh": number(p.speed_kmh),
            "distance_m": number(p.speed_kmh / 3.6 * p.work_s),
            "work_s": number(p.work_s),
            "rest_s": number(p.rest_s),
            "runs": p.runs,
            "spent_m": number(p.spent_m),
            "share_of_d_prime": SHARE_TO_SPEND,
        })),
    })
}

fn words(answer: &Answer) -> String {
    let name = if answer.name.is_empty() {
        "Critical speed"
    } else {
        &answer.name
    };
    let ends = |of: Option<Interval>, places| {
        of.map_or_else(
            || "none".to_owned(),
            |i| format!("{} to {}", short(i.lower, places), short(i.upper, places)),
        )
    };
    let row = |fit: &CriticalFit| {
        vec![
            fit.method.words().to_owned(),
            short(fit.speed, 3),
            short(fit.speed * 3.6, 2),
            ends(fit.speed_interval, 2),
            short(fit.distance, 0),
            ends(fit.distance_interval, 0),
        ]
    };
    let head = [
        ("fit", Align::Left),
        ("CS m/s", Align::Right),
        ("km/h", Align::Right),
        ("95 % of CS", Align::Right),
        ("D′ m", Align::Right),
        ("95 % of D′", Align::Right),
    ];
    let rows: Vec<Vec<String>> = answer.fits.fits.iter().map(row).collect();
    let mut out = vec![
        format!("{name}: {} maximal trials", answer.trials),
        print::table(&head, &rows),
    ];
    for warning in &answer.words {
        out.push(hanging(&format!("· {warning}"), 92));
    }
    if let Some(plan) = &answer.plan {
        out.push(hanging(&planned(plan), 92));
    }
    out.push(String::new());
    out.join("\n") + "\n"
}

fn planned(plan: &Plan) -> String {
    let run = format!(
        "{} s at {} km/h is {} m",
        short(plan.work_s, 1),
        short(plan.speed_kmh, 2),
        short(plan.speed_kmh / 3.6 * plan.work_s, 1)
    );
    match plan.runs {
        None => format!("plan: {run}; D′ sets no end to such runs within 200 of them"),
        Some(0) => format!(
            "plan: {run}, and spends {} m at once: more than the 70 % of D′ that may be planned \
             with; run shorter or slower",
            short(plan.spent_m, 0)
        ),
        Some(runs) => format!(
            "plan: {run}; {runs} such runs with standing rests of {} s until 70 % of D′ is spent \
             (D′ is uncertain by 10 to 18 %, so not to its end)",
            short(plan.rest_s, 1)
        ),
    }
}
