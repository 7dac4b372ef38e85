//! The references at hand, and one of them with its rows and, where it has curves, their picture.
//! No category words; the tag of each row is on the page.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use maud::{PreEscaped, html};
use plimsoll_desk::reference::shown;
use plimsoll_interpret::data::{Origin, Population};

use super::frame::{Refused, page as framed};
use crate::app::App;
use crate::auth::Who;
use crate::fault::Fault;

/// `GET /reference`.
pub async fn page(State(app): State<App>, who: Who) -> Result<Response, Refused> {
    who.must_lead()?;
    let populations = &app.facts().populations;
    let tests = |p: &Population| {
        let mut tests: Vec<String> = p.rows.iter().map(|r| r.test.clone()).collect();
        tests.sort();
        tests.dedup();
        tests.join(", ")
    };
    let own = populations
        .iter()
        .filter(|p| p.provenance.origin == Origin::User)
        .count();
    let body = html! {
        h1 { "References" }
        p { "Populations a result can be placed in, with where they come from. "
            @if own == 0 { "None is your own yet. " } @else { (own) " of them are your own. " }
            "Curves are fitted to own data with " code { "plimsoll reference fit FILE" }
            " and read from the archive's " code { "references" } " folder when the server starts." }
        div.wide tabindex="0" role="group" aria-label="Table" { table.table {
            thead { tr { th scope="col" { "Reference" } th scope="col" { "Tests" } th scope="col" class="number" { "Year" }
                th scope="col" class="number" { "Rows" } th scope="col" { "From" } } }
            tbody { @for population in populations { tr {
                td { a href=(format!("/reference/{}", population.provenance.id)) { (population.provenance.title) } }
                td { (tests(population)) }
                td.number { @if let Some(year) = population.provenance.year { (year) } }
                td.number { (population.rows.len()) }
                td { (origin(population.provenance.origin)) }
            } } }
        } }
    };
    Ok(framed(&who, "References", "", &body).into_response())
}

const fn origin(origin: Origin) -> &'static str {
    match origin {
        Origin::BuiltIn => "built in",
        Origin::User => "your own",
    }
}

/// `GET /reference/{id}`.
pub async fn one(
    State(app): State<App>,
    who: Who,
    Path(id): Path<String>,
) -> Result<Response, Refused> {
    who.must_lead()?;
    let found = app
        .facts()
        .populations
        .iter()
        .find(|p| p.provenance.id == id);
    let population = found.ok_or_else(|| Fault::missing("reference", &id))?;
    let about = &population.provenance;
    let reference = shown(population);
    let body = html! {
        h1 { (about.title) }
        p { strong { "Source. " } (about.source) @if let Some(doi) = &about.doi { ", doi " (doi) } }
        p { strong { "What was opened of it. " } (about.read) ". " strong { "Licence. " } (about.licence) "." }
        @if let Some(note) = &about.note { p { strong { "Remark. " } (note) } }
        // Made by our own figures; every text in them is escaped there.
        @for (name, figure) in &reference.figures {
            h2 { (name) }
            div.wide tabindex="0" role="group" aria-label="Figure" { figure { (PreEscaped(&figure.svg)) } }
        }
        @if reference.figures.is_empty() {
            p { "It has no curves by age, so there is no picture: only the rows below." }
        }
        div.wide tabindex="0" role="group" aria-label="Table" { table.table {
            thead { tr { th scope="col" { "Measured" } th scope="col" { "Who" } th scope="col" class="number" { "n" }
                th scope="col" { "Says" } th scope="col" { "Known from" } } }
            tbody { @for [what, group, n, says, tag] in &reference.rows { tr {
                td { (what) } td { (group) } td.number { (n) } td { (says) } td { (tag) }
            } } }
        } }
        @if reference.more > 0 { p { (reference.more) " more rows are not listed." } }
        p { a href="/reference" { "All references" } }
    };
    Ok(framed(&who, &about.title, "", &body).into_response())
}
