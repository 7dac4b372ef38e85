//! Whom to watch in the next bout: the running lanes with their chance of stopping, and why.
//! Information for the eye: must change nothing, and must not tell an earlier result.

use axum::Json;
use axum::extract::{Path, RawQuery, State};
use jiff::civil::Date;
use plimsoll_desk::Choices;
use plimsoll_desk::planning::{Predictions, Roster, day_roster, predictions, watch as watched};
use plimsoll_judge::WaveState;
use serde_json::{Value, json};
use std::sync::Arc;

use super::wave_id;
use crate::app::App;
use crate::auth::Who;
use crate::fault::Fault;
use crate::waves::{Live, known_test};

/// Returns the bout a request asks about: the last one it names.
fn asked(query: Option<&str>) -> Result<Option<usize>, Fault> {
    let mut named = query
        .unwrap_or_default()
        .split('&')
        .filter_map(|pair| pair.strip_prefix("bout="));
    named
        .next_back()
        .map(|text| {
            let wanted = "a whole number, 0 for before the first bout";
            text.parse()
                .map_err(|_| Fault::malformed("bout", "no whole number", wanted))
        })
        .transpose()
}

/// `GET /api/waves/{wave}/watch?bout=N`: after bout N; without it, after the last bout that has ended.
pub async fn watch(
    State(app): State<App>,
    who: Who,
    Path(wave): Path<String>,
    RawQuery(query): RawQuery,
) -> Result<Json<Value>, Fault> {
    let id = wave_id(&wave)?;
    who.may_see(id)?;
    let live = app.waves().get(&app, id).await?;
    let known = live.predicted(|| expected(&app, &live)).await?;
    let (version, state) = live.state();
    let bout = match asked(query.as_deref())? {
        None => ended(&state, &known, app.now_ms(), live.speed()),
        Some(n) if n <= known.rungs.bouts() => n as u32,
        Some(n) => {
            let found = format!("{n}, beyond the {} bouts of this test", known.rungs.bouts());
            return Err(Fault::missing("bout", &found));
        }
    };
    Ok(Json(json!({
        "wave": id,
        "version": version,
        "bout": bout,
        "lanes": watched(&state, &known, bout),
        "basis": known.basis,
    })))
}

/// The number of bouts that have ended by the server's clock; 0 before the start.
fn ended(state: &WaveState, known: &Predictions, now_ms: i64, speed: u32) -> u32 {
    let Some(anchor) = &state.anchor else {
        return 0;
    };
    let cue_ms = now_ms.saturating_sub(anchor.zero_ms) as f64 * f64::from(speed);
    known.rungs.bouts_by(cue_ms / 1e3) as u32
}

/// What is expected of the people of a wave, from earlier days.
async fn expected(app: &App, live: &Live) -> Result<Arc<Predictions>, Fault> {
    let lanes: Vec<String> = live
        .state()
        .1
        .lanes
        .iter()
        .map(|lane| lane.plan.person.clone())
        .collect();
    let (day, test) = (live.wave.day, live.test.clone());
    let roster = app
        .keeper()
        .with(move |writer| {
            let on: Date = writer
                .day(day)?
                .ok_or_else(|| Fault::missing("test day", &day.to_string()))?
                .facts
                .date;
            Ok(day_roster(writer, on, &lanes, &test).ok())
        })
        .await?;
    let roster = roster.unwrap_or_else(|| Roster {
        source: "nobody in the archive".to_owned(),
        ..Roster::default()
    });
    let test = known_test(app, &live.test)?;
    let found = predictions(
        app.catalogue(),
        app.facts(),
        test,
        &roster,
        &Choices::default(),
    );
    found
        .map(Arc::new)
        .map_err(|fault| Fault::missing("predictions of the wave", &fault.to_string()))
}
