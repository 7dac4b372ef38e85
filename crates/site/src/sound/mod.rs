//! The sound of a wave for the page that plays it: one track, cut into pieces without gap or overlap.
//! Rendered once into a cache folder; a piece is there whole or not at all.

mod cut;

use std::path::PathBuf;
use std::sync::Arc;

use axum::Json;
use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use plimsoll_sound::voice::{Language, Voice};
use plimsoll_sound::{Plan, TrackOptions};
use serde_json::{Value, json};

use crate::app::App;
use crate::auth::Who;
use crate::fault::Fault;
use crate::live::wave_id;
use crate::waves::known_test;

use cut::Cut;

/// Makes the pieces of a wave's track if they are not there; returns where, with the plan.
async fn pieces(app: &App, who: &Who, wave: &str) -> Result<(PathBuf, Arc<Cut>), Fault> {
    let id = wave_id(wave)?;
    who.may_see(id)?;
    let live = app.waves().get(app, id).await?;
    let test = known_test(app, &live.test)?;
    let voice = Voice::built_in(Language::English).map_err(|_| Fault::internal())?;
    let plan = Plan::new(test, &TrackOptions::default(), Some(&voice))
        .map_err(|_| Fault::missing("cues of the test", test.id()))?;
    let folder = app
        .folder()
        .join("cache")
        .join("sound")
        .join(format!("{}-en", plan.fingerprint));
    let to = folder.clone();
    let cut = tokio::task::spawn_blocking(move || Cut::make(&plan, &to))
        .await
        .map_err(|_| Fault::internal())?
        .map_err(|_| Fault::internal())?;
    Ok((folder, Arc::new(cut)))
}

/// `GET /api/waves/{wave}/sound`.
pub async fn manifest(
    State(app): State<App>,
    who: Who,
    Path(wave): Path<String>,
) -> Result<Json<Value>, Fault> {
    let (_, cut) = pieces(&app, &who, &wave).await?;
    let url = |name: &str| format!("/api/waves/{wave}/sound/{name}");
    let pieces: Vec<Value> = cut
        .pieces
        .iter()
        .zip(0..)
        .map(|(piece, n)| {
            json!({
                "n": n, "at_s": piece.at_s(cut.rate), "length_s": piece.length_s(cut.rate),
                "url": url(&format!("{n}.flac")),
            })
        })
        .collect();
    Ok(Json(json!({
        "sample_rate": cut.rate,
        "zero_s": cut.zero_s,
        "duration_s": cut.samples as f64 / f64::from(cut.rate),
        "track_url": url("track.flac"),
        "pieces": pieces,
    })))
}

/// `GET /api/waves/{wave}/sound/{piece}`.
pub async fn piece(
    State(app): State<App>,
    who: Who,
    Path((wave, piece)): Path<(String, String)>,
) -> Result<Response, Fault> {
    let (folder, cut) = pieces(&app, &who, &wave).await?;
    let missing = || Fault::missing("piece of the track", "a name that is none");
    let number = piece.strip_suffix(".flac").ok_or_else(missing)?;
    let known = number == "track"
        || number
            .parse::<usize>()
            .is_ok_and(|n| n < cut.pieces.len() && n.to_string() == number);
    if !known {
        return Err(missing());
    }
    let bytes = std::fs::read(folder.join(piece)).map_err(|_| Fault::internal())?;
    let headers = [
        (header::CONTENT_TYPE, "audio/flac"),
        (header::CACHE_CONTROL, "private, max-age=86400"),
    ];
    Ok((StatusCode::OK, headers, Body::from(bytes)).into_response())
}
