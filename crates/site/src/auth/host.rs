//! The door: names this server answers to, where a change may come from, headers of every answer.

use std::collections::BTreeSet;

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::app::App;
use crate::fault::Fault;
use crate::pages::Refused;

/// The header a program sends with a change; a foreign page cannot.
const OWN_HEADER: &str = "x-plimsoll";

/// Returns an error unless a change was sent by a program of this server.
///
/// # Errors
///
/// [`Fault::forbidden`] without the header.
pub fn by_program(headers: &HeaderMap) -> Result<(), Fault> {
    if headers.get(OWN_HEADER).is_some_and(|value| value == "1") {
        return Ok(());
    }
    Err(Fault::forbidden(
        "header `x-plimsoll`",
        "none, or another value",
        "`1`, on every request of a program that changes something",
    ))
}

/// What pages may load: nothing from elsewhere, no script in the page itself.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; \
     media-src 'self' blob:; connect-src 'self'; font-src 'self'; form-action 'self'; \
     base-uri 'none'; frame-ancestors 'none'";

/// The names this server answers to, without ports.
#[derive(Debug, Clone, Default)]
pub struct Hosts(BTreeSet<String>);

impl Hosts {
    /// Returns the names of this machine and the ones given.
    pub fn new(more: impl IntoIterator<Item = String>) -> Self {
        let own = ["localhost", "127.0.0.1", "[::1]"].map(str::to_owned);
        let more = more.into_iter().map(|name| name.to_ascii_lowercase());
        Self(own.into_iter().chain(more).collect())
    }

    fn has(&self, authority: &str) -> bool {
        self.0.contains(&bare(authority))
    }
}

/// Returns a host without its port.
fn bare(authority: &str) -> String {
    let end = match authority.rfind(']') {
        Some(bracket) => bracket + 1,
        None => authority.rfind(':').unwrap_or(authority.len()),
    };
    authority[..end].to_ascii_lowercase()
}

/// Checks where a request comes from, and puts the headers on its answer.
pub async fn guard(State(app): State<App>, request: Request, next: Next) -> Response {
    let for_program = request.uri().path().starts_with("/api/");
    let private = !request.uri().path().starts_with("/assets/");
    let mut response = match check(&app, &request) {
        Ok(()) => next.run(request).await,
        Err(fault) if for_program => fault.into_response(),
        Err(fault) => Refused(fault).into_response(),
    };
    let headers = response.headers_mut();
    for (name, value) in [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        // With `no-referrer` a browser hides the origin of our own forms too.
        (header::REFERRER_POLICY, "same-origin"),
        (header::X_FRAME_OPTIONS, "DENY"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    if private && !headers.contains_key(header::CACHE_CONTROL) {
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    response
}

fn check(app: &App, request: &Request) -> Result<(), Fault> {
    let headers = request.headers();
    let host = headers
        .get(header::HOST)
        .and_then(|value| value.to_str().ok())
        .or_else(|| request.uri().authority().map(|a| a.as_str()))
        .unwrap_or_default();
    if !app.hosts().has(host) {
        return Err(Fault::forbidden(
            "header `host`",
            "a name this server does not go by",
            "an address the server printed when it started",
        ));
    }
    let origin = headers.get(header::ORIGIN).and_then(|v| v.to_str().ok());
    let foreign = origin.is_some_and(|origin| {
        let from = origin.split_once("://").map_or("", |(_, from)| from);
        !from.eq_ignore_ascii_case(host)
    });
    let upgrade = headers.contains_key(header::UPGRADE);
    // The only method that changes anything; others are refused by the routes.
    let changes = *request.method() == Method::POST;
    if foreign && (changes || upgrade) {
        return Err(Fault::forbidden(
            "header `origin`",
            "another site",
            "a page of this server",
        ));
    }
    Ok(())
}
