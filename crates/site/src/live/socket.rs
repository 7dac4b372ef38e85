//! The WebSocket of a wave: views out as they change, events and pings in.

use std::sync::Arc;
use std::time::Duration;

use axum::extract::ws::{Message, WebSocket, WebSocketUpgrade};
use axum::extract::{Path, State};
use axum::http::HeaderMap;
use axum::response::Response;
use serde::Deserialize;
use serde_json::value::RawValue;
use serde_json::{Value, json};
use tokio::time::{Instant, MissedTickBehavior};

use super::record::{MAX_BATCH, taken};
use super::{Parts, wave_id};
use crate::app::App;
use crate::auth::{Who, token_in};
use crate::fault::Fault;
use crate::waves::Live;

/// Shortest time between two views to one phone: what comes between goes together.
const PACE: Duration = Duration::from_millis(8);
/// How often it is looked up whether a phone is still admitted.
const LOOK: Duration = Duration::from_millis(500);

/// `GET /api/waves/{wave}/live`.
pub async fn socket(
    State(app): State<App>,
    who: Who,
    Path(wave): Path<String>,
    headers: HeaderMap,
    upgrade: WebSocketUpgrade,
) -> Result<Response, Fault> {
    let id = wave_id(&wave)?;
    who.may_see(id)?;
    let live = app.waves().get(&app, id).await?;
    let token = token_in(&headers);
    Ok(upgrade
        .max_message_size(MAX_BATCH)
        .max_frame_size(MAX_BATCH)
        .on_upgrade(move |socket| async move {
            // When the phone goes away there is nobody left to tell.
            let _ = talk(app, live, who, token, socket).await;
        }))
}

#[derive(Debug, Deserialize)]
struct Said<'a> {
    #[serde(rename = "type")]
    kind: String,
    #[serde(borrow, default)]
    events: Vec<&'a RawValue>,
    #[serde(default)]
    t0: Option<Value>,
}

async fn talk(
    app: App,
    live: Arc<Live>,
    who: Who,
    token: Option<String>,
    mut socket: WebSocket,
) -> Result<(), axum::Error> {
    let mut news = live.watch();
    let mut told: Option<Arc<Parts>> = None;
    let mut waiting = true;
    let mut due = Instant::now();
    let mut look = tokio::time::interval(LOOK);
    look.set_missed_tick_behavior(MissedTickBehavior::Delay);
    loop {
        tokio::select! {
            biased;
            said = socket.recv() => {
                let Some(said) = said else { return Ok(()) };
                match said? {
                    Message::Text(text) => {
                        let answer = answer(&app, &live, &who, text.as_str()).await;
                        send(&mut socket, &answer).await?;
                    }
                    Message::Close(_) => return Ok(()),
                    Message::Binary(_) => {
                        let fault = json!({"type": "fault", "why": "text of JSON, not bytes"});
                        send(&mut socket, &fault).await?;
                    }
                    Message::Ping(_) | Message::Pong(_) => {}
                }
            }
            () = tokio::time::sleep_until(due), if waiting => {
                waiting = false;
                due = Instant::now() + PACE;
                news.mark_unchanged();
                if let Ok(parts) = live.parts() {
                    tell(&app, &live, &who, &mut socket, &mut told, parts).await?;
                }
            }
            changed = news.changed(), if !waiting => {
                if changed.is_err() {
                    return Ok(());
                }
                waiting = true;
            }
            _ = look.tick() => {
                if let Some(token) = &token
                    && app.store().known(token, app.now_ms()).is_none()
                {
                    let bye = json!({"type": "bye", "why": "the lead has dropped this device"});
                    send(&mut socket, &bye).await?;
                    return socket.send(Message::Close(None)).await;
                }
            }
        }
    }
}

/// Tells a phone the state: what has changed since it was last told, or all of it.
async fn tell(
    app: &App,
    live: &Live,
    who: &Who,
    socket: &mut WebSocket,
    told: &mut Option<Arc<Parts>>,
    parts: Arc<Parts>,
) -> Result<(), axum::Error> {
    let before = told.replace(parts.clone());
    if before
        .as_ref()
        .is_some_and(|b| b.version() == parts.version())
    {
        return Ok(());
    }
    let change = before.and_then(|before| parts.change_since(&before, app.now_ms(), live.speed()));
    if let Some(change) = change {
        return socket.send(Message::Text((&*change).into())).await;
    }
    let view = json!({"type": "view", "view": parts.view(app, live, who)});
    send(socket, &view).await
}

async fn send(socket: &mut WebSocket, value: &Value) -> Result<(), axum::Error> {
    socket.send(Message::Text(value.to_string().into())).await
}

async fn answer(app: &App, live: &Live, who: &Who, text: &str) -> Value {
    let said: Said<'_> = match serde_json::from_str(text) {
        Ok(said) => said,
        Err(error) => return json!({"type": "fault", "why": error.to_string()}),
    };
    match said.kind.as_str() {
        "ping" => json!({"type": "pong", "t0": said.t0, "server_ms": app.now_ms()}),
        "events" => match taken(app, live, who, &said.events).await {
            Ok(mut answer) => {
                answer["type"] = json!("ack");
                answer
            }
            Err(fault) => json!({"type": "fault", "why": fault.in_words()}),
        },
        other => json!({
            "type": "fault",
            "why": format!("`{}` is not known; `events` and `ping` are", other.chars().take(40).collect::<String>()),
        }),
    }
}
