//! A person's level over time in each test, with its doubt and what comes next.
//! Must show no health answer: results and levels only.

use std::collections::BTreeSet;

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use jiff::civil::Date;
use maud::{Markup, PreEscaped, html};
use plimsoll_archive::PersonId;
use plimsoll_desk::change::Growth;
use plimsoll_desk::history::entries;
use plimsoll_desk::level::{PersonLevel, SquadLevels, members};
use plimsoll_desk::{Choices, Question, meaning};
use plimsoll_report::{LevelMark, figure_level};

use super::frame::{Refused, page as framed};
use crate::app::App;
use crate::auth::Who;
use crate::fault::Fault;

/// The weekly gain asked about, as a share.
const GAIN: f64 = 0.01;

/// A level, its unit, where its parameters come from, and what the group told about its days.
type Known = (PersonLevel, String, String, Vec<String>);

/// The level in one test, or why there is none.
struct InTest {
    id: String,
    name: String,
    growth: Option<Growth>,
    level: Result<Known, String>,
}

/// `GET /person/{person}`.
pub async fn page(
    State(app): State<App>,
    who: Who,
    Path(person): Path<String>,
) -> Result<Response, Refused> {
    who.must_lead()?;
    let id: PersonId = person
        .parse()
        .map_err(|_| Fault::missing("person", "an id that is none"))?;
    let today = jiff::Timestamp::from_millisecond(app.now_ms())
        .map_err(|_| Fault::internal())?
        .to_zoned_datetime(jiff::tz::TimeZone::UTC)
        .date();
    let asking = app.clone();
    let (name, tests) = app
        .keeper()
        .with(move |writer| {
            let person = writer
                .person(id)?
                .ok_or_else(|| Fault::missing("person", &id.to_string()))?;
            let ladders: BTreeSet<String> = writer
                .history(id)?
                .into_iter()
                .map(|h| h.result.facts.outcome.ladder)
                .collect();
            let mut tests = Vec::new();
            for ladder in ladders {
                let Some(test) = asking.catalogue().get(&ladder) else {
                    continue;
                };
                let all = members(writer, asking.facts(), test, &Choices::default(), None)?;
                let squad = SquadLevels::of(test, asking.facts().scale(test.id()), &all);
                let level = squad.and_then(|squad| {
                    let level = squad.person(&id.to_string(), today, GAIN)?;
                    let told = squad.told(&level);
                    Ok((
                        level,
                        squad.unit().as_str().to_owned(),
                        squad.basis().to_owned(),
                        told,
                    ))
                });
                let own = entries(writer.history(id)?, test, asking.facts().scale(test.id()));
                let question = Question {
                    facts: asking.facts(),
                    test,
                    person: &person,
                    entries: &own,
                    squad_sd: None,
                    own: None,
                    choices: &Choices::default(),
                };
                tests.push(InTest {
                    id: ladder.clone(),
                    growth: meaning(&question).ok().flatten().and_then(|m| m.growth),
                    name: test.name().to_owned(),
                    level: level.map_err(|why| why.to_string()),
                });
            }
            Ok((person.facts.called_name, tests))
        })
        .await?;
    let body = html! {
        h1 { (name) }
        @if tests.is_empty() { p { "No result yet." } }
        @for test in &tests { (in_test(&name, test, today))
            p { a href=(format!("/person/{id}/change?test={}", test.id)) { "Is the change in " (test.name) " real?" } } }
        div.caution { p { strong { "Caution. " }
            "A level says what a person could do on those days, as far as results tell. It clears nobody for a "
            "maximal test, and no one should be picked or left out on it alone." } }
    };
    Ok(framed(&who, &name, "/people", &body).into_response())
}

fn in_test(name: &str, test: &InTest, today: Date) -> Markup {
    let (level, unit, basis, told) = match &test.level {
        Ok(known) => known,
        Err(why) => {
            return html! { section.ruled { h2 { (test.name) } p { "No level: " (why) "." }
            (super::change::growth(test.growth.as_ref())) } };
        }
    };
    let marks: Vec<LevelMark> = level
        .points
        .iter()
        .map(|p| LevelMark {
            date: p.date,
            level: p.level,
            lower: p.lower,
            upper: p.upper,
            result: p.result,
            bound: p.bound,
        })
        .collect();
    let whole = |value: f64| format!("{value:.0}").replace('-', "−");
    let percent = |p: f64| format!("{:.0} %", 100.0 * p);
    html! {
        section.ruled {
            h2 { (test.name) }
            @if let Some(change) = &level.change {
                p { "Since " (change.since) ": " strong { (change.verdict) } ", "
                    (whole(change.low90)) " to " (whole(change.high90)) " " (unit) " (90 %)." }
            }
            // Made by our own figure; every text in it is escaped there.
            @if let Some(figure) = figure_level(name, unit, &marks) {
                figure.drawn tabindex="0" role="group" aria-label="Figure" { (PreEscaped(figure.svg)) }
            }
            (super::change::growth(test.growth.as_ref()))
            p { "A test on " (today) " would give " (whole(level.next.low90)) " to " (whole(level.next.high90))
                " " (unit) " (90 %). "
                @match level.next.weeks_to_see {
                    Some(weeks) => { "A gain of 1 % a week would be seen after " (whole(weeks)) " weeks, tested every four." }
                    None => "A gain of 1 % a week would not be seen for sure within two years."
                } }
            div.wide tabindex="0" role="group" aria-label="Table" { table.table {
                thead { tr { th scope="col" { "Date" } th scope="col" class="number" { "Result" }
                    th scope="col" class="number" { "Level" } th scope="col" class="number" { "90 % from" }
                    th scope="col" class="number" { "to" } th scope="col" class="number" { "Higher since" }
                    th scope="col" class="number" { "Lower since" } } }
                tbody { @for p in &level.points { tr {
                    td.kept { (p.date) }
                    td.number { @if let Some(result) = p.result { @if p.bound { "at least " } (whole(result)) } }
                    td.number { (whole(p.level)) } td.number { (whole(p.lower)) } td.number { (whole(p.upper)) }
                    td.number { (percent(p.p_up)) } td.number { (percent(p.p_down)) }
                } } }
            } }
            @if !told.is_empty() { details {
                summary { "What the days did to these results" }
                ul {
                    @for words in told { li { (words) } }
                }
                p { "No result is changed: the level hears it with this in mind." }
            } }
            p.hint { "Dots are results, bars and dashes the 90 % interval of the level. Where its parameters come from: " (basis) "." }
        }
    }
}
