//! A paper sheet typed back: only labels of the wave's ladder, all lanes or none, on wish twice.
//! Must record nothing while one line of the sheet cannot be right.

use std::collections::BTreeMap;

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use plimsoll_judge::{Lane, StopReason, WaveState, What};
use plimsoll_ladder::Query;
use plimsoll_ladder::Test;

use super::close::{DEVICE, event};
use super::frame::{Refused, page as framed, seal};
use crate::app::App;
use crate::auth::{Guarded, Who};
use crate::fault::Fault;
use crate::live::wave_id;
use crate::waves::{Live, known_test};

/// Words for who did not start, as people write them.
const ABSENT: [&str; 4] = ["absent", "dns", "-", "–"];
/// Letters of a label at most.
const MOST: usize = 20;

/// What was typed for a lane.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Line {
    Absent,
    Stopped { completed: u32, reason: StopReason },
}

/// What a typed sheet comes to.
#[derive(Default)]
struct Sheet {
    lines: BTreeMap<Lane, Line>,
    faults: BTreeMap<Lane, String>,
}

/// `GET /typed/{wave}`.
pub async fn page(
    State(app): State<App>,
    who: Who,
    Path(wave): Path<String>,
) -> Result<Response, Refused> {
    who.must_lead()?;
    let live = app.waves().get(&app, wave_id(&wave)?).await?;
    let (_, state) = live.state();
    let test = known_test(&app, &live.test)?;
    let body = entry(&who, &live, test, &state, None, &BTreeMap::new(), false);
    Ok(framed(&who, "A paper sheet", "", &body).into_response())
}

fn entry(
    who: &Who,
    live: &Live,
    test: &Test,
    state: &WaveState,
    typed: Option<&Guarded>,
    faults: &BTreeMap<Lane, String>,
    again: bool,
) -> Markup {
    let bouts = test.ladder().map_or(&[][..], |ladder| ladder.bouts());
    let said = |name: &str| typed.and_then(|form| form.text(name)).unwrap_or_default();
    html! {
        h1 { "A paper sheet of " (live.wave.name) }
        @if again {
            div.note { p { strong { "Once more. " } "Type the sheet a second time, from the paper. What differs is shown." } }
        } @else {
            p { "For each lane the last completed label, 0 for none, or “absent”. Empty lanes stay as they are. "
                "Only labels of " (test.name()) " are taken." }
        }
        @if !faults.is_empty() {
            div.caution role="alert" { p { strong { "Caution. " } (faults.len()) " lines cannot be right. Nothing was recorded." } }
        }
        form method="post" action=(format!("/typed/{}", live.wave.id)) {
            (seal(who))
            @if again {
                input type="hidden" name="second" value="yes";
                @for lane in &state.lanes {
                    @let n = lane.plan.lane;
                    input type="hidden" name=(format!("first-{n}")) value=(said(&format!("label-{n}")));
                }
            }
            datalist id="labels" {
                option value="0" {} option value="absent" {}
                @for bout in bouts { option value=(bout.label) {} }
            }
            @for lane in &state.lanes {
                @let n = lane.plan.lane;
                @let (label, reason) = (format!("label-{n}"), format!("reason-{n}"));
                fieldset.pair {
                    legend { (n) " · " (lane.plan.bib.as_deref().unwrap_or("")) " " (lane.plan.name) }
                    label.field { "Last completed"
                        input name=(label) list="labels" maxlength=(MOST) inputmode="decimal" autocomplete="off"
                            value=(if again { "" } else { said(&label) }) aria-invalid[faults.contains_key(&n)]; }
                    @if let Some(fault) = faults.get(&n) { p.caution { (fault) } }
                    label.field { "Why it ended" select name=(reason) {
                        @for one in StopReason::ALL {
                            option value=(one.as_str()) selected[one.as_str() == said(&reason)] { (one.in_words()) }
                        }
                    } }
                }
            }
            @if !again {
                label.field { input type="checkbox" name="twice" value="yes" checked[said("twice") == "yes"];
                    " type it a second time, where a pass or a place hangs on it" }
            }
            p { button.button type="submit" { @if again { "Compare and record" } @else { "Record" } } }
        }
    }
}

