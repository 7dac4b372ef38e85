//! The page of whose the scatter is: results of a test in the archive, split into athlete, day and rest.
//! Nothing is changed here; a rank within its interval is not a rank.

use axum::extract::{Query, State};
use axum::response::{IntoResponse, Response};
use maud::{Markup, PreEscaped, html};
use plimsoll_desk::mixed::{
    Ask, MixedAnswer, MixedError, archive_answer, archive_table, figure, fixed_rows, part_rows,
    record, verdict,
};
use serde::Deserialize;

use super::frame::{Refused, page as framed};
use crate::app::App;
use crate::auth::Who;
use crate::waves::known_test;

/// What is asked of the page.
#[derive(Debug, Deserialize)]
pub struct Asked {
    test: Option<String>,
}

/// `GET /mixed`.
pub async fn page(
    State(app): State<App>,
    who: Who,
    Query(asked): Query<Asked>,
) -> Result<Response, Refused> {
    who.must_lead()?;
    let chosen = asked.test.as_deref().filter(|t| !t.is_empty());
    let found = match chosen {
        None => None,
        Some(id) => Some(look(&app, id).await?),
    };
    let body = html! {
        h1 { "Where the scatter comes from" }
        p { "Results of a test differ from athlete to athlete, from day to day, and for no reason that is known. "
            "This page says how much of the scatter is whose, once trial number and weeks are allowed for." }
        (form(&app, chosen.unwrap_or("")))
        @match &found {
            None => {},
            Some(Err(why)) => {
                p.ruled { strong { "No answer. " } (bare(&why.to_string())) }
                @if matches!(why, MixedError::TooLittle { .. }) {
                    div.caution { p { strong { "Caution. " }
                        "A repeat of a maximal test is a maximal test: for people who are cleared and well, after "
                        "rest, with an easier form open to anyone." } }
                }
            },
            Some(Ok(answer)) => (shown(answer)),
        }
        p.hint { "A sheet of your own, other columns and other groups are read with " code { "plimsoll mixed" } ". "
            a href="/study" { "How far repeats of a test differ" } }
    };
    Ok(framed(&who, "Where the scatter comes from", "", &body).into_response())
}

type Found = Result<MixedAnswer, MixedError>;

async fn look(app: &App, id: &str) -> Result<Found, Refused> {
    known_test(app, id)?;
    let (asking, id) = (app.clone(), id.to_owned());
    let rows = app
        .keeper()
        .with(move |writer| {
            let test = known_test(&asking, &id)?;
            match archive_table(writer, test, asking.facts().scale(test.id())) {
                Ok(rows) => Ok(Ok((rows, id))),
                Err(MixedError::Archive(fault)) => Err(fault.into()),
                Err(why) => Ok(Err(why)),
            }
        })
        .await?;
    let (rows, id) = match rows {
        Ok(found) => found,
        Err(why) => return Ok(Err(why)),
    };
    let ask = Ask {
        log: true,
        ..Ask::about("")
    };
    // The fit takes its time; nobody waits for the archive meanwhile.
    let asking = app.clone();
    let fitted = tokio::task::spawn_blocking(move || {
        let test = known_test(&asking, &id)?;
        Ok::<_, crate::fault::Fault>(archive_answer(test, &rows, &ask))
    });
    Ok(fitted
        .await
        .map_err(|_| crate::fault::Fault::internal())??)
}

/// The words of a page have no marks around the names of columns.
fn bare(words: &str) -> String {
    words.replace('`', "")
}

fn form(app: &App, chosen: &str) -> Markup {
    html! {
        form method="get" action="/mixed" {
            label.field { "Test"
                select name="test" required {
                    @for test in app.catalogue().iter() {
                        option value=(test.id()) selected[test.id() == chosen] { (test.name()) }
                    }
                }
            }
            p { button.button type="submit" { "Show" } }
        }
    }
}

fn shown(answer: &MixedAnswer) -> Markup {
    let picture = figure(answer).svg;
    html! {
        section.ruled {
            h2 { "What it says" }
            ul { @for words in verdict(answer) { li { (bare(&words)) } } }
        }
        // Made by our own figures; every text in it is escaped there.
        div.wide tabindex="0" role="group" aria-label="Figure" { figure { (PreEscaped(picture.as_str())) } }
        div.wide tabindex="0" role="group" aria-label="Parts of the scatter" { table.table {
            thead { tr { th scope="col" { "Scatter" } th scope="col" class="number" { "SD" }
                th scope="col" { "Interval, 90 %" } th scope="col" class="number" { "Share" } } }
            tbody { @for [what, sd, interval, share] in part_rows(answer) { tr {
                td { (what) } td.number { (sd) } td { (interval) } td.number { (share) }
            } } }
        } }
        div.wide tabindex="0" role="group" aria-label="What is allowed for" { table.table {
            thead { tr { th scope="col" { "Allowed for" } th scope="col" class="number" { "One more brings" }
                th scope="col" class="number" { "Standard error" } th scope="col" class="number" { "Degrees of freedom" }
                th scope="col" { "Interval, 90 %" } } }
            tbody { @for [name, estimate, se, df, interval] in fixed_rows(answer) { tr {
                td { (name) } td.number { (estimate) } td.number { (se) } td.number { (df) } td { (interval) }
            } } }
        } }
        ul { @for note in record(answer).iter().chain(&answer.notes) { li { (bare(note)) } } }
        div.caution { p { strong { "Caution. " }
            "Deviations are drawn towards the typical athlete, and their order within the intervals is chance. "
            "Do not select, exclude, diagnose or clear anyone on them." } }
    }
}
