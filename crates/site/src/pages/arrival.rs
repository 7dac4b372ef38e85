//! The arrival check: twenty seconds a person. Answers become covariates and flags, never an exclusion.
//! Must send health answers to the medic's side only; this page never shows them again.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use plimsoll_archive::{DayId, PaperKind, PersonId};
use plimsoll_desk::test_day::{Arrival, HealthAnswers, write_paper};

use super::frame::{Refused, page as framed, seal};
use super::plan::day_id;
use super::square::square;
use crate::app::App;
use crate::auth::{Fields, Guarded, Who};
use crate::fault::Fault;

/// `GET /arrival/{day}`.
pub async fn page(
    State(app): State<App>,
    who: Who,
    Path(day): Path<String>,
) -> Result<Response, Refused> {
    who.must_be_staff()?;
    let id = day_id(&day)?;
    let (people, here) = app
        .keeper()
        .with(move |writer| {
            let papers = writer.papers(id)?;
            let here: Vec<String> = papers
                .into_iter()
                .filter(|paper| paper.kind == PaperKind::Arrival)
                .filter_map(|paper| paper.subject)
                .collect();
            Ok((writer.people()?, here))
        })
        .await?;
    let asked = people
        .iter()
        .filter(|p| here.contains(&p.id.to_string()))
        .count();
    let code = app
        .store()
        .day_code(id, app.now_ms(), &app.clock().secret())
        .map_err(|_| Fault::internal())?;
    let url = format!("{}/here/{code}", app.options().address);
    let body = html! {
        h1 { "Arrival" }
        p { (asked) " of " (people.len()) " asked. Every question may be left open." }
        form method="post" action=(format!("/arrival/{id}")) {
            (seal(&who))
            label.field { "Who" select name="person" required {
                @for person in &people {
                    option value=(person.id) {
                        (person.facts.called_name)
                        @if here.contains(&person.id.to_string()) { " (asked)" }
                    }
                }
            } }
            (questions())
            p { button.button type="submit" { "Keep the answers" } }
        }
        section.ruled {
            h2 { "On their own phones" }
            p { "Each person photographs the square and answers for themselves; nobody sees another's answers. "
                "The code is good for a day." }
            p { code { (url) } }
            (square(&url))
        }
        p.note { strong { "Note. " } "Nobody is left out for an answer. Who feels unwell speaks with the medic, "
            "and may run the easier form or watch; nobody is told why." }
    };
    Ok(framed(&who, "Arrival", "", &body).into_response())
}

/// The questions of the arrival check.
pub fn questions() -> Markup {
    html! {
        label.field { "Hours slept" input type="number" name="sleep_h" min="0" max="24" step="0.5" inputmode="decimal"; }
        label.field { "Hours since the last meal" input type="number" name="hours_since_meal" min="0" max="48" step="0.5" inputmode="decimal"; }
        label.field { "What it was" input name="meal" maxlength="60"; }
        (choice("caffeine", "Caffeine today?"))
        (choice("usual_footwear", "The usual shoes?"))
        (choice("ran_before", "Run this test before?"))
        fieldset {
            legend { "For the medic alone" }
            (choice("ill", "Ill today or in the last days?"))
            (choice("sore", "Sore or in pain?"))
            (choice("medication_as_usual", "Medication as usual?"))
        }
    }
}

fn choice(name: &str, question: &str) -> Markup {
    html! {
        label.field { (question) select name=(name) {
            option value="" { "open" }
            option value="yes" { "yes" }
            option value="no" { "no" }
        } }
    }
}

/// Keeps the answers of a person: health answers on the medic's side.
pub async fn store(app: &App, day: DayId, person: PersonId, form: &Fields) -> Result<(), Fault> {
    let said = Arrival {
        sleep_h: form.number("sleep_h", 0.0..=24.0)?,
        hours_since_meal: form.number("hours_since_meal", 0.0..=48.0)?,
        meal: form.short("meal", 60)?,
        caffeine: form.yes("caffeine"),
        usual_footwear: form.yes("usual_footwear"),
        footwear: None,
        ran_before: form.yes("ran_before"),
    };
    let health = HealthAnswers {
        ill: form.yes("ill"),
        sore: form.yes("sore"),
        medication_as_usual: form.yes("medication_as_usual"),
        words: None,
    };
    app.keeper()
        .with(move |writer| {
            if health != HealthAnswers::default() {
                writer.add_health_note(day, person, &write_paper(&health))?;
            }
            let subject = person.to_string();
            writer.add_paper(day, PaperKind::Arrival, Some(&subject), &write_paper(&said))?;
            Ok(())
        })
        .await
}

/// `POST /arrival/{day}`.
pub async fn keep(
    State(app): State<App>,
    Path(day): Path<String>,
    form: Guarded,
) -> Result<Response, Refused> {
    form.who.must_be_staff()?;
    let id = day_id(&day)?;
    let person: PersonId = form
        .text("person")
        .and_then(|text| text.parse().ok())
        .ok_or_else(|| Fault::missing("person", "an id that is none"))?;
    store(&app, id, person, &form).await?;
    Ok(Redirect::to(&format!("/arrival/{id}")).into_response())
}
