//! A wave's state as it is sent: written out once a version, whole or as what has changed.
//! Must be the same for everybody: nothing of whoever asks.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use plimsoll_judge::WaveState;
use serde::Serialize;
use serde_json::value::{RawValue, to_raw_value};
use serde_json::{Value, json};

use crate::app::App;
use crate::auth::{Known, Role, Who};
use crate::fault::Fault;
use crate::waves::Live;

/// The state at a version.
pub struct Parts {
    version: u64,
    whole: Box<RawValue>,
    results: Box<RawValue>,
    read_back: Value,
    /// The state without opening and lanes.
    rest: Value,
    opening: String,
    lanes: Vec<Box<RawValue>>,
    by_lane: Vec<Box<RawValue>>,
    /// Changes since earlier versions, as they were asked for.
    changes: Mutex<BTreeMap<u64, Option<Arc<str>>>>,
}

/// A view as JSON.
#[derive(Serialize)]
pub struct View<'a> {
    wave: String,
    day: String,
    number: u32,
    name: &'a str,
    test: &'a str,
    version: u64,
    server_ms: i64,
    speed: u32,
    state: &'a RawValue,
    results: &'a RawValue,
    read_back: &'a Value,
    me: Value,
    #[serde(skip_serializing_if = "Option::is_none")]
    devices: Option<Value>,
}

#[derive(Serialize)]
struct Change<'a> {
    #[serde(rename = "type")]
    kind: &'static str,
    since: u64,
    version: u64,
    server_ms: i64,
    speed: u32,
    state: &'a Value,
    lanes: Vec<&'a RawValue>,
    results: Vec<&'a RawValue>,
    read_back: &'a Value,
}

fn written(_: serde_json::Error) -> Fault {
    Fault::internal()
}

fn each<T: Serialize>(all: &[T]) -> Result<Vec<Box<RawValue>>, Fault> {
    all.iter()
        .map(|one| to_raw_value(one).map_err(written))
        .collect()
}

/// Returns those that are not as they were before.
fn differing<'a>(now: &'a [Box<RawValue>], before: &[Box<RawValue>]) -> Vec<&'a RawValue> {
    now.iter()
        .zip(before)
        .filter(|(now, before)| now.get() != before.get())
        .map(|(now, _)| &**now)
        .collect()
}

impl Parts {
    /// Writes a state out.
    ///
    /// # Errors
    ///
    /// [`Fault::internal`] when it cannot be written, which would be a fault of this program.
    pub fn of(version: u64, state: &WaveState) -> Result<Self, Fault> {
        let count = state.read_back();
        let mut read_back = json!(count);
        read_back["words"] = json!(count.in_words());
        let results = state.results();
        let mut rest = json!(state);
        let mut opening = String::new();
        if let Some(fields) = rest.as_object_mut() {
            fields.remove("lanes");
            opening = fields.remove("opening").unwrap_or_default().to_string();
        }
        Ok(Self {
            version,
            whole: to_raw_value(state).map_err(written)?,
            results: to_raw_value(&results).map_err(written)?,
            read_back,
            rest,
            opening,
            lanes: each(&state.lanes)?,
            by_lane: each(&results)?,
            changes: Mutex::default(),
        })
    }

    /// Returns the version.
    pub fn version(&self) -> u64 {
        self.version
    }

    /// Returns the view as whoever asks may see it.
    pub fn view<'a>(&'a self, app: &App, live: &'a Live, who: &Who) -> View<'a> {
        let devices = (who.role == Role::Lead).then(|| {
            let known = app.store().devices(live.wave.id);
            let told = |known: &Known| {
                json!({
                    "device": known.device, "role": known.role, "name": known.name,
                    "lanes": known.lanes, "seen_ms": known.since_ms, "dropped": known.dropped,
                })
            };
            known.iter().map(told).collect()
        });
        View {
            wave: live.wave.id.to_string(),
            day: live.wave.day.to_string(),
            number: live.wave.number,
            name: &live.wave.name,
            test: &live.test,
            version: self.version,
            server_ms: app.now_ms(),
            speed: live.speed(),
            state: &self.whole,
            results: &self.results,
            read_back: &self.read_back,
            me: json!({ "device": who.device, "role": who.role, "name": who.name, "lanes": who.lanes }),
            devices,
        }
    }

    /// Returns what has changed since an earlier version as a message; nothing when it is not told in parts.
    pub fn change_since(&self, before: &Self, server_ms: i64, speed: u32) -> Option<Arc<str>> {
        let mut changes = self.changes.lock().unwrap_or_else(PoisonError::into_inner);
        changes
            .entry(before.version)
            .or_insert_with(|| self.write_change(before, server_ms, speed))
            .clone()
    }

    fn write_change(&self, before: &Self, server_ms: i64, speed: u32) -> Option<Arc<str>> {
        let alike = self.opening == before.opening
            && self.lanes.len() == before.lanes.len()
            && self.by_lane.len() == before.by_lane.len();
        if !alike {
            return None;
        }
        let change = Change {
            kind: "change",
            since: before.version,
            version: self.version,
            server_ms,
            speed,
            state: &self.rest,
            lanes: differing(&self.lanes, &before.lanes),
            results: differing(&self.by_lane, &before.by_lane),
            read_back: &self.read_back,
        };
        serde_json::to_string(&change).ok().map(Arc::from)
    }
}
