//! The document of the API, OpenAPI 3.1, kept by hand beside the routes; tests hold the two together.

use axum::http::header;
use axum::response::IntoResponse;

/// The document.
pub const DOCUMENT: &str = include_str!("openapi.json");

/// `GET /api/openapi.json`.
pub async fn document() -> impl IntoResponse {
    ([(header::CONTENT_TYPE, "application/json")], DOCUMENT)
}
