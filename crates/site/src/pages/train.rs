//! Training set from a day's results: groups, runs and how sure the grouping is. For the lead.
//! The form changes what is shown, nothing is recorded.

use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Response};
use maud::{Markup, PreEscaped, html};
use plimsoll_desk::Choices;
use plimsoll_desk::training::{FromArchive, Origin, Wish, entrants_of_day, training_card};
use plimsoll_interpret::Catalogue as Facts;
use plimsoll_interpret::training::{
    Course, GroupChoices, Intensity, Rules, TrainingRefusal, format_of,
};
use plimsoll_report::{
    TrainingCard, TrainingGroup, TrainingPerson, figure_training,
    format::{number, percent},
};
use serde::Deserialize;

use super::frame::{Refused, page as framed};
use super::plan::day_id;
use crate::app::App;
use crate::auth::Who;
use crate::fault::Fault;

/// What the form asks for, as written.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    format: String,
    percent: String,
    lane: String,
    turn: String,
    factor: String,
    band: String,
    first: String,
}

/// `GET /train/{day}`.
pub async fn page(
    State(app): State<App>,
    who: Who,
    Path(day): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Response, Refused> {
    who.must_lead()?;
    let id = day_id(&day)?;
    let asking = app.clone();
    let found = app
        .keeper()
        .with(move |writer| {
            let day = writer
                .day(id)?
                .ok_or_else(|| Fault::missing("test day", &id.to_string()))?;
            let choices = Choices::default();
            entrants_of_day(writer, asking.catalogue(), asking.facts(), &day, &choices).map_err(
                |fault| {
                    Fault::conflict(
                        "training",
                        &fault.to_string(),
                        "a day with results",
                        "close a wave first",
                    )
                },
            )
        })
        .await?;
    let answer = wish(app.facts(), &asked).and_then(|wish| card(app.facts(), &found, &wish));
    let body = html! {
        h1 { "Training from this day" }
        p { (found.test_name) ", " (found.date) ". " a href=(format!("/results/{day}")) { "Results of the day" } }
        (form(&day, &asked))
        @match &answer {
            Ok(card) => { (shown(card)) }
            Err(why) => { p.caution { strong { "No training is set. " } (capital(why)) "." } }
        }
        div.caution { p { strong { "Caution. " }
            "Intervals near the maximum are no less hard than a test: illness, injury, a lay-off or dangerous "
            "heat rule them out. Anyone may run the next slower group or at a lower percentage." } }
    };
    Ok(framed(&who, "Training", "", &body).into_response())
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// Reads the form; an empty field is not set.
fn wish(facts: &Facts, asked: &Asked) -> Result<Wish, String> {
    let figure = |what: &str, text: &str| -> Result<Option<f64>, String> {
        let text = text.trim().replace(',', ".");
        if text.is_empty() {
            return Ok(None);
        }
        let value: Option<f64> = text.parse().ok().filter(|v: &f64| v.is_finite());
        let found: String = text.chars().take(40).collect();
        value.map(Some).ok_or_else(|| {
            format!("{what} is \u{201C}{found}\u{201D}; allowed is a number, or nothing")
        })
    };
    let written = match asked.format.trim() {
        "" => "15:15",
        text => text,
    };
    let lane = figure("the lane", &asked.lane)?;
    Ok(Wish {
        format: format_of(facts, written).map_err(|e| e.to_string())?,
        intensity: figure("the percentage", &asked.percent)?.map(Intensity::Percent),
        course: lane.map_or(Course::Straight, Course::Lane),
        rules: Rules {
            turn_s: figure("the loss per turn", &asked.turn)?.filter(|_| lane.is_some()),
            straight_factor: None,
            factor: figure("the factor", &asked.factor)?,
        },
        groups: Some(GroupChoices {
            width_kmh: figure("the width of a band", &asked.band)?,
            with_doubt: !asked.first.is_empty(),
            moves: Vec::new(),
        }),
    })
}

fn card(facts: &Facts, found: &FromArchive, wish: &Wish) -> Result<TrainingCard, String> {
    let no_rule = || {
        TrainingRefusal::NoRule {
            test: found.test.clone(),
        }
        .to_string()
    };
    let origin = Origin {
        basis: facts.basis(&found.test).ok_or_else(no_rule)?.clone(),
        words: format!("{} · {}", found.test_name, found.date),
    };
    training_card(&origin, &found.people, wish).map_err(|e| e.to_string())
}

fn form(day: &str, asked: &Asked) -> Markup {
    let field = |name: &str, label: &str, value: &str| {
        html! { label.field { (label) input name=(name) value=(value) maxlength="20" inputmode="decimal"; } }
    };
    let format = if asked.format.is_empty() {
        "15:15"
    } else {
        &asked.format
    };
    html! {
        form.ruled method="get" action=(format!("/train/{day}")) {
            label.field { "Run and rest, s" input name="format" value=(format) maxlength="20"; }
            (field("percent", "Percent of the speed (empty: the format's own)", &asked.percent))
            (field("lane", "Lane, m (empty: straight)", &asked.lane))
            (field("turn", "Loss per turn, s (empty: 0.7, from memory)", &asked.turn))
            (field("band", "Width of a band, km/h (empty: 1)", &asked.band))
            (field("factor", "Factor of your own to maximal aerobic speed", &asked.factor))
            label.field { input type="checkbox" name="first" value="yes" checked[!asked.first.is_empty()]; " Group first trials too, with their mark" }
            button.button type="submit" { "Show" }
        }
    }
}

fn shown(card: &TrainingCard) -> Markup {
    let picture = figure_training(card);
    html! {
        p { (card.work_s) " s run, " (card.rest_s) " s rest; " (card.intensity) "; " (card.course) "." }
        p { "Bands: " (card.width_basis) "." }
        // Made by our own figure; every text in it is escaped there.
        @if let Some(picture) = &picture { figure { (PreEscaped(&picture.svg)) } }
        @for group in &card.groups { (block(card, group)) }
        @if card.members(None).next().is_some() {
            h2 { "Not grouped" }
            (table(&card.members(None).collect::<Vec<_>>()))
        }
        h2 { "What it rests on" }
        ul { @for note in &card.notes { li { (capital(&note.text)) " (" (note.tag.words()) ")." } } }
    }
}

fn block(card: &TrainingCard, group: &TrainingGroup) -> Markup {
    html! {
        h2 { "Group " (group.number) }
        p {
            @if let (Some(metres), Some(speed)) = (group.distance_m, group.speed_kmh) {
                strong { (number(metres, 1)) " m" } (turns(group.turns)) " at " (number(speed, 2)) " km/h, for "
            } @else { "Each their own run, for " }
            (number(group.low_kmh, 2)) " to under " (number(group.high_kmh, 2)) " km/h."
        }
        (table(&card.members(Some(group.number)).collect::<Vec<_>>()))
    }
}

fn turns(turns: Option<u32>) -> String {
    match turns {
        None | Some(0) => String::new(),
        Some(1) => " with 1 turn".to_owned(),
        Some(n) => format!(" with {n} turns"),
    }
}

fn table(people: &[&TrainingPerson]) -> Markup {
    let figure =
        |value: Option<f64>, places: usize| value.map_or_else(String::new, |v| number(v, places));
    html! {
        div.wide tabindex="0" role="group" aria-label="Table" { table.table {
            thead { tr { th scope="col" { "Name" } th scope="col" class="number" { "km/h" }
                th scope="col" class="number" { "Error" } th scope="col" class="number" { "Own run, m" }
                th scope="col" class="number" { "Other group" } th scope="col" { "Marks" } } }
            tbody { @for person in people { tr {
                td { (person.name) }
                td.number { (figure(person.reference_kmh, 1)) }
                td.number { (figure(person.error_kmh, 2)) }
                td.number { (figure(person.distance_m, 1)) }
                td.number { (person.chance_other.map_or_else(|| "not known".to_owned(), percent)) }
                td { (person.marks.join("; ")) @if !person.refused.is_empty() { " " (person.refused) } }
            } } }
        } }
    }
}
