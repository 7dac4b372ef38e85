//! After the stop: time since, heart rate, exertion and a note for each runner, by whoever watches the lane.
//! Must take no health reason: a note is seen by everyone on the wave.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use plimsoll_judge::{Lane, LaneState, Reading, ReadingKind, WaveState, What};

use super::close::{DEVICE, event};
use super::frame::{Refused, page as framed, seal};
use crate::app::App;
use crate::auth::{Guarded, Role, Who};
use crate::fault::Fault;
use crate::live::wave_id;

/// Letters of a note at most.
const MOST: usize = 200;
/// Instants at which a heart rate is usually read, s after the stop; 0 is now.
const AT_S: [(u32, &str); 4] = [
    (0, "now"),
    (30, "30 s after the stop"),
    (60, "60 s after the stop"),
    (120, "120 s after the stop"),
];

/// Returns the lanes someone may write for.
fn theirs<'a>(who: &Who, state: &'a WaveState) -> impl Iterator<Item = &'a LaneState> {
    let lanes = who.lanes.clone();
    let mine = move |lane: &&LaneState| lanes.is_empty() || lanes.contains(&lane.plan.lane);
    state.lanes.iter().filter(mine)
}

/// Returns when a runner stopped, by the server's clock where the cue clock is known, ms since 1970.
fn stopped_ms(state: &WaveState, lane: &LaneState, speed: u32) -> Option<i64> {
    let stop = lane.stop.as_ref()?;
    let by_cue = state.anchor.as_ref().zip(stop.cue_ms);
    by_cue
        .map(|(anchor, cue_ms)| anchor.zero_ms + cue_ms / i64::from(speed))
        .or(stop.at_ms)
}

/// `GET /after/{wave}`.
pub async fn page(
    State(app): State<App>,
    who: Who,
    Path(wave): Path<String>,
) -> Result<Response, Refused> {
    let id = wave_id(&wave)?;
    who.may_see(id)?;
    let live = app.waves().get(&app, id).await?;
    let (_, state) = live.state();
    let stopped: Vec<(&LaneState, i64)> = theirs(&who, &state)
        .filter_map(|lane| Some((lane, stopped_ms(&state, lane, live.speed())?)))
        .collect();
    let body = html! {
        h1 { "After the stop, " (live.wave.name) }
        p { "Keep them walking. Who is pale, confused, has chest pain or cannot stand straight: fetch help, then "
            "write. " a href=(format!("/line/{id}")) { "Line screen" } }
        @if stopped.is_empty() { p { "Nobody has stopped yet." } }
        @for (lane, at_ms) in &stopped { (one(&who, id, lane, *at_ms, app.now_ms())) }
    };
    Ok(framed(&who, "After the stop", "", &body).into_response())
}

fn one(
    who: &Who,
    wave: plimsoll_archive::WaveId,
    lane: &LaneState,
    at_ms: i64,
    now_ms: i64,
) -> Markup {
    let n = lane.plan.lane;
    let since_s = (now_ms - at_ms).max(0) / 1_000;
    html! {
        section.ruled id=(format!("lane-{n}")) {
            h2 { (lane.plan.bib.as_deref().unwrap_or("")) " " (lane.plan.name) }
            p { "Stopped " time data-since-s=(since_s) { (clock_face(since_s)) } " ago. "
                (lane.readings.iter().map(in_words).collect::<Vec<_>>().join(", ")) }
            form method="post" action=(format!("/after/{wave}")) {
                (seal(who))
                input type="hidden" name="lane" value=(n);
                label.field { "Heart rate, beats a minute"
                    input type="number" name="heart_rate" min="30" max="250" inputmode="numeric"; }
                label.field { "Read at" select name="at_s" {
                    @for (at, words) in AT_S { option value=(at) { (words) } }
                } }
                label.field { "Exertion, 0 nothing to 10 the most ever"
                    input type="number" name="exertion" min="0" max="10" step="0.5" inputmode="decimal"; }
                label.field { "Note" input name="note" maxlength=(MOST); span.hint { "Seen by all on the wave: no health reasons." } }
                p { button.button type="submit" { "Keep it for " (lane.plan.name) } }
            }
        }
    }
}

fn clock_face(s: i64) -> String {
    format!("{}:{:02}", s / 60, s % 60)
}

