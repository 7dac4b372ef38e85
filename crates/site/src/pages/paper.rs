//! The paper sheets of a planned day as one PDF: the backup when every phone fails.

use std::collections::BTreeMap;

use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use plimsoll_archive::PaperKind;
use plimsoll_desk::test_day::{EmergencyCard, Plan, Sheets, read_paper};
use plimsoll_report::{SheetOptions, render_sheets_pdf};

use super::frame::Refused;
use super::plan::{codes, day_id};
use crate::app::App;
use crate::auth::Who;
use crate::fault::Fault;
use crate::waves::known_test;

/// `GET /sheets/{day}`.
pub async fn sheets(
    State(app): State<App>,
    who: Who,
    Path(day): Path<String>,
) -> Result<Response, Refused> {
    who.must_lead()?;
    let id = day_id(&day)?;
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
    let at = jiff::Timestamp::from_millisecond(app.now_ms()).map_err(|_| Fault::internal())?;
    let made = at.to_zoned_datetime(jiff::tz::TimeZone::UTC).datetime();
    let printing = app.clone();
    // Setting pages takes a moment; the phones must not wait for it.
    let pdf = tokio::task::spawn_blocking(move || {
        let test = known_test(&printing, &plan.test)?;
        let booklet = Sheets {
            day: &facts,
            plan: &plan,
            test,
            catalogue: printing.catalogue(),
            names: &names,
            codes: &codes,
            emergency: &emergency,
        }
        .booklet();
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
