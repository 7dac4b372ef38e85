//! The coach's page of a day: what to read aloud, the squad as one picture, a line per runner.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use maud::{Markup, PreEscaped, html};
use plimsoll_desk::{Choices, day_report};
use plimsoll_report::{
    AthleteLine, change_words, figure_change, figure_distribution, lead_paragraph,
};

use super::frame::{Refused, page as framed};
use super::plan::day_id;
use crate::app::App;
use crate::auth::Who;
use crate::fault::Fault;

/// `GET /results/{day}`.
pub async fn page(
    State(app): State<App>,
    who: Who,
    Path(day): Path<String>,
) -> Result<Response, Refused> {
    who.must_lead()?;
    let id = day_id(&day)?;
    let asking = app.clone();
    let report = app
        .keeper()
        .with(move |writer| {
            let day = writer
                .day(id)?
                .ok_or_else(|| Fault::missing("test day", &id.to_string()))?;
            day_report(
                writer,
                asking.catalogue(),
                asking.facts(),
                &day,
                &Choices::default(),
            )
            .map_err(|fault| {
                Fault::conflict(
                    "results",
                    &fault.to_string(),
                    "a day with results",
                    "close a wave first",
                )
            })
        })
        .await?;
    let figures: Vec<String> = figure_change(&report)
        .iter()
        .map(|figure| figure.svg.clone())
        .chain(figure_distribution(&report).map(|figure| figure.svg))
        .collect();
    // What several people share is said once.
    let mut decisions: Vec<(String, Vec<&str>)> = Vec::new();
    for decision in &report.decisions {
        let what = format!("{}; {}", decision.what, decision.choices);
        match decisions.iter_mut().find(|(known, _)| *known == what) {
            Some((_, people)) => people.push(&decision.person),
            None => decisions.push((what, vec![&decision.person])),
        }
    }
    let body = html! {
        h1 { (report.title) }
        p { (lead_paragraph(&report)) }
        @if !report.decisions.is_empty() {
            section.ruled {
                h2 { "To decide" }
                ul { @for (what, people) in &decisions { li { strong { (people.join(", ")) } ": " (what) "." } } }
            }
        }
        @if !report.wave.is_empty() { div.note { p { strong { "The wave. " } (report.wave) } } }
        // Made by our own figures; every text in them is escaped there.
        @for figure in &figures { figure.drawn tabindex="0" role="group" aria-label="Figure" { (PreEscaped(figure)) } }
        div.wide tabindex="0" role="group" aria-label="Table" { table.table {
            thead { tr { th scope="col" { "Name" } th scope="col" { "Label" } th scope="col" class="number" { "Metres" }
                th scope="col" class="number" { "km/h" } th scope="col" { "Ended by" } th scope="col" { "Change" }
                th scope="col" { "Marks" } } }
            tbody { @for line in &report.athletes {
                @let moved = report.moved(&line.id).map_or("", |one| one.way.as_str());
                tr data-moved=(moved) {
                td { (line.name) }
                td { @if line.lower_bound { "at least " } (line.label) }
                td.number { @if let Some(metres) = line.distance_m { (metres) } }
                td.number { @if let Some(speed) = line.final_speed_kmh { (speed) } }
                td { (line.reason) }
                td.said { (changed(line)) }
                td.said { (line.flags.join("; ")) }
            } } }
        } }
        p { a.button href=(format!("/train/{day}")) { "Set training from this day" } " "
            a.button-quiet href=(format!("/questions/{day}")) { "Questions about the squad" } }
        p { (report.how_sure) }
        p.hint { "Level: what all results of a person and of the squad say of the true performance. "
            a href="/people" { "Each person's level over time" } "." }
        div.caution { p { strong { "Caution. " }
            "Two tests of the same person differ by chance alone. Do not select, exclude, diagnose or clear "
            "anyone on a single result." } }
    };
    Ok(framed(&who, "Results", "", &body).into_response())
}

/// The level from all results first; the two tests alone one step away.
fn changed(line: &AthleteLine) -> Markup {
    let pair = line.change.as_ref().map(|change| {
        let verdict = &change.verdict;
        html! { (change_words(change)) @if !verdict.is_empty() { ": " (verdict) } }
    });
    html! {
        @match (&line.level, pair) {
            (Some(level), Some(pair)) => {
                strong { (level.verdict) } ", level " (format!("{:.0}", level.level)) " " (level.unit)
                details { summary { "the two tests alone" } (pair) "." }
            }
            (Some(level), None) => strong { (level.verdict) },
            (None, Some(pair)) => { (pair) " (the two tests alone)" },
            (None, None) => "no earlier result",
        }
    }
}
