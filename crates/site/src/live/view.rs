//! The view of a wave: its state, what it comes to, and who is on the line.

use std::time::Duration;

use axum::Json;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde_json::{Value, json};

use super::wave_id;
use crate::app::App;
use crate::auth::Who;
use crate::fault::Fault;
use crate::waves::Live;

/// How long a request for news waits, s.
const PATIENCE_S: u64 = 25;

/// `GET /api/clock`.
pub async fn clock(State(app): State<App>) -> Json<Value> {
    Json(json!({ "server_ms": app.now_ms() }))
}

/// Anything that is no route.
pub async fn no_route() -> Response {
    Fault::missing("address", "one that this server does not have").into_response()
}

/// `GET /api/waves/{wave}`.
pub async fn view(
    State(app): State<App>,
    who: Who,
    Path(wave): Path<String>,
) -> Result<Response, Fault> {
    let id = wave_id(&wave)?;
    who.may_see(id)?;
    let live = app.waves().get(&app, id).await?;
    of(&app, &live, &who)
}

/// What a request for news asks.
#[derive(Debug, Deserialize)]
pub struct After {
    after: Option<String>,
}

/// `GET /api/waves/{wave}/wait?after=VERSION`.
pub async fn wait(
    State(app): State<App>,
    who: Who,
    Path(wave): Path<String>,
    Query(asked): Query<After>,
) -> Result<Response, Fault> {
    let id = wave_id(&wave)?;
    who.may_see(id)?;
    let live = app.waves().get(&app, id).await?;
    let after: u64 = match &asked.after {
        None => 0,
        Some(text) => text
            .parse()
            .map_err(|_| Fault::malformed("after", "no whole number", "the version last seen"))?,
    };
    let mut news = live.watch();
    let patience = Duration::from_secs(PATIENCE_S);
    // Whether there is news or patience ends: the view as it is then.
    let _ = tokio::time::timeout(patience, news.wait_for(|version| *version > after)).await;
    of(&app, &live, &who)
}

/// Returns the view as whoever asks may see it.
fn of(app: &App, live: &Live, who: &Who) -> Result<Response, Fault> {
    let parts = live.parts()?;
    Ok(Json(parts.view(app, live, who)).into_response())
}
