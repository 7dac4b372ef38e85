//! Events from phones: read one by one, stamped with the role of who sent them, stored once.

use axum::Json;
use axum::extract::{Path, Request, State};
use plimsoll_judge::Event;
use serde::Deserialize;
use serde_json::value::RawValue;
use serde_json::{Value, json};

use super::wave_id;
use crate::app::App;
use crate::auth::{RECORDING, Role, Who, by_program};
use crate::fault::Fault;
use crate::waves::Live;

/// Bytes of the largest batch.
pub const MAX_BATCH: usize = 1024 * 1024;
/// Events of the largest batch.
const MAX_EVENTS: usize = 200;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Batch<'a> {
    #[serde(borrow)]
    events: Vec<&'a RawValue>,
}

/// `POST /api/waves/{wave}/events`.
pub async fn record(
    State(app): State<App>,
    who: Who,
    Path(wave): Path<String>,
    request: Request,
) -> Result<Json<Value>, Fault> {
    by_program(request.headers())?;
    let id = wave_id(&wave)?;
    who.may_see(id)?;
    let body = axum::body::to_bytes(request.into_body(), MAX_BATCH)
        .await
        .map_err(|_| Fault::too_large("events", MAX_BATCH + 1, MAX_BATCH))?;
    let text = std::str::from_utf8(&body)
        .map_err(|_| Fault::malformed("body", "bytes that are no text", "UTF-8"))?;
    let live = app.waves().get(&app, id).await?;
    let batch: Batch<'_> = serde_json::from_str(text).map_err(|error| {
        Fault::malformed("body", &error.to_string(), "`{\"events\": [event, …]}`")
    })?;
    Ok(Json(taken(&app, &live, &who, &batch.events).await?))
}

/// Takes a batch in; returns the answer for whoever sent it.
pub async fn taken(app: &App, live: &Live, who: &Who, batch: &[&RawValue]) -> Result<Value, Fault> {
    app.rates().take(&who.device, RECORDING, app.now_ms())?;
    if batch.len() > MAX_EVENTS {
        let found = format!("{} events", batch.len());
        return Err(Fault::value("events", &found, "at most 200 events"));
    }
    let mut events = Vec::new();
    let mut refused: Vec<Value> = Vec::new();
    for raw in batch {
        let named = || {
            let value: Option<Value> = serde_json::from_str(raw.get()).ok();
            value.and_then(|v| v.get("id").cloned()).unwrap_or_default()
        };
        match Event::read(raw.get()) {
            Ok(mut event) if may(who, &event) => {
                event.role = who.role.in_events();
                if event.by.is_none() && !who.name.is_empty() {
                    event.by = Some(who.name.clone());
                }
                events.push(event);
            }
            Ok(event) => refused.push(json!({
                "id": event.id,
                "why": format!("only the lead may record `{}`", event.what.word()),
            })),
            Err(fault) => refused.push(json!({ "id": named(), "why": fault.to_string() })),
        }
    }
    let done = live.record(app, &who.device, events).await?;
    refused.extend(
        done.refused
            .iter()
            .map(|(id, why)| json!({ "id": id, "why": why })),
    );
    Ok(json!({
        "acknowledged": done.acknowledged,
        "refused": refused,
        "version": live.version(),
        "server_ms": app.now_ms(),
    }))
}

fn may(who: &Who, event: &Event) -> bool {
    who.role == Role::Lead || !event.what.is_the_leads()
}
