//! Events of a wave as they are stored and sent; a correction is another event.
//! Must not hold what follows from them; that is the fold's. Format: `docs/formats/events.md`.

mod fault;
mod kinds;
mod read;

pub use fault::EventFault;
pub use kinds::{
    Lane, LanePlan, MissPlace, Opening, PlannedAssessor, ReadingKind, ResumeChoice, Ruling, Side,
    What,
};

use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// The version of the event format this build writes.
pub const VERSION: u16 = 1;

/// Who a device speaks for on the day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Runs the day; the last word on every call.
    Lead,
    /// Watches a block of lanes.
    Assessor,
    /// Watches over health; may stop anyone.
    Medic,
}

/// The name of a device: 1 to 40 letters, digits, `-` or `_`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct DeviceId(pub String);

/// One thing that happened, as one device recorded it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Event {
    /// Version of the format.
    pub v: u16,
    /// Its id, version 7.
    pub id: Uuid,
    /// The device that recorded it.
    pub device: DeviceId,
    /// Its number on that device, from 1.
    pub seq: u64,
    /// Its logical clock: one more than the highest it had seen when it happened (Lamport 1978,
    /// Commun ACM 21:558-565, from memory). It says what came later, whatever the devices' clocks say.
    pub order: u64,
    /// The device's own clock, milliseconds since 1970-01-01 UTC; may be wrong.
    pub at_ms: i64,
    /// Cue time: milliseconds since the first start signal on the ladder's timeline, as far as the
    /// device knew it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cue_ms: Option<i64>,
    /// Uncertainty of `cue_ms`, half width in milliseconds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cue_pm_ms: Option<u32>,
    /// Who the device spoke for.
    pub role: Role,
    /// The person's name on the day, if given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// What happened.
    pub what: What,
}

impl Event {
    /// Returns the key by which events are put in order: logical clock, device, number.
    pub fn key(&self) -> (u64, &str, u64) {
        (self.order, &self.device.0, self.seq)
    }
}