/// `POST /typed/{wave}`.
pub async fn record(
    State(app): State<App>,
    Path(wave): Path<String>,
    form: Guarded,
) -> Result<Response, Refused> {
    form.who.must_lead()?;
    let id = wave_id(&wave)?;
    let live = app.waves().get(&app, id).await?;
    let (_, state) = live.state();
    let test = known_test(&app, &live.test)?;
    let mut sheet = read(&app, test, &state, &form)?;
    let second = form.text("second") == Some("yes");
    if second {
        for lane in &state.lanes {
            let n = lane.plan.lane;
            let (first, now) = (
                form.text(&format!("first-{n}")),
                form.text(&format!("label-{n}")),
            );
            if first != now {
                let told = |text: Option<&str>| text.unwrap_or("nothing").to_owned();
                let fault = format!(
                    "first {}, then {}: look at the paper",
                    told(first),
                    told(now)
                );
                sheet.faults.entry(n).or_insert(fault);
            }
        }
    }
    let again = sheet.faults.is_empty() && !second && form.text("twice") == Some("yes");
    if again || !sheet.faults.is_empty() {
        let body = entry(
            &form.who,
            &live,
            test,
            &state,
            Some(&form),
            &sheet.faults,
            again,
        );
        return Ok(framed(&form.who, "A paper sheet", "", &body).into_response());
    }
    let mut events = Vec::new();
    for what in happened(&state, &sheet.lines) {
        events.push(event(&app, &live, &form.who, what, events.len())?);
    }
    let done = live.record(&app, DEVICE, events).await?;
    if let Some((_, why)) = done.refused.first() {
        return Err(Fault::conflict("sheet", why, "one change at a time", "try again").into());
    }
    Ok(Redirect::to(&format!("/close/{id}")).into_response())
}

fn read(app: &App, test: &Test, state: &WaveState, form: &Guarded) -> Result<Sheet, Fault> {
    let mut sheet = Sheet::default();
    for lane in &state.lanes {
        let n = lane.plan.lane;
        let Some(label) = form.short(&format!("label-{n}"), MOST)? else {
            continue;
        };
        if ABSENT.contains(&label.to_lowercase().as_str()) {
            sheet.lines.insert(n, Line::Absent);
            continue;
        }
        let reason = form.text(&format!("reason-{n}")).unwrap_or("exhaustion");
        let reason = reason
            .parse::<StopReason>()
            .map_err(|unknown| Fault::value("reason", &unknown.found, "a reason of the list"))?;
        let found = test.ladder().and_then(|ladder| ladder.by_label(&label));
        match found {
            _ if label == "0" => {
                let line = Line::Stopped {
                    completed: 0,
                    reason,
                };
                sheet.lines.insert(n, line);
            }
            Some(bout) => {
                let line = Line::Stopped {
                    completed: bout.number,
                    reason,
                };
                sheet.lines.insert(n, line);
            }
            None => {
                sheet.faults.insert(n, unknown_label(app, test, &label));
            }
        }
    }
    Ok(sheet)
}

fn unknown_label(app: &App, test: &Test, label: &str) -> String {
    match app
        .catalogue()
        .locate(test, &Query::Label(label.to_owned()))
    {
        Ok(_) => "this label cannot be read; write it as on the sheet".to_owned(),
        Err(error) => error.to_string(),
    }
}

/// What the sheet says has happened, as events.
fn happened(state: &WaveState, lines: &BTreeMap<Lane, Line>) -> Vec<What> {
    let mut events = Vec::new();
    let started: Vec<Lane> = lines
        .iter()
        .filter(|(_, line)| **line != Line::Absent)
        .map(|(lane, _)| *lane)
        .collect();
    if !state.started && !started.is_empty() {
        events.push(What::Started { lanes: started });
    }
    for (&lane, line) in lines {
        match line {
            Line::Absent => events.push(What::NotStarted { lane }),
            Line::Stopped { completed, reason } => {
                let known = state.lanes.iter().find(|l| l.plan.lane == lane);
                if known.is_none_or(|lane| lane.stop.is_none()) {
                    events.push(What::Stop {
                        lane,
                        reason: *reason,
                    });
                }
                events.push(What::Correction {
                    lane,
                    completed: Some(*completed),
                    reason: Some(*reason),
                });
            }
        }
    }
    events
}
