//! Today: the days with their waves, what is next, and a new day.

use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use jiff::civil::Date;
use maud::{Markup, html};
use plimsoll_archive::{DayFacts, PaperKind, TestDay, Wave};
use plimsoll_desk::plain_day;

use super::frame::{Refused, page as framed, seal};
use crate::app::App;
use crate::auth::{Guarded, Role, Who};
use crate::fault::Fault;
use crate::waves::known_test;

/// Days shown.
const SHOWN: usize = 20;

/// A day with what is known of its progress.
struct Line {
    day: TestDay,
    planned: bool,
    waves: Vec<(Wave, bool)>,
}

/// `GET /`.
pub async fn page(State(app): State<App>, who: Who) -> Result<Response, Refused> {
    if let Some(wave) = who.wave {
        return Ok(Redirect::to(&format!("/line/{wave}")).into_response());
    }
    let known = app
        .keeper()
        .with(|writer| {
            let mut known = Vec::new();
            for day in writer.days()?.into_iter().rev().take(SHOWN) {
                let planned = writer.paper(day.id, PaperKind::Plan, None)?.is_some();
                let waves = writer.waves(day.id)?;
                known.push((day, planned, waves));
            }
            Ok(known)
        })
        .await?;
    let mut lines = Vec::new();
    for (day, planned, waves) in known {
        let mut shown = Vec::new();
        for wave in waves {
            let live = app.waves().get(&app, wave.id).await?;
            let closed = live.state().1.closed;
            shown.push((wave, closed));
        }
        lines.push(Line {
            day,
            planned,
            waves: shown,
        });
    }
    let body = html! {
        h1 { "Today" }
        @if app.options().rehearse {
            div.note { p { strong { "Rehearsal. " }
                "The squad is invented and nothing is kept. Open the wave's page, let simulated "
                "runners loose, or run it yourself on the line screen."
            } }
        }
        @if lines.is_empty() {
            p { "There is no test day yet." }
        }
        @for line in &lines { (day_block(&who, line)) }
        @if who.role == Role::Lead { (new_day(&app, &who)) }
    };
    Ok(framed(&who, "Today", "/", &body).into_response())
}

fn day_block(who: &Who, line: &Line) -> Markup {
    let id = line.day.id;
    let facts = &line.day.facts;
    html! {
        section.ruled {
            h2 { (facts.date) " · " (facts.name.as_deref().unwrap_or("Test day")) }
            dl.facts {
                dt { "Test" } dd { (facts.ladder_id.as_deref().unwrap_or("not chosen")) }
                @if let Some(venue) = &facts.venue { dt { "Venue" } dd { (venue) } }
                @if let Some(squad) = &facts.squad { dt { "Squad" } dd { (squad) } }
            }
            p {
                a.button-quiet href=(format!("/checks/{id}")) { "Checks" } " "
                a.button-quiet href=(format!("/arrival/{id}")) { "Arrival" } " "
                a.button-quiet href=(format!("/medic/{id}")) { "Medic" }
            }
            @if who.role == Role::Lead {
                p {
                    @if line.waves.is_empty() {
                        @if line.planned {
                            strong { "Next: " } a.button href=(format!("/plan/{id}")) { "Open the waves" }
                        } @else {
                            strong { "Next: " } a.button href=(format!("/plan/{id}")) { "Plan" }
                        }
                    } @else {
                        a.button-quiet href=(format!("/plan/{id}")) { "Plan" } " "
                        a.button-quiet href=(format!("/results/{id}")) { "Results" }
                    }
                }
                @if !line.waves.is_empty() {
                    ul {
                        @for (wave, closed) in &line.waves {
                            li {
                                (wave.name) ": "
                                @if *closed { "closed. " a href=(format!("/close/{}", wave.id)) { "Look at it" } }
                                @else {
                                    a href=(format!("/wave/{}", wave.id)) { "devices and line" } ", "
                                    a href=(format!("/line/{}", wave.id)) { "line screen" } ", "
                                    a href=(format!("/close/{}", wave.id)) { "close" }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn new_day(app: &App, who: &Who) -> Markup {
    let paced = app
        .catalogue()
        .iter()
        .filter(|test| test.shape().is_paced());
    html! {
        section.ruled {
            h2 { "A new test day" }
            p { a href="/choose" { "Which test suits this group?" } }
            form method="post" action="/days" {
                (seal(who))
                label.field { "Date" input type="date" name="date" required; }
                label.field { "What it is called"
                    input name="name" maxlength="80"; span.hint { "Under 14s, autumn, for instance." } }
                label.field { "Squad" input name="squad" maxlength="80"; }
                label.field { "Venue" input name="venue" maxlength="120"; }
                label.field { "Test"
                    select name="test" required {
                        @for test in paced { option value=(test.id()) { (test.name()) } }
                    }
                }
                p { button.button type="submit" { "Make the day" } }
            }
        }
    }
}

/// `POST /days`.
pub async fn make(State(app): State<App>, form: Guarded) -> Result<Response, Refused> {
    form.who.must_lead()?;
    let written = form.text("date").unwrap_or_default();
    let date: Date = written
        .parse()
        .map_err(|_| Fault::value("date", "no date", "year-month-day, 2026-11-25"))?;
    let test = known_test(&app, form.text("test").unwrap_or_default())?;
    let facts = DayFacts {
        name: form.short("name", 80)?,
        squad: form.short("squad", 80)?,
        venue: form.short("venue", 120)?,
        ..plain_day(date, test)
    };
    let day = app
        .keeper()
        .with(move |writer| Ok(writer.add_day(&facts)?))
        .await?;
    Ok(Redirect::to(&format!("/plan/{day}")).into_response())
}
