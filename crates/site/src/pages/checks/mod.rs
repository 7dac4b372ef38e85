//! Checks of a day: the taped course, the conditions with advice and decision, the emergency card.
//! Must advise and record, and never block; the decision is the lead's.

mod conditions;
mod course;
mod decision;
mod emergency;

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use plimsoll_archive::{DayId, DayPaper, PaperKind};
use plimsoll_desk::test_day::{read_paper, write_paper};
use serde::Serialize;

use super::frame::{Refused, page as framed, seal};
use super::plan::day_id;
use crate::app::App;
use crate::auth::Who;
use crate::fault::Fault;
use crate::waves::known_test;

pub use conditions::conditions;
pub use course::taped;
pub use decision::decide;
pub use emergency::emergency;

use conditions::conditions_part;
use course::course_part;
use emergency::emergency_part;

/// `GET /checks/{day}`.
pub async fn page(
    State(app): State<App>,
    who: Who,
    Path(day): Path<String>,
) -> Result<Response, Refused> {
    who.must_be_staff()?;
    let id = day_id(&day)?;
    let (facts, papers) = app
        .keeper()
        .with(move |writer| {
            let day = writer
                .day(id)?
                .ok_or_else(|| Fault::missing("test day", &id.to_string()))?;
            Ok((day.facts, writer.papers(id)?))
        })
        .await?;
    let test = known_test(&app, facts.ladder_id.as_deref().unwrap_or_default())?;
    let body = html! {
        h1 { "Checks" }
        p { (facts.date) " · " (test.name()) }
        (course_part(&who, id, test, &papers))
        (conditions_part(&who, id, test, &papers))
        (emergency_part(&who, id, &papers))
    };
    Ok(framed(&who, "Checks", "", &body).into_response())
}

fn latest<T: serde::de::DeserializeOwned>(
    papers: &[DayPaper],
    kind: PaperKind,
    what: &'static str,
) -> Option<(T, i64)> {
    let paper = papers.iter().rfind(|paper| paper.kind == kind)?;
    Some((read_paper(what, &paper.document).ok()?, paper.at_ms))
}

fn number_field(name: &str, label: &str, unit: &str, hint: &str) -> Markup {
    html! {
        label.field { (label) ", " (unit)
            input name=(name) inputmode="decimal" autocomplete="off";
            @if !hint.is_empty() { span.hint { (hint) } }
        }
    }
}

fn clock(ms: i64) -> String {
    jiff::Timestamp::from_millisecond(ms)
        .map_or_else(|_| String::new(), |at| at.strftime("%H:%M UTC").to_string())
}

/// Keeps a paper and goes back to the page.
async fn keep<T: Serialize>(
    app: &App,
    id: DayId,
    kind: PaperKind,
    paper: &T,
) -> Result<Response, Refused> {
    let document = write_paper(paper);
    app.keeper()
        .with(move |writer| Ok(writer.add_paper(id, kind, None, &document)?))
        .await?;
    Ok(Redirect::to(&format!("/checks/{id}")).into_response())
}