fn in_words(reading: &Reading) -> String {
    match reading.what {
        ReadingKind::HeartRate => {
            format!("{} beats a minute at {} s", reading.value, reading.after_s)
        }
        ReadingKind::Exertion => format!("exertion {}", f64::from(reading.value) / 10.0),
    }
}

/// `POST /after/{wave}`.
pub async fn keep(
    State(app): State<App>,
    Path(wave): Path<String>,
    form: Guarded,
) -> Result<Response, Refused> {
    let id = wave_id(&wave)?;
    form.who.may_see(id)?;
    let live = app.waves().get(&app, id).await?;
    let (_, state) = live.state();
    let lane = form.number("lane", 1.0..=200.0)?.unwrap_or(0.0) as Lane;
    let about = theirs(&form.who, &state)
        .find(|l| l.plan.lane == lane)
        .ok_or_else(|| Fault::value("lane", &lane.to_string(), "a lane you watch"))?;
    let at_ms = stopped_ms(&state, about, live.speed())
        .ok_or_else(|| Fault::value("lane", "a runner who has not stopped", "one who has"))?;
    let since_s = u32::try_from((app.now_ms() - at_ms).max(0) / 1_000)
        .unwrap_or(u32::MAX)
        .min(86_400);
    let mut happened = Vec::new();
    if let Some(rate) = form.number("heart_rate", 30.0..=250.0)? {
        let at_s = form.number("at_s", 0.0..=3_600.0)?.unwrap_or(0.0) as u32;
        happened.push(What::Read {
            lane,
            what: ReadingKind::HeartRate,
            value: rate.round() as u32,
            after_s: if at_s == 0 { since_s } else { at_s },
        });
    }
    if let Some(points) = form.number("exertion", 0.0..=10.0)? {
        happened.push(What::Read {
            lane,
            what: ReadingKind::Exertion,
            value: (points * 10.0).round() as u32,
            after_s: since_s,
        });
    }
    if let Some(text) = form.short("note", MOST)? {
        happened.push(What::Note {
            lane: Some(lane),
            text,
        });
    }
    if happened.is_empty() {
        return Err(Fault::value("form", "nothing", "a heart rate, an exertion or a note").into());
    }
    let mut events = Vec::new();
    for what in happened {
        events.push(event(&app, &live, &form.who, what, events.len())?);
    }
    let done = live.record(&app, DEVICE, events).await?;
    if let Some((_, why)) = done.refused.first() {
        return Err(Fault::conflict("reading", why, "one change at a time", "try again").into());
    }
    Ok(Redirect::to(&format!("/after/{id}#lane-{lane}")).into_response())
}

/// `POST /wave/{wave}/warm-up`: the wave's warm-up begins now.
pub async fn warm_up(
    State(app): State<App>,
    Path(wave): Path<String>,
    form: Guarded,
) -> Result<Response, Refused> {
    form.who.must_lead()?;
    let id = wave_id(&wave)?;
    let live = app.waves().get(&app, id).await?;
    let text = WARM_UP.to_owned();
    let begun = event(&app, &live, &form.who, What::Note { lane: None, text }, 0)?;
    live.record(&app, DEVICE, vec![begun]).await?;
    Ok(Redirect::to(&format!("/wave/{id}")).into_response())
}

/// The note that a warm-up has begun.
const WARM_UP: &str = "Warm-up begins";

/// Returns the part of a wave's page about its warm-up.
pub fn warm_up_part(
    who: &Who,
    wave: plimsoll_archive::WaveId,
    state: &WaveState,
    now_ms: i64,
) -> Markup {
    let begun = state.notes.iter().rev().find(|note| note.text == WARM_UP);
    html! {
        @if !state.started && who.role == Role::Lead {
            section.ruled {
                h2 { "Warm-up" }
                @if let Some(begun) = begun {
                    @let since_s = (now_ms - begun.at_ms).max(0) / 1_000;
                    p { "Under way for " time data-since-s=(since_s) { (clock_face(since_s)) } "." }
                }
                form method="post" action=(format!("/wave/{wave}/warm-up")) {
                    (seal(who))
                    p { button.button-quiet type="submit" { @if begun.is_some() { "Begin it again" } @else { "The warm-up begins" } } }
                }
            }
        }
    }
}
