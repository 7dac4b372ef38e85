//! The door: entering with a passphrase, joining a wave with a code, leaving.

use axum::extract::{Path, Request, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};

use super::frame::{Refused, bare};
use crate::app::App;
use crate::auth::{Access, Fields, GUESSES, Guarded, Known, Role, cookie, token_in};
use crate::fault::Fault;

/// Bytes of the forms of this file.
const SMALL: usize = 4_096;

/// `GET /enter`.
pub async fn enter_page(State(app): State<App>) -> Response {
    if app.access() == Access::Open {
        // Nothing to enter: a token that is left over is taken back.
        let cookie = cookie("", app.options().secure);
        return ([(header::SET_COOKIE, cookie)], Redirect::to("/")).into_response();
    }
    entry(None).into_response()
}

fn entry(fault: Option<&str>) -> Markup {
    bare(
        "Enter",
        &html! {
            h1 { "Enter" }
            @if let Some(fault) = fault { p.caution role="alert" { strong { "Caution. " } (fault) } }
            form method="post" action="/enter" {
                p.field {
                    label for="passphrase" { "Passphrase of the lead or the medic" }
                    input id="passphrase" name="passphrase" type="password"
                        autocomplete="current-password" required;
                }
                p { button.button type="submit" { "Enter" } }
            }
            p { a href="/join" { "Join a wave as an assessor" } " with the code the lead shows." }
        },
    )
}

/// `POST /enter`.
pub async fn enter(State(app): State<App>, request: Request) -> Result<Response, Refused> {
    let form = small_form(request).await?;
    // One bucket for all: a guesser with many addresses is as slow as one.
    app.rates().take("enter", GUESSES, app.now_ms())?;
    let passphrase = form.all("passphrase").last().cloned().unwrap_or_default();
    let checking = app.clone();
    let role = tokio::task::spawn_blocking(move || checking.store().role_of(&passphrase))
        .await
        .map_err(|_| Fault::internal())?;
    let Some(role) = role else {
        let page = entry(Some("that is not a passphrase of this archive; try again"));
        return Ok((StatusCode::UNAUTHORIZED, page).into_response());
    };
    let name = match role {
        Role::Medic => "Medic",
        Role::Lead | Role::Assessor => "Lead",
    };
    admit(&app, role, name.to_owned(), None, Vec::new(), "/")
}

/// `POST /leave`.
pub async fn leave(
    State(app): State<App>,
    headers: HeaderMap,
    form: Guarded,
) -> Result<Response, Refused> {
    let _ = form;
    if let Some(token) = token_in(&headers) {
        app.store().leave(&token).map_err(|_| Fault::internal())?;
    }
    let cookie = cookie("", app.options().secure);
    Ok(([(header::SET_COOKIE, cookie)], Redirect::to("/enter")).into_response())
}

/// `GET /join`.
pub async fn join_page() -> Markup {
    code_page(None)
}

fn code_page(fault: Option<&str>) -> Markup {
    bare(
        "Join a wave",
        &html! {
            h1 { "Join a wave" }
            @if let Some(fault) = fault { p.caution role="alert" { strong { "Caution. " } (fault) } }
            form method="post" action="/join" {
                p.field {
                    label for="code" { "Code" }
                    input id="code" name="code" required maxlength="12" autocapitalize="characters"
                        autocomplete="off" spellcheck="false";
                    span.hint { "Six letters and digits, shown by the lead." }
                }
                p { button.button type="submit" { "Go on" } }
            }
        },
    )
}

/// `POST /join`.
pub async fn join_code(State(app): State<App>, request: Request) -> Result<Response, Refused> {
    let form = small_form(request).await?;
    app.rates().take("join", GUESSES, app.now_ms())?;
    let found = form
        .text("code")
        .and_then(|code| app.store().invitation(code, app.now_ms()));
    Ok(match found {
        Some(found) => Redirect::to(&format!("/join/{}", found.code)).into_response(),
        None => {
            let words =
                "no wave has that code today; look at it again, or ask the lead for a new one";
            (StatusCode::NOT_FOUND, code_page(Some(words))).into_response()
        }
    })
}

/// `GET /join/{code}`.
pub async fn join_page_of(
    State(app): State<App>,
    Path(code): Path<String>,
) -> Result<Markup, Refused> {
    app.rates().take("join", GUESSES, app.now_ms())?;
    let found = app
        .store()
        .invitation(&code, app.now_ms())
        .ok_or_else(|| Fault::missing("code", "one that no wave has today"))?;
    let live = app.waves().get(&app, found.wave).await?;
    let lanes: Vec<String> = found.lanes.iter().map(u16::to_string).collect();
    Ok(bare(
        "Join a wave",
        &html! {
            h1 { "Join " (live.wave.name) }
            dl.facts {
                dt { "As" } dd { (found.name) }
                dt { "Lanes" }
                dd { @if lanes.is_empty() { "all" } @else { (lanes.join(", ")) } }
            }
            form method="post" action=(format!("/join/{}", found.code)) {
                p.field {
                    label for="name" { "Your name" }
                    input id="name" name="name" required maxlength="60" autocomplete="name";
                }
                p { button.button type="submit" { "Join" } }
            }
            p.note {
                "You watch your lanes and tap what you see. When unsure, make no call. "
                "Anyone may stop a runner who looks unwell."
            }
        },
    ))
}

/// `POST /join/{code}`.
pub async fn join(
    State(app): State<App>,
    Path(code): Path<String>,
    request: Request,
) -> Result<Response, Refused> {
    let form = small_form(request).await?;
    app.rates().take("join", GUESSES, app.now_ms())?;
    let found = app
        .store()
        .invitation(&code, app.now_ms())
        .ok_or_else(|| Fault::missing("code", "one that no wave has today"))?;
    let name: String = form
        .text("name")
        .map(|name| {
            name.trim()
                .chars()
                .filter(|c| !c.is_control())
                .take(60)
                .collect()
        })
        .unwrap_or_default();
    if name.is_empty() {
        return Err(Fault::value("name", "nothing", "1 to 60 characters").into());
    }
    let to = format!("/line/{}", found.wave);
    admit(
        &app,
        Role::Assessor,
        name,
        Some(found.wave),
        found.lanes,
        &to,
    )
}

/// Admits someone and sends them on, with the cookie.
fn admit(
    app: &App,
    role: Role,
    name: String,
    wave: Option<plimsoll_archive::WaveId>,
    lanes: Vec<u16>,
    to: &str,
) -> Result<Response, Refused> {
    let known = Known {
        hash: String::new(),
        role,
        name,
        device: String::new(),
        wave,
        lanes,
        since_ms: app.now_ms(),
        dropped: false,
    };
    let token = app
        .store()
        .admit(known, &app.clock().secret())
        .map_err(|_| Fault::internal())?;
    let cookie = cookie(&token, app.options().secure);
    Ok(([(header::SET_COOKIE, cookie)], Redirect::to(to)).into_response())
}

async fn small_form(request: Request) -> Result<Fields, Fault> {
    Fields::read(request.into_body(), SMALL).await
}
