//! Opening the waves of a plan: names, lanes and rules are fixed then.
//! Must write all waves or none.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use plimsoll_desk::test_day::opening;
use plimsoll_judge::{DeviceId, Event, Role, VERSION, What};

use super::{Refused, day_id, known, names, not_opened};
use crate::app::App;
use crate::auth::Guarded;
use crate::fault::Fault;
use crate::waves::{known_test, stored_form};

/// `POST /plan/{day}/open`.
pub async fn open(
    State(app): State<App>,
    Path(day): Path<String>,
    form: Guarded,
) -> Result<Response, Refused> {
    form.who.must_lead()?;
    let id = day_id(&day)?;
    let known = app.keeper().with(move |writer| known(writer, id)).await?;
    not_opened(&known)?;
    let plan = known
        .plan
        .as_ref()
        .ok_or_else(|| Fault::missing("plan", "none dealt yet"))?;
    let test = known_test(&app, &plan.test)?;
    let names = names(&known.people);
    let mut openings = Vec::new();
    for wave in &plan.waves {
        let opened =
            opening(wave, test, app.catalogue(), &names, &known.codes).map_err(|fault| {
                Fault::conflict(
                    "plan",
                    &fault.to_string(),
                    "a wave that can be opened",
                    "change the plan",
                )
            })?;
        let event = Event {
            v: VERSION,
            id: app.clock().new_id(),
            device: DeviceId("server".to_owned()),
            seq: 1,
            order: 1,
            at_ms: app.now_ms(),
            cue_ms: None,
            cue_pm_ms: None,
            role: Role::Lead,
            by: (!form.who.name.is_empty()).then(|| form.who.name.clone()),
            what: What::Opened {
                plan: Box::new(opened),
            },
        };
        event
            .check()
            .map_err(|fault| Fault::value("plan", &fault.to_string(), "a wave that fits"))?;
        openings.push((wave.number, wave.name.clone(), stored_form(&event)));
    }
    app.keeper()
        .with(move |writer| {
            for (number, name, event) in openings {
                let wave = writer.add_wave(id, number, &name)?;
                writer.append_events(&[(wave, event)])?;
            }
            Ok(())
        })
        .await?;
    Ok(Redirect::to("/").into_response())
}
