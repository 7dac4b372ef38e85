//! A rehearsal: simulated runners on a wave, judged by nobody or by whoever practises, at a chosen speed.
//! Must not be reachable on a server that keeps what it records.

use std::sync::Arc;
use std::time::Duration;

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use plimsoll_archive::WaveId;
use plimsoll_desk::test_day::rehearsal::{Tap, taps};
use plimsoll_judge::{DeviceId, Event, MissPlace, Opening, Role, VERSION, What};

use super::frame::{Refused, page as framed, seal};
use crate::app::App;
use crate::auth::{Guarded, Who};
use crate::fault::Fault;
use crate::live::wave_id;
use crate::waves::{Live, known_test};

/// Time from the press to the first start signal, ms.
const LEAD_IN_MS: i64 = 3_000;
/// How many times faster than on the pitch a rehearsal may run.
const SPEEDS: std::ops::RangeInclusive<f64> = 1.0..=20.0;
/// The name under which a rehearsal records.
const DEVICE: &str = "rehearsal";

/// Returns the part of a wave's page that starts a rehearsal.
pub fn section(who: &Who, live: &Live) -> Markup {
    let wave = live.wave.id;
    html! {
        section.ruled {
            h2 { "Rehearsal" }
            p { "Simulated runners run the whole test, without sound, up to twenty times as fast as on a pitch. "
                "Watch the line screen while others tap, or tap yourself and let somebody read the script aloud." }
            form method="post" action=(format!("/wave/{wave}/rehearse")) {
                (seal(who))
                label.field { "Speed" select name="speed" {
                    option value="20" { "20 times as fast" }
                    option value="5" { "5 times as fast" }
                    option value="1" { "as on the pitch" }
                } }
                p {
                    button.button type="submit" name="judged" value="simulated" { "Let simulated runners loose" } " "
                    button.button-quiet type="submit" name="judged" value="here" { "Run the clock, I tap" }
                }
            }
            p { a href=(format!("/rehearsal/{wave}")) { "Script to read aloud" } }
            p.hint { "With the cues on the loudspeaker: hold Start on the line screen instead." }
        }
    }
}

fn must_rehearse(app: &App) -> Result<(), Fault> {
    if app.options().rehearse {
        return Ok(());
    }
    Err(Fault::forbidden(
        "rehearsal",
        "a server that keeps what it records",
        "a server started with --rehearse",
    ))
}

/// Returns what the simulated runners of a wave do: the same each time it is asked.
fn script(app: &App, live: &Live) -> Result<(Opening, Vec<Tap>), Fault> {
    let (_, state) = live.state();
    let opening = state
        .opening
        .clone()
        .ok_or_else(|| Fault::missing("opening of the wave", &live.wave.name))?;
    let test = known_test(app, &live.test)?;
    let fold = plimsoll_judge::Fold::new(test).ok_or_else(Fault::internal)?;
    let taps = taps(&opening, fold.index(), seed(live.wave.id));
    Ok((opening, taps))
}

/// The last bytes of a wave's id are random.
fn seed(wave: WaveId) -> u64 {
    let hex: String = wave.to_string().chars().filter(|c| *c != '-').collect();
    let tail = hex.len().saturating_sub(16);
    u64::from_str_radix(&hex[tail..], 16).unwrap_or_default()
}

