//! Dealing a plan: by what is predicted of those who are here.
//! A proposal; must not use a result of the day itself.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use plimsoll_archive::{DayId, PaperKind};
use plimsoll_desk::Choices;
use plimsoll_desk::planning::{Predictions, Roster, day_roster, deal_by, predictions};
use plimsoll_desk::test_day::{Code, Expected, deal, write_paper};

use super::{Known, Refused, day_id, known, not_opened, seal};
use crate::app::App;
use crate::auth::{Guarded, Who};
use crate::fault::Fault;
use crate::waves::known_test;

/// The form that deals: with a plan, those in it are ticked; who is absent is unticked and dealt without.
pub(super) fn proposal(who: &Who, day: DayId, known: &Known) -> Markup {
    let waves = known.plan.iter().flat_map(|plan| &plan.waves);
    let lanes = waves
        .clone()
        .map(|w| w.runners.len())
        .max()
        .unwrap_or(24)
        .max(1);
    let assessors = waves.map(|w| w.assessors.len()).max().unwrap_or(3).max(1);
    html! {
        section.ruled {
            h2 { @if known.plan.is_some() { "Deal again" } @else { "Deal a first plan" } }
            p { "Runners of similar expected results go together; within a wave they are dealt so that those "
                "who may stop together are watched by different people, and few bouts are run alone at the end. "
                "It is a proposal." }
            @if known.plan.is_some() {
                p.hint { "Somebody is absent? Take the tick away and deal again: waves, lanes and assessors are "
                    "dealt anew for those ticked, and changes by hand are dealt over." }
            }
            form method="post" action=(format!("/plan/{day}/deal")) {
                (seal(who))
                label.field { "Runners in a wave, at most"
                    input type="number" name="lanes" min="1" max="60" value=(lanes) required; }
                label.field { "Assessors on the line"
                    input type="number" name="assessors" min="1" max="12" value=(assessors) required; }
                fieldset {
                    legend { "Who is here" }
                    @if known.people.is_empty() {
                        p { "Nobody is in the archive yet. " a href="/people" { "Add people first." } }
                    }
                    @for person in &known.people {
                        label.field {
                            input type="checkbox" name="here" value=(person.id) checked[known.ticked(&person.id.to_string())];
                            " " (person.facts.called_name)
                            @if known.code(&person.id.to_string()) == Code::NotToday { " (not today)" }
                        }
                    }
                }
                p { button.button type="submit" { "Deal" } }
            }
        }
    }
}

/// Returns what is predicted of people on the day, or in words why nothing can be.
pub(super) async fn expected(
    app: &App,
    known: &Known,
    people: Vec<String>,
) -> Result<Result<Predictions, String>, Fault> {
    let id = known.day.facts.ladder_id.clone().unwrap_or_default();
    let test = known_test(app, &id)?;
    let on = known.day.facts.date;
    let roster = app
        .keeper()
        .with(move |writer| Ok(day_roster(writer, on, &people, &id).ok()))
        .await?
        .unwrap_or_else(|| Roster {
            source: "nobody in the archive".to_owned(),
            ..Roster::default()
        });
    let choices = Choices::default();
    let found = predictions(app.catalogue(), app.facts(), test, &roster, &choices);
    Ok(found.map_err(|fault| fault.to_string()))
}

/// `POST /plan/{day}/deal`.
pub async fn deal_again(
    State(app): State<App>,
    Path(day): Path<String>,
    form: Guarded,
) -> Result<Response, Refused> {
    form.who.must_lead()?;
    let id = day_id(&day)?;
    let whole = |name: &str, most: f64| -> Result<u16, Fault> {
        let n = form.number(name, 1.0..=most)?;
        Ok(n.unwrap_or(1.0) as u16)
    };
    let (lanes, assessors) = (whole("lanes", 60.0)?, whole("assessors", 12.0)?);
    let here: Vec<String> = form.all("here").to_vec();
    let known = app.keeper().with(move |writer| known(writer, id)).await?;
    not_opened(&known)?;
    let test = known.day.facts.ladder_id.clone().unwrap_or_default();
    let expected = expected(&app, &known, here.clone()).await?;
    let runners: Vec<Expected> = known
        .people
        .iter()
        .map(|person| person.id.to_string())
        .filter(|person| here.contains(person))
        .zip(1u32..)
        .map(|(person, n)| Expected {
            bib: Some(n.to_string()),
            bouts: expected
                .as_ref()
                .ok()
                .and_then(|e| Some(e.bouts_of(&person)?.middle))
                .or_else(|| known.last.get(&person).map(|(bouts, _)| *bouts)),
            person,
        })
        .collect();
    if runners.is_empty() {
        return Err(Fault::value("here", "nobody", "at least one runner").into());
    }
    let plan = match &expected {
        Ok(expected) => deal_by(&test, &runners, expected, lanes, assessors)
            .map(|dealt| dealt.plan)
            .map_err(|fault| Fault::value("here", &fault.to_string(), "fewer runners"))?,
        // Not paced: there is nothing to predict, only results to put in order.
        Err(_) => deal(&test, &runners, lanes, assessors),
    };
    app.keeper()
        .with(move |writer| {
            not_opened(&super::known(writer, id)?)?;
            writer.add_paper(id, PaperKind::Plan, None, &write_paper(&plan))?;
            Ok(())
        })
        .await?;
    Ok(Redirect::to(&format!("/plan/{id}")).into_response())
}
