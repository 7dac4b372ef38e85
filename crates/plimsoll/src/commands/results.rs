//! `plimsoll results`: outcomes with what they come to.

use plimsoll_archive::{Archive, ResultFilter, TestDay};
use plimsoll_desk::score;
use plimsoll_judge::{Censoring, StopReason};
use plimsoll_ladder::Catalogue;
use serde_json::{Value, json};

use super::reading;
use crate::cli::Results;
use crate::failure::{Failure, Found};
use crate::places::Session;
use crate::print::{self, Align, number, short};

/// Lists results.
pub fn run(session: &Session, catalogue: &Catalogue, args: &Results) -> Result<Found, Failure> {
    let archive = session.read()?;
    let mut filter = ResultFilter::default();
    if let Some(person) = &args.person {
        filter.person = Some(archive.person_named(person)?.id);
    }
    if let Some(day) = &args.day {
        filter.day = Some(reading::the_day(&archive, day)?.id);
    }
    let list = lines(&archive, catalogue, &filter)?;
    if session.json {
        print::json(&Value::Array(list))?;
        return Ok(Found::Nothing);
    }
    let head = [
        ("date", Align::Left),
        ("name", Align::Left),
        ("test", Align::Left),
        ("label", Align::Right),
        ("metres", Align::Right),
        ("km/h", Align::Right),
        ("why", Align::Left),
        ("marks", Align::Left),
    ];
    let text = |v: &Value| match v {
        Value::String(s) => s.clone(),
        Value::Number(n) => n.as_f64().map_or_else(String::new, |x| short(x, 2)),
        _ => String::new(),
    };
    let rows: Vec<Vec<String>> = list
        .iter()
        .map(|r| {
            let at_least = if r["censored"] == json!(true) {
                "≥ "
            } else {
                ""
            };
            let flags: Vec<String> = r["flags"]
                .as_array()
                .into_iter()
                .flatten()
                .map(&text)
                .collect();
            vec![
                text(&r["date"]),
                text(&r["person"]),
                text(&r["test"]),
                text(&r["label"]),
                format!("{at_least}{}", text(&r["distance_m"])),
                text(&r["final_speed_kmh"]),
                text(&r["reason"]),
                flags.join(", "),
            ]
        })
        .collect();
    print::text(print::table(&head, &rows))?;
    Ok(Found::Nothing)
}

/// Returns one document a result, by date and name.
fn lines(
    archive: &Archive,
    catalogue: &Catalogue,
    filter: &ResultFilter,
) -> Result<Vec<Value>, Failure> {
    let days = archive.days()?;
    let people = archive.people()?;
    let mut out: Vec<(String, String, Value)> = Vec::new();
    for result in archive.results(filter)?.iter().filter(|r| !r.withdrawn) {
        let day: Option<&TestDay> = days.iter().find(|d| d.id == result.day);
        let date = day.map(|d| d.facts.date.to_string()).unwrap_or_default();
        let name = people
            .iter()
            .find(|p| p.id == result.person)
            .map(|p| p.facts.called_name.clone())
            .unwrap_or_default();
        let outcome = &result.facts.outcome;
        let scored = catalogue
            .get(&outcome.ladder)
            .and_then(|t| score(t, outcome.amount));
        let s = scored.clone().unwrap_or_default();
        let mut flags = Vec::new();
        match outcome.censoring() {
            Censoring::LowerBound => flags.push("at least"),
            Censoring::Ceiling => flags.push("end of ladder"),
            Censoring::Score => {}
        }
        if outcome.reason == StopReason::NotRecorded {
            flags.push("reason not recorded");
        }
        if scored.is_none() {
            flags.push("test not known");
        }
        if result.supersedes.is_some() {
            flags.push("corrected");
        }
        let document = json!({
            "person": name,
            "date": date,
            "test": outcome.ladder,
            "bouts": s.bouts,
            "label": s.label,
            "distance_m": s.distance_m.map(number),
            "final_speed_kmh": s.final_speed_kmh.map(number),
            "average_speed_kmh": s.average_speed_kmh.map(number),
            "time_s": s.time_s.map(number),
            "reason": outcome.reason.as_str(),
            "censored": outcome.is_lower_bound(),
            "flags": flags,
        });
        out.push((date, name, document));
    }
    out.sort_by(|a, b| (&a.0, &a.1).cmp(&(&b.0, &b.1)));
    Ok(out.into_iter().map(|(.., document)| document).collect())
}
