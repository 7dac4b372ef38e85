//! The lead's decision on the conditions, kept with the strictest advice of that moment.
//! The decision is the lead's, whatever the advice.

use axum::extract::{Path, State};
use axum::response::Response;
use plimsoll_archive::PaperKind;
use plimsoll_desk::test_day::{Conditions, Decision, Verdict as Decided};
use plimsoll_pitch::{Circumstances, advice};

use super::{Refused, day_id, keep, latest};
use crate::app::App;
use crate::auth::Guarded;
use crate::fault::Fault;

/// Returns a decision as people read it.
pub(super) const fn in_words(verdict: Decided) -> &'static str {
    match verdict {
        Decided::Run => "run as planned",
        Decided::Easier => "the easier form",
        Decided::Later => "later, or another day",
        Decided::RunAnyway => "run, against the advice",
    }
}

/// `POST /checks/{day}/decision`.
pub async fn decide(
    State(app): State<App>,
    Path(day): Path<String>,
    form: Guarded,
) -> Result<Response, Refused> {
    form.who.must_lead()?;
    let id = day_id(&day)?;
    let verdict = match form.text("verdict") {
        Some("run") => Decided::Run,
        Some("easier") => Decided::Easier,
        Some("later") => Decided::Later,
        Some("run_anyway") => Decided::RunAnyway,
        _ => {
            return Err(
                Fault::value("verdict", "another word", "run, easier, later, run_anyway").into(),
            );
        }
    };
    let papers = app
        .keeper()
        .with(move |writer| Ok(writer.papers(id)?))
        .await?;
    let read: Option<(Conditions, i64)> = latest(&papers, PaperKind::Conditions, "conditions");
    let wbgt = read.and_then(|(read, _)| read.wbgt_c);
    let strict = Circumstances {
        minors: true,
        acclimatised: false,
        lowered: false,
    };
    let advised = wbgt.and_then(|wbgt| advice(wbgt, &strict).into_iter().next());
    let decision = Decision {
        verdict,
        advice: advised.map_or_else(
            || "no reading of the heat".to_owned(),
            |advised| format!("{} °C: {}", advised.band, advised.text),
        ),
        words: form.short("words", 300)?,
    };
    keep(&app, id, PaperKind::Decision, &decision).await
}
