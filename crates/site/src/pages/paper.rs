//! The paper sheets of a planned day as one PDF, and its briefing on the screen.

use std::collections::BTreeMap;

use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use maud::html;
use plimsoll_archive::{DayId, PaperKind};
use plimsoll_desk::test_day::{EmergencyCard, Plan, Sheets, read_paper};
use plimsoll_report::{DaySheets, SheetOptions, render_sheets_pdf};

use super::frame::{Refused, page as framed};
use super::plan::{codes, day_id};
use crate::app::App;
use crate::auth::Who;
use crate::fault::Fault;
use crate::waves::known_test;

/// Returns the booklet of a planned day.
async fn booklet(app: &App, id: DayId) -> Result<DaySheets, Fault> {
    let (facts, plan, names, codes, emergency) = app
        .keeper()
        .with(move |writer| {
            let day = writer
                .day(id)?
                .ok_or_else(|| Fault::missing("test day", &id.to_string()))?;
            let plan = writer
                .paper(id, PaperKind::Plan, None)?
                .ok_or_else(|| Fault::missing("plan", "none dealt yet"))?;
            let plan: Plan = serde_json::from_value(plan.document)
                .map_err(|_| Fault::missing("plan", "one that cannot be read; deal it again"))?;
            let names: BTreeMap<String, String> = writer
                .people()?
                .into_iter()
                .map(|p| (p.id.to_string(), p.facts.called_name))
                .collect();
            let emergency = writer.paper(id, PaperKind::Emergency, None)?;
            let emergency: EmergencyCard = emergency
                .and_then(|paper| read_paper("emergency", &paper.document).ok())
                .unwrap_or_default();
            Ok((day.facts, plan, names, codes(writer, id)?, emergency))
        })
        .await?;
    let test = known_test(app, &plan.test)?;
    Ok(Sheets {
        day: &facts,
        plan: &plan,
        test,
        catalogue: app.catalogue(),
        names: &names,
        codes: &codes,
        emergency: &emergency,
    }
    .booklet())
}

/// `GET /sheets/{day}`.
pub async fn sheets(
    State(app): State<App>,
    who: Who,
    Path(day): Path<String>,
) -> Result<Response, Refused> {
    who.must_lead()?;
    let booklet = booklet(&app, day_id(&day)?).await?;
    let at = jiff::Timestamp::from_millisecond(app.now_ms()).map_err(|_| Fault::internal())?;
    let made = at.to_zoned_datetime(jiff::tz::TimeZone::UTC).datetime();
    // Setting pages takes a moment; the phones must not wait for it.
    let pdf = tokio::task::spawn_blocking(move || {
        render_sheets_pdf(&booklet, &SheetOptions::new(made)).map_err(|fault| {
            Fault::value("sheets", &fault.to_string(), "a plan that can be printed")
        })
    })
    .await
    .map_err(|_| Fault::internal())??;
    let headers = [
        (header::CONTENT_TYPE, "application/pdf"),
        (
            header::CONTENT_DISPOSITION,
            "inline; filename=\"sheets.pdf\"",
        ),
    ];
    Ok((headers, pdf.bytes).into_response())
}

/// `GET /briefing/{day}`: what is read to the group, and the rules as run.
pub async fn briefing(
    State(app): State<App>,
    who: Who,
    Path(day): Path<String>,
) -> Result<Response, Refused> {
    who.must_lead()?;
    let id = day_id(&day)?;
    let booklet = booklet(&app, id).await?;
    let body = html! {
        h1 { "Briefing" }
        p { a.button-quiet href=(format!("/sheets/{id}")) { "On paper (PDF)" } }
        @if let Some(said) = &booklet.briefing {
            @for paragraph in &said.paragraphs { p { (paragraph) } }
            @if !said.easier.is_empty() {
                div.note { p { strong { "The easier form: " } (said.easier) ". Anyone may take it, and need not say why." } }
            }
        }
        @for card in &booklet.rules {
            section.ruled {
                h2 { "Rules of " (card.test_name) }
                ol { @for rule in &card.rules { li { (rule.text) " "
                    small { "(" (rule.tag.words()) @if !rule.source.is_empty() { ", " (rule.source) } ")" } } } }
                dl.facts { @for setting in &card.settings { dt { (setting.setting) } dd { (setting.value) } } }
            }
        }
        @if let Some(said) = &booklet.briefing {
            div.caution {
                p { strong { "Caution. " } (said.cautions.short) }
                details { summary { "In full" }
                    @for (head, text) in &said.cautions.full { p { strong { (head) ". " } (text) } } }
            }
        }
    };
    Ok(framed(&who, "Briefing", "", &body).into_response())
}
