//! The medic's page: what each person may do today, and why. Nobody else sees why.
//! Must be the only page that shows a health answer.

use std::collections::BTreeMap;

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::html;
use plimsoll_archive::{PaperKind, PersonId};
use plimsoll_desk::test_day::{Code, HealthAnswers, Participation, read_paper, write_paper};

use super::frame::{Refused, page as framed, seal};
use super::plan::{codes, day_id};
use crate::app::App;
use crate::auth::{Guarded, Role, Who};
use crate::fault::Fault;

/// Characters of a reason.
const MOST: usize = 500;

fn must_be_medic(app: &App, who: &Who) -> Result<(), Fault> {
    who.must_be_medic(app.access(), app.store().has_passphrase(Role::Medic))
}

/// `GET /medic/{day}`.
pub async fn page(
    State(app): State<App>,
    who: Who,
    Path(day): Path<String>,
) -> Result<Response, Refused> {
    must_be_medic(&app, &who)?;
    let id = day_id(&day)?;
    let (people, codes, notes) = app
        .keeper()
        .with(move |writer| {
            let mut notes: BTreeMap<String, Vec<HealthAnswers>> = BTreeMap::new();
            for note in writer.health_notes(id)? {
                if let Ok(said) = read_paper::<HealthAnswers>("health note", &note.document) {
                    notes.entry(note.person.to_string()).or_default().push(said);
                }
            }
            Ok((writer.people()?, codes(writer, id)?, notes))
        })
        .await?;
    let body = html! {
        h1 { "Medic" }
        div.note { p { strong { "Only you see this page. " } "Assessors and the lead see the code, never the reason. "
            "This program clears nobody: you do, under your local rules." } }
        @for person in &people {
            @let key = person.id.to_string();
            @let code = codes.get(&key).copied().unwrap_or_default();
            section.ruled {
                h2 { (person.facts.called_name) " · " (code.in_words()) }
                @for said in notes.get(&key).into_iter().flatten() {
                    p { (in_words(said)) }
                }
                form method="post" action=(format!("/medic/{id}")) {
                    (seal(&who))
                    input type="hidden" name="person" value=(key);
                    label.field { "May do today" select name="code" {
                        @for one in Code::ALL {
                            option value=(one.as_str()) selected[one == code] { (one.in_words()) }
                        }
                    } }
                    label.field { "Why, for you alone" textarea name="words" rows="2" maxlength=(MOST) {} }
                    p { button.button type="submit" { "Set the code of " (person.facts.called_name) } }
                }
            }
        }
    };
    Ok(framed(&who, "Medic", "", &body).into_response())
}

fn in_words(said: &HealthAnswers) -> String {
    let mut parts = Vec::new();
    let mut tell = |answer: Option<bool>, yes: &str, no: &str| {
        parts.extend(answer.map(|a| if a { yes.to_owned() } else { no.to_owned() }));
    };
    tell(said.ill, "ill", "not ill");
    tell(said.sore, "sore", "not sore");
    tell(
        said.medication_as_usual,
        "medication as usual",
        "medication not as usual",
    );
    parts.extend(said.words.clone());
    parts.join("; ")
}

/// `POST /medic/{day}`.
pub async fn set(
    State(app): State<App>,
    Path(day): Path<String>,
    form: Guarded,
) -> Result<Response, Refused> {
    must_be_medic(&app, &form.who)?;
    let id = day_id(&day)?;
    let person: PersonId = form
        .text("person")
        .and_then(|text| text.parse().ok())
        .ok_or_else(|| Fault::missing("person", "an id that is none"))?;
    let code = form.text("code").and_then(Code::from_word);
    let code = code.ok_or_else(|| {
        Fault::value(
            "code",
            "another word",
            "full, modified, submaximal or not_today",
        )
    })?;
    let words = form.short("words", MOST)?;
    app.keeper()
        .with(move |writer| {
            if let Some(words) = words {
                let note = HealthAnswers {
                    words: Some(words),
                    ..HealthAnswers::default()
                };
                writer.add_health_note(id, person, &write_paper(&note))?;
            }
            let paper = write_paper(&Participation { code });
            let subject = person.to_string();
            writer.add_paper(id, PaperKind::Participation, Some(&subject), &paper)?;
            Ok(())
        })
        .await?;
    Ok(Redirect::to(&format!("/medic/{id}")).into_response())
}
