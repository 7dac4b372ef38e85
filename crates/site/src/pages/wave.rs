//! A wave's own page for the lead: codes for phones, devices on the line.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};

use super::frame::{Refused, page as framed, seal};
use super::square::square;
use crate::app::App;
use crate::auth::{Guarded, Invitation, Who};
use crate::fault::Fault;
use crate::live::wave_id;

/// `GET /wave/{wave}`.
pub async fn page(
    State(app): State<App>,
    who: Who,
    Path(wave): Path<String>,
) -> Result<Response, Refused> {
    who.must_lead()?;
    let id = wave_id(&wave)?;
    let live = app.waves().get(&app, id).await?;
    let (_, state) = live.state();
    let assessors = state.opening.as_ref().map_or(&[][..], |o| &o.assessors);
    let mut invitations = Vec::new();
    for assessor in assessors {
        let invitation = Invitation {
            code: String::new(),
            wave: id,
            lanes: assessor.lanes.clone(),
            name: assessor.name.clone(),
            since_ms: app.now_ms(),
        };
        let made = app
            .store()
            .invite(invitation, &app.clock().secret())
            .map_err(|_| Fault::internal())?;
        invitations.push(made);
    }
    let devices = app.store().devices(id);
    let body = html! {
        h1 { (live.wave.name) }
        p {
            a.button href=(format!("/line/{id}")) { "Line screen" } " "
            a.button-quiet href=(format!("/close/{id}")) { "Close the wave" }
        }
        p { a href=(format!("/after/{id}")) { "After the stop: heart rate, exertion, notes" } }
        (super::after::warm_up_part(&who, id, &state, app.now_ms()))
        @if app.options().rehearse { (super::rehearsal::section(&who, &live)) }
        section.ruled {
            h2 { "Phones that join" }
            p { "Each assessor opens the address, or photographs the square. No account is needed. The code "
                "opens this wave only and ends after a day." }
            @if !app.options().beyond {
                div.note { p { strong { "Note. " } "The server can be reached from this machine only. For phones, "
                    "start it with " code { "--listen 0.0.0.0" } "." } }
            }
            @for invitation in &invitations { (card(&app, invitation)) }
        }
        section.ruled {
            h2 { "Devices" }
            @if devices.is_empty() { p { "None has joined yet." } }
            @else {
                div.wide tabindex="0" role="group" aria-label="Table" { table.table {
                    thead { tr { th scope="col" { "Name" } th scope="col" { "Lanes" } th scope="col" { "State" } th scope="col" { "" } } }
                    tbody { @for known in &devices { tr {
                        td { (known.name) }
                        td { (known.lanes.iter().map(u16::to_string).collect::<Vec<_>>().join(" ")) }
                        td { @if known.dropped { "dropped" } @else { "admitted" } }
                        td { @if !known.dropped {
                            form method="post" action=(format!("/wave/{id}/drop")) {
                                (seal(&who))
                                input type="hidden" name="device" value=(known.device);
                                button.button-quiet type="submit" { "Drop " (known.name) }
                            }
                        } }
                    } } }
                } }
            }
        }
    };
    Ok(framed(&who, &live.wave.name, "", &body).into_response())
}

fn card(app: &App, invitation: &Invitation) -> Markup {
    let url = format!("{}/join/{}", app.options().address, invitation.code);
    html! {
        article {
            h3 { (invitation.name) }
            p { "Code " strong { (invitation.code) } ", at " code { (url) } }
            p { "Lanes " (invitation.lanes.iter().map(u16::to_string).collect::<Vec<_>>().join(", ")) }
            (square(&url))
        }
    }
}

/// `POST /wave/{wave}/drop`.
pub async fn drop_device(
    State(app): State<App>,
    Path(wave): Path<String>,
    form: Guarded,
) -> Result<Response, Refused> {
    form.who.must_lead()?;
    let id = wave_id(&wave)?;
    let device = form.text("device").unwrap_or_default();
    let dropped = app
        .store()
        .drop_device(id, device)
        .map_err(|_| Fault::internal())?;
    if !dropped {
        return Err(Fault::missing("device", "one that is not on this wave").into());
    }
    Ok(Redirect::to(&format!("/wave/{id}")).into_response())
}
