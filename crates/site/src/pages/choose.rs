//! Which test suits a group: for each paced test, when the group would stop and what is detectable.
//! Proposes only; a test that cannot be predicted says so.

use axum::extract::{Query, State};
use axum::response::{IntoResponse, Response};
use maud::{Markup, PreEscaped, html};
use plimsoll_desk::Choices;
use plimsoll_desk::planning::{
    Answer, Forecast, Group, PlanningError, PopulationAsked, Predicted, archive_roster, choose,
};
use plimsoll_interpret::Sex;
use plimsoll_report::{Cautions, STOP_STRIPS, StopStrip, figure_stops};
use serde::Deserialize;

use super::frame::{Refused, page as framed};
use crate::app::App;
use crate::auth::Who;
use crate::fault::Fault;

/// What the form asks.
#[derive(Debug, Default, Deserialize)]
pub struct Asked {
    squad: Option<String>,
    sex: Option<String>,
    age: Option<String>,
    standard: Option<String>,
    runners: Option<String>,
}

/// `GET /choose`.
pub async fn page(
    State(app): State<App>,
    who: Who,
    Query(asked): Query<Asked>,
) -> Result<Response, Refused> {
    who.must_lead()?;
    let days = app.now_ms().div_euclid(86_400_000);
    let today = jiff::civil::Date::constant(1970, 1, 1)
        .checked_add(jiff::Span::new().days(days.clamp(0, 2_000_000)))
        .map_err(|_| Fault::missing("day", "a clock that shows none"))?;
    let squad = asked.squad.clone().filter(|s| !s.trim().is_empty());
    let population = population(&asked)?;
    let wanted = squad.clone();
    let (squads, roster) = app
        .keeper()
        .with(move |writer| {
            let mut squads: Vec<String> = writer
                .people()?
                .iter()
                .flat_map(|p| p.memberships.iter().map(|m| m.membership.squad.clone()))
                .collect();
            squads.sort();
            squads.dedup();
            Ok((squads, archive_roster(writer, wanted.as_deref(), today)))
        })
        .await?;
    let group = match population {
        Some(population) => Ok(Group::Population(population)),
        None => roster.map(Group::Roster),
    };
    let answer = group.and_then(|group| {
        let forecasts = choose(app.catalogue(), app.facts(), &group, &Choices::default())?;
        Ok((heading(&group), forecasts))
    });
    let body = html! {
        h1 { "Which test suits this group?" }
        p { "For every paced test: when these runners would stop, and which change of one runner it could "
            "show. A proposal; you decide." }
        div.caution { p { strong { "Caution. " } (Cautions::default().short) " Every maximal test below names its "
            "easier version." } }
        @match &answer {
            Ok((heading, forecasts)) => { h2 { (heading) } (shown(forecasts)) }
            Err(fault) => { (not_possible(fault)) }
        }
        (form(&asked, &squads))
    };
    Ok(framed(&who, "Which test", "", &body).into_response())
}

fn population(asked: &Asked) -> Result<Option<PopulationAsked>, Fault> {
    let sex = match asked.sex.as_deref().unwrap_or("") {
        "" => return Ok(None),
        "F" => Sex::Female,
        "M" => Sex::Male,
        _ => return Err(Fault::value("sex", "something else", "F, M or nothing")),
    };
    let number = |what: &str, text: &Option<String>, low: f64, most: f64, none: Option<f64>| {
        let text = text.as_deref().unwrap_or("").trim();
        let value = if text.is_empty() {
            none
        } else {
            text.parse().ok()
        };
        value.filter(|v| (low..=most).contains(v)).ok_or_else(|| {
            Fault::value(
                what,
                "no such number",
                &format!("a number from {low} to {most}"),
            )
        })
    };
    let standard = asked.standard.clone().filter(|s| !s.trim().is_empty());
    if standard.as_ref().is_some_and(|s| s.len() > 120) {
        return Err(Fault::value(
            "standard",
            "a long text",
            "at most 120 letters",
        ));
    }
    Ok(Some(PopulationAsked {
        sex,
        age: number("age", &asked.age, 0.0, 120.0, None)?,
        standard,
        runners: number("runners", &asked.runners, 1.0, 1_000.0, Some(24.0))? as u32,
    }))
}

