//! Closing a wave: the count to read back, what is open, the sign-off; and opening it again.
//! Must record events, results and sign-off together, and must not make a score of what is open.

use std::collections::BTreeMap;

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use plimsoll_archive::{PaperKind, ResultFilter, Writer};
use plimsoll_desk::test_day::{Around, Arrival, SignOff, outcomes, read_paper, write_paper};
use plimsoll_judge::{
    Censoring, DeviceId, Event, LaneState, Settlement, StopReason, VERSION, WaveState, What,
};
use plimsoll_ladder::Test;

use super::frame::{Refused, page as framed, seal};
use crate::app::App;
use crate::auth::{Guarded, Who};
use crate::fault::Fault;
use crate::live::wave_id;
use crate::waves::{Live, known_test, stored_form};

/// The name under which the pages of the server record events.
pub const DEVICE: &str = "server";

/// `GET /close/{wave}`.
pub async fn page(
    State(app): State<App>,
    who: Who,
    Path(wave): Path<String>,
) -> Result<Response, Refused> {
    who.must_lead()?;
    let id = wave_id(&wave)?;
    let live = app.waves().get(&app, id).await?;
    let test = known_test(&app, &live.test)?;
    let (_, state) = live.state();
    let count = state.read_back();
    let open = state.conflicts.iter().filter(|c| !c.ruled).count();
    let body = html! {
        h1 { "Close " (live.wave.name) }
        p { strong { "Read back: " } (count.in_words()) "." }
        @if open > 0 {
            div.caution { p { strong { "Caution. " } (open) " disagreements wait for your ruling. "
                a href=(format!("/line/{id}")) { "Rule on the line screen" } "." } }
        }
        @if count.open > 0 && !state.closed {
            div.note { p { strong { "Note. " } "Who is open gets no result. Put it right below, or close and "
                "open the wave again later." } }
        }
        (table(test, &state))
        @if state.closed {
            p.note { strong { "Closed. " } "The results are in the archive." }
            p { a.button href=(format!("/results/{}", live.wave.day)) { "Results of the day" } }
            form method="post" action=(format!("/close/{id}/again")) {
                (seal(&who))
                label.field { "Why it is opened again" input name="why" required maxlength="200"; }
                p { button.button-quiet type="submit" { "Open the wave again" } }
            }
        } @else {
            (correct(&who, &live, test, &state))
            p { a href=(format!("/typed/{id}")) { "Type in a paper sheet" } }
            form method="post" action=(format!("/close/{id}")) {
                (seal(&who))
                label.field { "Signed by" input name="by" required maxlength="60" value=(who.name); }
                label.field { input type="checkbox" name="course" value="yes"; " the course was taped again" }
                p { button.button type="submit" { "Close the wave" } }
            }
        }
    };
    Ok(framed(&who, "Close", "", &body).into_response())
}

fn table(test: &Test, state: &WaveState) -> Markup {
    let results = state.results();
    html! {
        div.wide tabindex="0" role="group" aria-label="Table" { table.table {
            thead { tr {
                th scope="col" class="number" { "Lane" } th scope="col" { "Name" }
                th scope="col" { "Comes to" } th scope="col" { "Why it ended" }
                th scope="col" { "Not per definition" }
            } }
            tbody { @for (lane, result) in state.lanes.iter().zip(&results) { tr {
                td.number { (lane.plan.lane) }
                td { (lane.plan.name) }
                td.kept { (settled(test, lane, &result.settlement)) }
                td { @if let Some(stop) = &lane.stop { (stop.reason.in_words()) } }
                td { (result.deviations.join("; ")) }
            } } }
        } }
    }
}

fn settled(test: &Test, lane: &LaneState, settlement: &Settlement) -> String {
    match settlement {
        Settlement::NotStarted => "did not start".to_owned(),
        Settlement::Void => "void".to_owned(),
        Settlement::Open(why) => format!("open: {why}"),
        Settlement::Outcome(outcome) => {
            let (_, bouts) = outcome.amount.to_parts();
            let bout = test.ladder().and_then(|ladder| ladder.by_number(bouts));
            let label = bout.map_or_else(
                || "no bout completed".to_owned(),
                |bout| format!("{} ({} m)", bout.label, bout.distance.as_m_f64()),
            );
            let close = lane.stop.as_ref().and_then(|stop| stop.completed);
            let close = close.is_some_and(|done| done.close_call);
            match (outcome.censoring(), close) {
                (Censoring::LowerBound, _) => format!("at least {label}"),
                (_, true) => format!("{label}, tapped close to the cue: look again"),
                _ => label,
            }
        }
    }
}

fn correct(who: &Who, live: &Live, test: &Test, state: &WaveState) -> Markup {
    let bouts = test.ladder().map_or(&[][..], |ladder| ladder.bouts());
    html! {
        details {
            summary { "Put a lane right" }
            form method="post" action=(format!("/close/{}/correct", live.wave.id)) {
                (seal(who))
                label.field { "Lane" select name="lane" {
                    @for lane in &state.lanes {
                        option value=(lane.plan.lane) { (lane.plan.lane) " · " (lane.plan.name) }
                    }
                } }
                label.field { "Last completed bout" select name="completed" {
                    option value="" { "as it is" }
                    option value="0" { "none" }
                    @for bout in bouts { option value=(bout.number) { (bout.label) } }
                } span.hint { "Only labels of this ladder." } }
                label.field { "Why it ended" select name="reason" {
                    option value="" { "as it is" }
                    @for reason in StopReason::ALL { option value=(reason.as_str()) { (reason.in_words()) } }
                } }
                label.field { input type="checkbox" name="absent" value="yes"; " did not start" }
                p { button.button type="submit" { "Put it right" } }
            }
        }
    }
}

