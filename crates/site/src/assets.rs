//! Files of the pages: modules, style sheets, icons, compiled into the binary.

use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use rust_embed::RustEmbed;

use crate::app::App;
use crate::auth::Who;
use crate::fault::Fault;
use crate::live::wave_id;
use crate::pages::Refused;

#[derive(RustEmbed)]
#[folder = "../../web/"]
#[include = "line/*"]
#[include = "pages/*"]
#[include = "shared/*"]
#[include = "style/*"]
#[include = "icons/*"]
struct Files;

/// `GET /assets/{*path}`.
pub async fn asset(Path(path): Path<String>) -> Result<Response, Fault> {
    let file = Files::get(&path).ok_or_else(|| Fault::missing("file", "one that is not there"))?;
    let kind = match path.rsplit('.').next() {
        Some("js") => "text/javascript; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("svg") => "image/svg+xml",
        Some("html") => "text/html; charset=utf-8",
        _ => "application/octet-stream",
    };
    let headers = [
        (header::CONTENT_TYPE, kind),
        (header::CACHE_CONTROL, "no-cache"),
    ];
    Ok((StatusCode::OK, headers, file.data.into_owned()).into_response())
}

/// `GET /line/{wave}`: the same shell for every wave; the page asks for the rest.
pub async fn line_screen(
    State(app): State<App>,
    who: Who,
    Path(wave): Path<String>,
) -> Result<Response, Refused> {
    let id = wave_id(&wave)?;
    who.may_see(id)?;
    app.waves().get(&app, id).await?;
    let shell = Files::get("line/index.html").ok_or_else(Fault::internal)?;
    let headers = [
        (header::CONTENT_TYPE, "text/html; charset=utf-8"),
        (header::CACHE_CONTROL, "no-cache"),
    ];
    Ok((StatusCode::OK, headers, shell.data.into_owned()).into_response())
}
