//! The page of a study: repeats in the archive, what error to use, the pictures.
//! Nothing is changed here. Maximal tests are repeated only by people who are well and willing.

use axum::extract::{Query, State};
use axum::response::{IntoResponse, Response};
use maud::{Markup, PreEscaped, html};
use plimsoll_desk::study::{
    Ask, DEFAULT_WEEKS, StudyAnswer, StudyError, answer, figures, repeats, rows, verdict,
};
use plimsoll_ladder::Test;
use plimsoll_report::Cautions;
use serde::Deserialize;

use super::frame::{Refused, page as framed};
use crate::app::App;
use crate::auth::Who;
use crate::fault::Fault;
use crate::waves::known_test;

/// Level of the intervals.
const LEVEL: f64 = 0.90;
/// Longest time that may be asked for, weeks.
const MOST_WEEKS: u32 = 520;

/// What is asked of the page.
#[derive(Debug, Deserialize)]
pub struct Asked {
    test: Option<String>,
    weeks: Option<String>,
}

/// `GET /study`.
pub async fn page(
    State(app): State<App>,
    who: Who,
    Query(asked): Query<Asked>,
) -> Result<Response, Refused> {
    who.must_lead()?;
    let weeks = match asked
        .weeks
        .as_deref()
        .map(str::trim)
        .filter(|w| !w.is_empty())
    {
        None => DEFAULT_WEEKS,
        Some(written) => match written.parse::<u32>() {
            Ok(weeks) if (1..=MOST_WEEKS).contains(&weeks) => weeks,
            _ => {
                return Err(Fault::value("weeks", written, "a whole number from 1 to 520").into());
            }
        },
    };
    let chosen = asked.test.as_deref().and_then(|id| app.catalogue().get(id));
    let found = match asked.test.as_deref().filter(|t| !t.is_empty()) {
        None => None,
        Some(id) => Some(look(&app, id, weeks).await?),
    };
    let body = html! {
        h1 { "Error of a test" }
        p { "How far two tests of one person differ by chance, from people of this archive who were tested twice. "
            "Repeats count when they are at most so many weeks apart, under the same rules and course." }
        (form(&app, asked.test.as_deref().unwrap_or(""), weeks))
        @match &found {
            None => {},
            Some(Err(why)) => p.ruled { strong { "No study. " } (why) "." },
            Some(Ok(answer)) => (shown(answer)),
        }
        @if let (Some(_), Some(test)) = (&found, chosen) { (caution(&app, test)) }
        p.hint { "A sheet of your own trials is read with " code { "plimsoll study FILE" } "." }
    };
    Ok(framed(&who, "Error of a test", "", &body).into_response())
}

type Found = Result<StudyAnswer, StudyError>;

async fn look(app: &App, id: &str, weeks: u32) -> Result<Found, Refused> {
    known_test(app, id)?;
    let (asking, id) = (app.clone(), id.to_owned());
    let found = app
        .keeper()
        .with(move |writer| {
            let test = known_test(&asking, &id)?;
            let facts = asking.facts();
            let table = match repeats(writer, test, facts.scale(test.id()), weeks) {
                Ok(table) => table,
                Err(StudyError::Archive(fault)) => return Err(fault.into()),
                Err(why) => return Ok(Err(why)),
            };
            let ask = Ask {
                level: LEVEL,
                test: Some(test.id()),
                ..Ask::default()
            };
            Ok(answer(facts, table, &ask))
        })
        .await?;
    Ok(found)
}

fn form(app: &App, chosen: &str, weeks: u32) -> Markup {
    html! {
        form method="get" action="/study" {
            label.field { "Test"
                select name="test" required {
                    @for test in app.catalogue().iter() {
                        option value=(test.id()) selected[test.id() == chosen] { (test.name()) }
                    }
                }
            }
            label.field { "At most so many weeks apart"
                input type="number" name="weeks" min="1" max=(MOST_WEEKS) value=(weeks);
            }
            p { button.button type="submit" { "Show" } }
        }
    }
}

fn shown(answer: &StudyAnswer) -> Markup {
    let drawn = figures(answer);
    let pictures: Vec<&str> = [
        drawn.agreement.as_ref(),
        Some(&drawn.lines),
        drawn.by_level.as_ref(),
    ]
    .into_iter()
    .flatten()
    .map(|figure| figure.svg.as_str())
    .collect();
    html! {
        section.ruled {
            h2 { "What to use" }
            ul { @for words in verdict(answer) { li { (words) } } }
            p.hint { (answer.study.people) " rows, " (answer.study.trials) " trials; "
                @if answer.in_percent() { "in percent: " } @else { "in the unit of the values: " }
                (answer.scale_why) "." }
        }
        // Made by our own figures; every text in them is escaped there.
        @for picture in &pictures {
            div.wide tabindex="0" role="group" aria-label="Figure" { figure { (PreEscaped(*picture)) } }
        }
        div.wide tabindex="0" role="group" aria-label="Table" { table.table {
            thead { tr { th scope="col" { "What" } th scope="col" class="number" { "Value" }
                th scope="col" { "Interval, 90 %" } } }
            tbody { @for [what, value, interval] in rows(answer) { tr {
                td { (what) } td.number { (value) } td { (interval) }
            } } }
        } }
        ul { @for note in &answer.table.notes { li { (note) } } }
    }
}

/// What goes with testing people again: the easier form, and the cautions in full.
fn caution(app: &App, test: &Test) -> Markup {
    let cautions = Cautions::default();
    let easier = test.definition().easier.as_deref();
    let easier = easier.and_then(|id| app.catalogue().get(id));
    html! {
        div.caution {
            p { strong { "Caution. " }
                @if test.definition().maximal {
                    "A repeat of a maximal test is a maximal test: for people who are cleared and well, after rest. "
                    (cautions.short) " "
                }
                @match easier {
                    Some(easier) => { "The easier form is open to anyone: "
                        a href=(format!("/library/{}", easier.id())) { (easier.name()) } ". " }
                    None => "No easier form is defined for this test: who is not fit for it sits out. ",
                }
                "Do not select, exclude, diagnose or clear anyone on a single result." }
            details {
                summary { "All cautions" }
                @for (head, text) in &cautions.full { p { strong { (head) ". " } (text) } }
                p.hint { (cautions.origin) }
            }
        }
    }
}