/// Returns an event of the server's own pages: the one after `before` others that are not stored yet.
pub fn event(app: &App, live: &Live, who: &Who, what: What, before: usize) -> Result<Event, Fault> {
    let next = before as u64 + 1;
    let event = Event {
        v: VERSION,
        id: app.clock().new_id(),
        device: DeviceId(DEVICE.to_owned()),
        seq: live.last_seq(DEVICE) + next,
        order: live.order() + next,
        at_ms: app.now_ms(),
        cue_ms: None,
        cue_pm_ms: None,
        role: who.role.in_events(),
        by: (!who.name.is_empty()).then(|| who.name.clone()),
        what,
    };
    event
        .check()
        .map_err(|fault| Fault::value("form", &fault.to_string(), "values that fit"))?;
    Ok(event)
}

/// `POST /close/{wave}/correct`.
pub async fn put_right(
    State(app): State<App>,
    Path(wave): Path<String>,
    form: Guarded,
) -> Result<Response, Refused> {
    form.who.must_lead()?;
    let id = wave_id(&wave)?;
    let live = app.waves().get(&app, id).await?;
    let lane = form.number("lane", 1.0..=200.0)?.unwrap_or(0.0) as u16;
    let what = if form.text("absent") == Some("yes") {
        What::NotStarted { lane }
    } else {
        let reason = form
            .text("reason")
            .map(str::parse::<StopReason>)
            .transpose();
        What::Correction {
            lane,
            completed: form.number("completed", 0.0..=2_000.0)?.map(|n| n as u32),
            reason: reason.map_err(|unknown| {
                Fault::value("reason", &unknown.found, "a reason of the list")
            })?,
        }
    };
    let event = event(&app, &live, &form.who, what, 0)?;
    let done = live.record(&app, DEVICE, vec![event]).await?;
    if let Some((_, why)) = done.refused.first() {
        return Err(Fault::conflict("lane", why, "one change at a time", "try again").into());
    }
    Ok(Redirect::to(&format!("/close/{id}")).into_response())
}

/// What the archive knows around a wave.
fn around(writer: &Writer, live: &Live) -> Result<Around, Fault> {
    let mut around = Around::default();
    for paper in writer.papers(live.wave.day)? {
        if paper.kind == PaperKind::Arrival
            && let Some(person) = paper.subject
            && let Ok(said) = read_paper::<Arrival>("arrival", &paper.document)
        {
            around.arrivals.insert(person, said);
        }
    }
    let filter = ResultFilter {
        ladder: Some(live.test.clone()),
        ..ResultFilter::default()
    };
    let mut trials: BTreeMap<String, u32> = BTreeMap::new();
    for result in writer.results(&filter)? {
        if result.day != live.wave.day {
            *trials.entry(result.person.to_string()).or_insert(1) += 1;
        }
    }
    around.trial = trials;
    Ok(around)
}

/// `POST /close/{wave}`.
pub async fn close(
    State(app): State<App>,
    Path(wave): Path<String>,
    form: Guarded,
) -> Result<Response, Refused> {
    form.who.must_lead()?;
    let id = wave_id(&wave)?;
    let live = app.waves().get(&app, id).await?;
    let (_, state) = live.state();
    if state.closed {
        return Ok(Redirect::to(&format!("/close/{id}")).into_response());
    }
    let signed = SignOff {
        read_back: state.read_back().in_words(),
        by: form.short("by", 60)?.unwrap_or_default(),
        course_checked: form.text("course") == Some("yes"),
    };
    let event = event(&app, &live, &form.who, What::Closed {}, 0)?;
    let stored = stored_form(&event);
    let keeping = live.clone();
    app.keeper()
        .with(move |writer| {
            let around = around(writer, &keeping)?;
            let given = outcomes(&state, &around);
            writer.close_wave(id, &[stored], &given)?;
            writer.add_paper(
                keeping.wave.day,
                PaperKind::SignOff,
                Some(&id.to_string()),
                &write_paper(&signed),
            )?;
            Ok(())
        })
        .await?;
    live.arrived(vec![event]);
    Ok(Redirect::to(&format!("/close/{id}")).into_response())
}

/// `POST /close/{wave}/again`.
pub async fn again(
    State(app): State<App>,
    Path(wave): Path<String>,
    form: Guarded,
) -> Result<Response, Refused> {
    form.who.must_lead()?;
    let id = wave_id(&wave)?;
    let live = app.waves().get(&app, id).await?;
    let why = form.short("why", 200)?.unwrap_or_default();
    let event = event(&app, &live, &form.who, What::Reopened { why }, 0)?;
    live.record(&app, DEVICE, vec![event]).await?;
    Ok(Redirect::to(&format!("/close/{id}")).into_response())
}