fn heading(group: &Group) -> String {
    match group {
        Group::Roster(roster) => {
            format!("{} runners: {}", roster.athletes.len(), roster.source)
        }
        Group::Population(asked) => format!(
            "{} of a population: {}, {} years{}",
            asked.runners,
            if asked.sex == Sex::Female {
                "female"
            } else {
                "male"
            },
            asked.age,
            asked
                .standard
                .as_ref()
                .map_or(String::new(), |s| format!(", {s}"))
        ),
    }
}

fn shown(forecasts: &[Forecast]) -> Markup {
    let predicted: Vec<(&Forecast, &Predicted)> = forecasts
        .iter()
        .filter_map(|f| match &f.answer {
            Answer::Predicted(p) => Some((f, p.as_ref())),
            Answer::CannotBePredicted { .. } => None,
        })
        .collect();
    let strips: Vec<StopStrip> = predicted
        .iter()
        .take(STOP_STRIPS)
        .map(|(f, p)| StopStrip {
            name: f.name.clone(),
            runners: p.runners,
            stops: p.stops.clone(),
            at_end: p.at_end,
            end_s: p.test_s,
            last_90_s: p.last_stop_90_s,
        })
        .collect();
    let mut unknown: Vec<(&str, Vec<&str>)> = Vec::new();
    for forecast in forecasts {
        if let Answer::CannotBePredicted { why } = &forecast.answer {
            match unknown.iter_mut().find(|(known, _)| known == why) {
                Some((_, tests)) => tests.push(&forecast.name),
                None => unknown.push((why, vec![&forecast.name])),
            }
        }
    }
    html! {
        // Made by our own figure; every text in it is escaped there.
        @if let Some(figure) = figure_stops(&strips) {
            div.wide tabindex="0" role="group" aria-label="Figure" { figure { (PreEscaped(figure.svg)) } }
        }
        @for (forecast, p) in &predicted { (one(forecast, p)) }
        @if !unknown.is_empty() {
            section.ruled {
                h2 { "Cannot be predicted for this group" }
                ul { @for (why, tests) in &unknown { li { (tests.join("; ")) ": " (why) "." } } }
            }
        }
    }
}

fn one(forecast: &Forecast, p: &Predicted) -> Markup {
    html! {
        section.ruled {
            h2 { a href=(format!("/library/{}", forecast.test)) { (forecast.name) } }
            ul {
                @for sentence in &p.words { li { (sentence) } }
                @for against in &p.against { li { strong { "Against it: " } (against) "." } }
                @if let Some(d) = &forecast.detectable { li { "Detects: " (d.words) "." } }
                @if let Some(why) = &forecast.no_detectable { li { "Detects: not known; " (why) "." } }
                @if let Some(easier) = &forecast.easier {
                    li { "Easier version: " a href=(format!("/library/{easier}")) { (easier) }
                        @if forecast.easier_same_cues { ", on the same cues." } @else { ", on cues of its own." } }
                } @else if forecast.maximal { li { "Easier version: none is defined." } }
            }
            details { summary { "How this is known" }
                p { "Definition: " (forecast.definition) ". Prediction: " (p.basis) "." }
                @if let Some(d) = &forecast.detectable { p { "Detectable change: " (d.basis) "." } } }
        }
    }
}

fn not_possible(fault: &PlanningError) -> Markup {
    html! { p.caution { strong { "Nothing to go by. " } (fault) " Or describe a population below." } }
}

fn form(asked: &Asked, squads: &[String]) -> Markup {
    let text = |value: &Option<String>| value.clone().unwrap_or_default();
    html! {
        section.ruled {
            h2 { "Another group" }
            form method="get" action="/choose" {
                label.field { "Squad"
                    select name="squad" {
                        option value="" { "everyone in the archive" }
                        @for squad in squads {
                            option value=(squad) selected[asked.squad.as_deref() == Some(squad)] { (squad) }
                        }
                    }
                }
                fieldset {
                    legend { "Or only a population" }
                    label.field { "Sex" select name="sex" {
                        option value="" { "use the squad" }
                        option value="F" selected[asked.sex.as_deref() == Some("F")] { "female" }
                        option value="M" selected[asked.sex.as_deref() == Some("M")] { "male" }
                    } }
                    label.field { "Age, years" input type="number" name="age" min="0" max="120" step="0.1" value=(text(&asked.age)); }
                    label.field { "Sport or standard" input name="standard" maxlength="120" value=(text(&asked.standard)); }
                    label.field { "Runners" input type="number" name="runners" min="1" max="1000" value=(text(&asked.runners)); }
                }
                p { button.button type="submit" { "Look" } }
            }
        }
    }
}
