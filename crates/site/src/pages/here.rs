//! The arrival check on a person's own phone, by the day's code. Shows names of the day and nothing else.
//! Must never show an answer, and must send health answers to the medic's side only.

use axum::extract::{Path, Request, State};
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use plimsoll_archive::PaperKind;
use plimsoll_archive::{DayId, Person, PersonId};
use plimsoll_desk::test_day::{Plan, read_paper};

use super::arrival::{questions, store};
use super::frame::{Refused, bare};
use crate::app::App;
use crate::auth::{ARRIVING, Fields};
use crate::fault::Fault;

/// Bytes of the form.
const SMALL: usize = 4_096;

fn day_of(app: &App, code: &str) -> Result<DayId, Fault> {
    app.rates().take("here", ARRIVING, app.now_ms())?;
    app.store()
        .day_of(code, app.now_ms())
        .ok_or_else(|| Fault::missing("code", "one that no day has today"))
}

/// Returns who is planned for a day; everyone while nothing is planned.
async fn expected(app: &App, day: DayId) -> Result<Vec<Person>, Fault> {
    app.keeper()
        .with(move |writer| {
            let plan = writer.paper(day, PaperKind::Plan, None)?;
            let plan: Option<Plan> = plan.and_then(|p| read_paper("plan", &p.document).ok());
            let mut people = writer.people()?;
            if let Some(plan) = plan {
                let planned = |p: &Person| {
                    let id = p.id.to_string();
                    let mut runners = plan.waves.iter().flat_map(|wave| &wave.runners);
                    runners.any(|runner| runner.person == id)
                };
                people.retain(planned);
            }
            Ok(people)
        })
        .await
}

/// `GET /here/{code}`.
pub async fn page(State(app): State<App>, Path(code): Path<String>) -> Result<Markup, Refused> {
    let day = day_of(&app, &code)?;
    let people = expected(&app, day).await?;
    Ok(bare(
        "Before the test",
        &html! {
            h1 { "Before the test" }
            p { "Twenty seconds. Leave open what you do not want to answer." }
            form method="post" action=(format!("/here/{code}")) {
                label.field { "Who you are" select name="person" required {
                    option value="" { "choose" }
                    @for person in &people { option value=(person.id) { (person.facts.called_name) } }
                } }
                (questions())
                p { button.button type="submit" { "Send" } }
            }
            div.caution { p { strong { "Caution. " } "Chest pain, fainting, unusual breathlessness, fever or an "
                "injury that is not healed: do not run. Speak with the medic or whoever runs the test first. You "
                "may always stop, run an easier form or not run, and need give no reason." } }
        },
    ))
}

/// `POST /here/{code}`.
pub async fn keep(
    State(app): State<App>,
    Path(code): Path<String>,
    request: Request,
) -> Result<Response, Refused> {
    let form = Fields::read(request.into_body(), SMALL).await?;
    let day = day_of(&app, &code)?;
    let person: Option<PersonId> = form.text("person").and_then(|text| text.parse().ok());
    let known = expected(&app, day).await?;
    let person = known
        .iter()
        .find(|p| Some(p.id) == person)
        .ok_or_else(|| Fault::value("person", "nobody of this day", "a name of the list"))?;
    store(&app, day, person.id, &form).await?;
    Ok(bare(
        "Thank you",
        &html! {
            h1 { "Thank you, " (person.facts.called_name) }
            p { "Your answers are with the staff; what you said about your health only the medic can read. "
                "Was it not you? Open the page again and send it once more." }
        },
    )
    .into_response())
}
