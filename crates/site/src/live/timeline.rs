//! The timeline of a wave's test, fully spelled out, so that a page computes no ladder.

use axum::Json;
use axum::extract::{Path, State};
use plimsoll_ladder::{Shape, SignalKind, Test};
use serde_json::{Value, json};

use super::wave_id;
use crate::app::App;
use crate::auth::Who;
use crate::fault::Fault;
use crate::waves::known_test;

/// `GET /api/waves/{wave}/timeline`.
pub async fn timeline(
    State(app): State<App>,
    who: Who,
    Path(wave): Path<String>,
) -> Result<Json<Value>, Fault> {
    let id = wave_id(&wave)?;
    who.may_see(id)?;
    let live = app.waves().get(&app, id).await?;
    let test = known_test(&app, &live.test)?;
    of(test)
        .map(Json)
        .ok_or_else(|| Fault::missing("cues of the test", test.id()))
}

/// Returns the timeline of a paced test.
pub fn of(test: &Test) -> Option<Value> {
    let ladder = test.ladder()?;
    let definition = test.definition();
    let course = &definition.course;
    let continuous = definition.shape == Shape::Continuous;
    let leg_m = course.leg.as_ref().map(|leg| leg.value.as_m_f64());
    let bouts: Vec<Value> = ladder
        .bouts()
        .iter()
        .map(|bout| {
            let ms = |at: plimsoll_ladder::Instant| at.as_nanos() as f64 / 1e6;
            let mut cues: Vec<Value> = bout
                .signals
                .iter()
                .zip(1..)
                .map(|(signal, n)| {
                    let kind = match signal.kind {
                        SignalKind::Turn => "turn",
                        SignalKind::Line => "line",
                    };
                    json!({
                        "cue": n, "kind": kind, "at_ms": ms(signal.at),
                        "place_m": signal.place.as_m_f64(),
                    })
                })
                .collect();
            // A continuous shuttle ends at the far line when its number is odd.
            let place = match (continuous, course.is_loop) {
                (true, true) => None,
                (true, false) => leg_m.map(|leg| if bout.number % 2 == 1 { leg } else { 0.0 }),
                (false, _) => Some(finish_place(test, bout.signals.len(), leg_m)),
            };
            cues.push(json!({
                "cue": cues.len() + 1, "kind": "finish", "at_ms": ms(bout.finish),
                "place_m": place,
            }));
            json!({
                "bout": bout.number,
                "label": bout.label,
                "stage": ladder.stages().get(bout.stage).map(|stage| &stage.label),
                "speed_kmh": bout.speed.as_kmh_f64(),
                "start_ms": ms(bout.start),
                "finish_ms": ms(bout.finish),
                "distance_m": bout.distance.as_m_f64(),
                "cues": cues,
            })
        })
        .collect();
    let last = ladder.last()?;
    Some(json!({
        "test": test.id(),
        "name": test.name(),
        "fingerprint": test.fingerprint(),
        "course": {
            "leg_m": leg_m,
            "recovery_m": course.recovery_leg.as_ref().map(|leg| leg.value.as_m_f64()),
            "legs": definition.pace.legs.as_ref().map(|legs| legs.value),
            "loop": course.is_loop,
            "zone_m": course.zone.as_ref().map(|zone| zone.value.as_m_f64()),
        },
        "countdown_s": definition.rules.countdown.as_ref().map_or(5.0, |c| c.value.as_secs_f64()),
        "end_ms": last.finish.as_nanos() as f64 / 1e6,
        "bouts": bouts,
    }))
}

/// Where a bout with rests ends: back at the start line after an even number of legs.
fn finish_place(test: &Test, signals: usize, leg_m: Option<f64>) -> f64 {
    let legs = test
        .definition()
        .pace
        .legs
        .as_ref()
        .map_or(signals + 1, |legs| legs.value as usize);
    if legs.is_multiple_of(2) {
        0.0
    } else {
        leg_m.unwrap_or(0.0)
    }
}
