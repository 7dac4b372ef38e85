//! A wave's own page for the lead: codes for phones, devices on the line, simulated runners.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, PreEscaped, html};
use plimsoll_desk::test_day::rehearsal::taps;
use plimsoll_judge::{DeviceId, Event, Role as Speaks, VERSION, What};
use qrcode::QrCode;
use qrcode::render::svg;

use super::frame::{Refused, page as framed, seal};
use crate::app::App;
use crate::auth::{Guarded, Invitation, Who};
use crate::fault::Fault;
use crate::live::wave_id;
use crate::waves::{Live, known_test};

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
        @if app.options().rehearse { (rehearse(&who, &live)) }
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
    let picture = QrCode::new(url.as_bytes()).map(|code| {
        code.render::<svg::Color<'_>>()
            .min_dimensions(180, 180)
            .dark_color(svg::Color("#1C1B19"))
            .light_color(svg::Color("#FFFFFF"))
            .build()
    });
    // The picture is made here, with nothing in it that anybody typed.
    let picture = picture.unwrap_or_default();
    let picture = picture
        .find("<svg")
        .map_or(String::new(), |at| picture[at..].to_owned());
    html! {
        article {
            h3 { (invitation.name) }
            p { "Code " strong { (invitation.code) } ", at " code { (url) } }
            p { "Lanes " (invitation.lanes.iter().map(u16::to_string).collect::<Vec<_>>().join(", ")) }
            div role="img" aria-label=(format!("Square code of {url}")) { (PreEscaped(picture)) }
        }
    }
}

fn rehearse(who: &Who, live: &Live) -> Markup {
    html! {
        section.ruled {
            h2 { "Rehearsal" }
            p { "Simulated runners stop one after another, as assessors would tap it, twenty times as fast as "
                "on a pitch. Watch them on the line screen." }
            form method="post" action=(format!("/wave/{}/rehearse", live.wave.id)) {
                (seal(who))
                p { button.button type="submit" { "Let simulated runners loose" } }
            }
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

/// How many times faster a rehearsal runs than the ladder.
const SPEED: i64 = 20;

/// `POST /wave/{wave}/rehearse`.
pub async fn run_rehearsal(
    State(app): State<App>,
    Path(wave): Path<String>,
    form: Guarded,
) -> Result<Response, Refused> {
    form.who.must_lead()?;
    if !app.options().rehearse {
        return Err(Fault::forbidden(
            "rehearsal",
            "a server that keeps what it records",
            "a server started with --rehearse",
        )
        .into());
    }
    let id = wave_id(&wave)?;
    let live = app.waves().get(&app, id).await?;
    let (_, state) = live.state();
    let Some(opening) = state.opening.clone() else {
        return Err(Fault::missing("opening of the wave", &live.wave.name).into());
    };
    if state.started {
        return Err(Fault::conflict(
            "rehearsal",
            "a wave that has started",
            "one that has not",
            "start the server again for another rehearsal",
        )
        .into());
    }
    let test = known_test(&app, &live.test)?;
    let fold = plimsoll_judge::Fold::new(test).ok_or_else(Fault::internal)?;
    let secret = app.clock().secret();
    let seed = u64::from_le_bytes(secret[..8].try_into().unwrap_or_default());
    let plan = taps(&opening, fold.index(), seed);
    let lanes = opening.lanes.iter().map(|l| l.lane).collect();
    tokio::spawn(async move {
        // A rehearsal that fails is started again by hand.
        let _ = play(app, live, lanes, plan).await;
    });
    Ok(Redirect::to(&format!("/line/{id}")).into_response())
}

async fn play(
    app: App,
    live: std::sync::Arc<Live>,
    lanes: Vec<u16>,
    plan: Vec<plimsoll_desk::test_day::rehearsal::Tap>,
) -> Result<(), Fault> {
    let zero = app.now_ms();
    let mut seq = 0;
    let mut event = |cue_ms: Option<i64>, device: String, role, what| {
        seq += 1;
        Event {
            v: VERSION,
            id: app.clock().new_id(),
            device: DeviceId(device),
            seq,
            order: live.order() + 1,
            at_ms: app.now_ms(),
            cue_ms,
            cue_pm_ms: cue_ms.map(|_| 5),
            role,
            by: None,
            what,
        }
    };
    let start = event(
        Some(0),
        "rehearsal".to_owned(),
        Speaks::Lead,
        What::Started { lanes },
    );
    live.record(&app, "rehearsal", vec![start]).await?;
    for tap in plan {
        let due = zero + tap.cue_ms / SPEED;
        let wait = u64::try_from(due - app.now_ms()).unwrap_or(0);
        tokio::time::sleep(std::time::Duration::from_millis(wait)).await;
        let device = format!("rehearsal-{}", tap.assessor + 1);
        let tapped = event(Some(tap.cue_ms), device, Speaks::Assessor, tap.what);
        live.record(&app, "rehearsal", vec![tapped]).await?;
    }
    Ok(())
}