/// `GET /rehearsal/{wave}`: what is to be seen at the line, to be read aloud.
pub async fn page(
    State(app): State<App>,
    who: Who,
    Path(wave): Path<String>,
) -> Result<Response, Refused> {
    who.must_lead()?;
    must_rehearse(&app)?;
    let live = app.waves().get(&app, wave_id(&wave)?).await?;
    let (opening, taps) = script(&app, &live)?;
    let body = html! {
        h1 { "Script of " (live.wave.name) }
        p { "What is to be seen at the line, by the cue clock. Read each line aloud as its time comes; the "
            "others tap. Invented runners." }
        div.wide tabindex="0" role="group" aria-label="Table" { table.table {
            thead { tr {
                th scope="col" class="number" { "Cue clock" } th scope="col" class="number" { "Lane" }
                th scope="col" { "Who" } th scope="col" { "What is seen" }
            } }
            tbody { @for tap in &taps {
                @let lane = tap.what.lane().unwrap_or(0);
                @let runner = opening.lanes.iter().find(|l| l.lane == lane);
                tr data-cue-ms=(tap.cue_ms) data-what=(serde_json::to_string(&tap.what).unwrap_or_default()) {
                    td.number { (clock_face(tap.cue_ms)) }
                    td.number { (lane) }
                    td { @if let Some(runner) = runner { (runner.bib.as_deref().unwrap_or("")) " " (runner.name) } }
                    td { (seen(&tap.what)) }
                }
            } }
        } }
    };
    Ok(framed(&who, "Script", "", &body).into_response())
}

fn clock_face(ms: i64) -> String {
    let s = ms.max(0) / 1_000;
    format!("{}:{:02}", s / 60, s % 60)
}

fn seen(what: &What) -> String {
    match what {
        What::Miss { place, .. } if *place == MissPlace::Line => {
            "in the zone, not at the line".to_owned()
        }
        What::Miss { .. } => "not there at the cue: a miss".to_owned(),
        What::EarlyStart { .. } => "off before the start signal".to_owned(),
        What::Stop { reason, .. } => format!("stops: {}", reason.in_words()),
        other => other.word().to_owned(),
    }
}

/// `POST /wave/{wave}/rehearse`.
pub async fn start(
    State(app): State<App>,
    Path(wave): Path<String>,
    form: Guarded,
) -> Result<Response, Refused> {
    form.who.must_lead()?;
    must_rehearse(&app)?;
    let id = wave_id(&wave)?;
    let live = app.waves().get(&app, id).await?;
    let speed = form.number("speed", SPEEDS)?.unwrap_or(20.0) as u32;
    let simulated = form.text("judged") != Some("here");
    let (opening, taps) = script(&app, &live)?;
    if live.state().1.started || !live.set_speed(speed) {
        return Err(Fault::conflict(
            "rehearsal",
            "a wave that has started",
            "one that has not",
            "start the server again for another rehearsal",
        )
        .into());
    }
    let zero_ms = app.now_ms() + LEAD_IN_MS;
    let lanes = opening.lanes.iter().map(|l| l.lane).collect();
    let first = [
        (None, What::Anchored { zero_ms, pm_ms: 5 }),
        (Some(0), What::Started { lanes }),
    ];
    let mut seq = 0;
    for (cue_ms, what) in first {
        seq += 1;
        let lead = event(
            &app,
            &live,
            DEVICE.to_owned(),
            seq,
            cue_ms,
            Role::Lead,
            what,
        );
        live.record(&app, DEVICE, vec![lead]).await?;
    }
    if simulated {
        tokio::spawn(async move {
            // A rehearsal that fails is started again by hand.
            let _ = play(app, live, zero_ms, i64::from(speed), taps).await;
        });
    }
    Ok(Redirect::to(&format!("/line/{id}")).into_response())
}

fn event(
    app: &App,
    live: &Live,
    device: String,
    seq: u64,
    cue_ms: Option<i64>,
    role: Role,
    what: What,
) -> Event {
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
}

async fn play(
    app: App,
    live: Arc<Live>,
    zero_ms: i64,
    speed: i64,
    taps: Vec<Tap>,
) -> Result<(), Fault> {
    for (tap, seq) in taps.into_iter().zip(1..) {
        let due = zero_ms + tap.cue_ms / speed;
        let wait = u64::try_from(due - app.now_ms()).unwrap_or(0);
        tokio::time::sleep(Duration::from_millis(wait)).await;
        let device = format!("{DEVICE}-{}", tap.assessor + 1);
        let at = Some(tap.cue_ms);
        let tapped = event(&app, &live, device, seq, at, Role::Assessor, tap.what);
        live.record(&app, DEVICE, vec![tapped]).await?;
    }
    Ok(())
}
