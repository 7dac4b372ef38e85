//! Is a person's change real? The level from all results first, the two tests alone one step away.
//! Must show no health answer: results, levels and growth only.

use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use plimsoll_archive::PersonId;
use plimsoll_desk::Choices;
use plimsoll_desk::change::{ChangeError, PersonAnswer, of_person};
use plimsoll_report::format::{date, decimals, number, percent, signed_amount, signed_range};
use serde::Deserialize;

use super::change::{caution, growth, picture, test_name};
use super::frame::{Refused, page as framed};
use crate::app::App;
use crate::auth::Who;
use crate::fault::Fault;
use crate::waves::known_test;

/// What may be asked about a person.
#[derive(Debug, Default, Deserialize)]
pub struct OfPerson {
    test: Option<String>,
}

/// `GET /person/{person}/change`.
pub async fn page(
    State(app): State<App>,
    who: Who,
    Path(person): Path<String>,
    Query(asked): Query<OfPerson>,
) -> Result<Response, Refused> {
    who.must_lead()?;
    let id: PersonId = person
        .parse()
        .map_err(|_| Fault::missing("person", "an id that is none"))?;
    let (asking, wanted) = (app.clone(), asked.test.filter(|t| !t.is_empty()));
    let (name, tests, found) = app
        .keeper()
        .with(move |writer| {
            let person = writer
                .person(id)?
                .ok_or_else(|| Fault::missing("person", &id.to_string()))?;
            let mut tests: Vec<String> = Vec::new();
            for past in writer.history(id)?.into_iter().rev() {
                let ladder = past.result.facts.outcome.ladder;
                if asking.catalogue().get(&ladder).is_some() && !tests.contains(&ladder) {
                    tests.push(ladder);
                }
            }
            let name = person.facts.called_name.clone();
            let Some(test) = wanted.or_else(|| tests.first().cloned()) else {
                return Ok((name, tests, None));
            };
            let test = known_test(&asking, &test)?;
            let answer = of_person(writer, asking.facts(), test, &person, &Choices::default());
            match answer {
                Ok(answer) => Ok((name, tests, Some(Ok(answer)))),
                Err(ChangeError::Archive(fault)) => Err(fault.into()),
                Err(why) => Ok((name, tests, Some(Err(why.to_string())))),
            }
        })
        .await?;
    let body = html! {
        h1 { (name) ": is the change real?" }
        @if tests.len() > 1 { p { "Test: " @for (at, test) in tests.iter().enumerate() {
            @if at > 0 { " · " }
            a href=(format!("/person/{id}/change?test={test}")) { (test_name(&app, test)) }
        } } }
        @match &found {
            None => p { "No result yet." },
            Some(Err(why)) => p.ruled { strong { "No answer. " } (why) "." },
            Some(Ok(answer)) => (of_results(&app, answer)),
        }
        p { a href=(format!("/person/{id}")) { "Level over time" } }
        (caution())
    };
    Ok(framed(&who, &name, "/people", &body).into_response())
}

fn of_results(app: &App, a: &PersonAnswer) -> Markup {
    let unit = a.unit.as_str();
    let pairs = [("last", &a.report.previous), ("best", &a.report.best)];
    html! {
        section.ruled {
            h2 { (test_name(app, &a.test)) ", " (date(a.date)) ": "
                @if a.bound { "at least " } (number(a.now, decimals(unit))) " " (unit) }
            (level(a))
            (picture(a.figure().as_ref()))
            (since_each(a))
            (growth(a.growth.as_ref()))
            details open[a.level.is_err()] {
                summary { "The two tests alone" }
                @for (what, pair) in pairs { @if let Some(p) = pair {
                    p { "Against the " (what) " test, " (number(p.value, decimals(unit))) " " (unit)
                        @if let Some(on) = a.date_of(p.day) { " on " (date(on)) } ": " strong { (p.words) } "." }
                    @if !p.flags.is_empty() { ul { @for flag in &p.flags { li { (flag.words) } } } }
                } }
                @if a.report.previous.is_none() { p { "There is no earlier result to compare with." } }
                p.hint { "How: " (a.basis()) "." }
            }
            @if !a.report.flags.is_empty() { ul { @for flag in &a.report.flags { li { (flag.words) } } } }
        }
    }
}

fn level(a: &PersonAnswer) -> Markup {
    let unit = a.unit.as_str();
    let level = match &a.level {
        Ok(level) => level,
        Err(why) => return html! { p { "No level from all results: " (why) "." } },
    };
    html! {
        p { "Level from all results: " strong { (number(level.now.level, decimals(unit))) " " (unit) }
            ", " (number(level.now.lower, decimals(unit))) " to " (number(level.now.upper, decimals(unit))) " " (unit)
            " (90 %)."
            @if let Some(c) = level.changes.last() {
                " Since " (date(c.since)) ": " strong { (c.verdict) } ", "
                (signed_range(Some(c.low90), Some(c.high90), unit)) " (90 %)."
            } }
    }
}

/// The level's change since each earlier test.
fn since_each(a: &PersonAnswer) -> Markup {
    let unit = a.unit.as_str();
    html! {
        @if let Some(level) = a.level.as_ref().ok().filter(|l| !l.changes.is_empty()) {
            div.wide tabindex="0" role="group" aria-label="Table" { table.table {
                thead { tr { th scope="col" { "Level since" } th scope="col" class="number" { "Change" }
                    th scope="col" { "90 %" } th scope="col" class="number" { "Rise" }
                    th scope="col" class="number" { "Too small" } th scope="col" class="number" { "Fall" }
                    th scope="col" { "In words" } } }
                tbody { @for c in level.changes.iter().rev() { tr {
                    td.kept { (date(c.since)) } td.number { (signed_amount(c.difference, unit)) }
                    td { (signed_range(Some(c.low90), Some(c.high90), unit)) }
                    td.number { (percent(c.p_up)) } td.number { (percent(c.p_trivial)) }
                    td.number { (percent(c.p_down)) } td { (c.verdict) }
                } } }
            } }
            p.hint { "Too small to matter: " (signed_range(Some(level.zone.0), Some(level.zone.1), unit)) ". How: "
                (level.basis) "." }
        }
    }
}
