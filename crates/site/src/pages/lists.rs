//! Lists: people, the library of definitions, the archive.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::html;
use plimsoll_archive::{Membership, PersonFacts};

use super::frame::{Refused, page as framed, seal};
use crate::app::App;
use crate::auth::{Guarded, Who};
use crate::fault::Fault;
use crate::waves::known_test;

/// Changes shown of the journal.
const SHOWN: usize = 50;

/// `GET /people`.
pub async fn people(State(app): State<App>, who: Who) -> Result<Response, Refused> {
    who.must_lead()?;
    let people = app.keeper().with(|writer| Ok(writer.people()?)).await?;
    let body = html! {
        h1 { "People" }
        p { (people.len()) " in the archive. A roster file is read with " code { "plimsoll people import FILE" }
            "; here one is added at a time." }
        form method="post" action="/people" {
            (seal(&who))
            label.field { "Name as called on the pitch" input name="name" required maxlength="60"; }
            p { button.button type="submit" { "Add" } }
        }
        div.wide tabindex="0" role="group" aria-label="Table" { table.table {
            thead { tr { th scope="col" { "Name" } th scope="col" { "Squads" } } }
            tbody { @for person in &people { tr {
                td { a href=(format!("/person/{}", person.id)) { (person.facts.called_name) } }
                td { (person.memberships.iter().map(|m| m.membership.squad.clone()).collect::<Vec<_>>().join(", ")) }
            } } }
        } }
    };
    Ok(framed(&who, "People", "/people", &body).into_response())
}

/// `POST /people`.
pub async fn add(State(app): State<App>, form: Guarded) -> Result<Response, Refused> {
    form.who.must_lead()?;
    let name = form
        .short("name", 60)?
        .ok_or_else(|| Fault::value("name", "nothing", "1 to 60 characters"))?;
    let facts = PersonFacts {
        called_name: name,
        ..PersonFacts::default()
    };
    app.keeper()
        .with(move |writer| {
            let none: [Membership; 0] = [];
            Ok(writer.add_person(&facts, &none)?)
        })
        .await?;
    Ok(Redirect::to("/people").into_response())
}

/// `GET /library`.
pub async fn library(State(app): State<App>, who: Who) -> Result<Response, Refused> {
    who.must_lead()?;
    let body = html! {
        h1 { "Definitions" }
        p { "Every test this program knows, with how far its values can be trusted. "
            a href="/change" { "Is a change real?" } " · "
            a href="/study" { "How far repeats of a test differ" } " · "
            a href="/mixed" { "Where the scatter of results comes from" } " · "
            a href="/reference" { "What results can be compared with" } }
        div.wide tabindex="0" role="group" aria-label="Table" { table.table {
            thead { tr { th scope="col" { "Test" } th scope="col" { "Id" } th scope="col" { "Trust" } } }
            tbody { @for test in app.catalogue().iter() { tr {
                td { a href=(format!("/library/{}", test.id())) { (test.name()) } }
                td { (test.id()) }
                td { (test.status().as_str()) }
            } } }
        } }
    };
    Ok(framed(&who, "Definitions", "/library", &body).into_response())
}

/// `GET /library/{test}`.
pub async fn definition(
    State(app): State<App>,
    who: Who,
    Path(test): Path<String>,
) -> Result<Response, Refused> {
    who.must_lead()?;
    let test = known_test(&app, &test)?;
    let definition = test.definition();
    let rule = plimsoll_judge::Settings::of(test).in_words();
    let body = html! {
        h1 { (test.name()) }
        @if definition.maximal {
            div.caution { p { strong { "Caution. " } "It asks for a maximum effort, for people cleared for it. "
                @if let Some(easier) = &definition.easier {
                    "An easier form is " a href=(format!("/library/{easier}")) { (easier) } ". "
                }
                "Medical staff and local rules decide."
            } }
        }
        p { (rule) }
        ul { @for note in &definition.rule_notes {
            li { (note.text) " " span.hint { "(" (note.confidence.as_str())
                @if !note.sources.is_empty() { ": " (note.sources.join(", ")) } ")" } }
        } }
        @if let Some(ladder) = test.ladder() {
            div.wide tabindex="0" role="group" aria-label="Table" { table.table {
                caption { "Ladder, fingerprint " (test.fingerprint()) }
                thead { tr { th scope="col" class="number" { "Bout" } th scope="col" { "Label" }
                    th scope="col" class="number" { "km/h" } th scope="col" class="number" { "Finish, s" }
                    th scope="col" class="number" { "Metres" } } }
                tbody { @for bout in ladder.bouts() { tr {
                    td.number { (bout.number) } td { (bout.label) }
                    td.number { (bout.speed.as_kmh_f64()) }
                    td.number { (format!("{:.2}", bout.finish.as_secs_f64())) }
                    td.number { (bout.distance.as_m_f64()) }
                } } }
            } }
        }
    };
    Ok(framed(&who, test.name(), "/library", &body).into_response())
}

/// `GET /archive`.
pub async fn archive(State(app): State<App>, who: Who) -> Result<Response, Refused> {
    who.must_lead()?;
    let (days, people, journal) = app
        .keeper()
        .with(|writer| {
            let journal = writer.journal()?;
            Ok((writer.days()?.len(), writer.people()?.len(), journal))
        })
        .await?;
    let when = |ms: i64| {
        jiff::Timestamp::from_millisecond(ms).map_or_else(
            |_| String::new(),
            |at| at.strftime("%Y-%m-%d %H:%M UTC").to_string(),
        )
    };
    let body = html! {
        h1 { "Archive" }
        dl.facts {
            dt { "Test days" } dd { (days) }
            dt { "People" } dd { (people) }
            dt { "Changes" } dd { (journal.len()) }
        }
        p { "Nothing is overwritten. Back up with " code { "plimsoll archive backup DIR" } "." }
        div.wide tabindex="0" role="group" aria-label="Table" { table.table {
            caption { "The latest changes" }
            thead { tr { th scope="col" class="number" { "No." } th scope="col" { "When" } th scope="col" { "Who" }
                th scope="col" { "What" } } }
            tbody { @for change in journal.iter().rev().take(SHOWN) { tr {
                td.number { (change.seq) } td { (when(change.at_ms)) } td { (change.who) }
                td { (change.summary) @if change.undone { " (undone)" } }
            } } }
        } }
    };
    Ok(framed(&who, "Archive", "/archive", &body).into_response())
}
