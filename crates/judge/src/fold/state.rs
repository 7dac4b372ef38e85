//! The state of a wave: what the fold makes of its events.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::event::{DeviceId, Lane, LanePlan, MissPlace, Opening, ReadingKind, ResumeChoice};
use crate::{Outcome, StopReason};

/// Where a runner stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LaneStatus {
    /// The start signal has not been given to this lane.
    Waiting,
    /// Running.
    Running,
    /// Stopped, or at the end of what was to be run.
    Stopped,
    /// Did not start.
    NotStarted,
    /// Running when the lead declared the wave void.
    Void,
}

/// What has become of a miss.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MissStanding {
    /// It counts.
    Counts,
    /// It was excused.
    Excused,
    /// Another assessor saw the runner there; it counts until the lead rules.
    Disputed,
    /// The lead ruled that it was none.
    Dismissed,
}

/// A miss: one cue, whoever called it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct MissMark {
    /// Its key: `BOUT.CUE`, or the event's id where no cue time was known.
    pub key: String,
    /// The bout, where known.
    pub bout: Option<u32>,
    /// Which cue of the bout.
    pub cue: Option<u32>,
    /// Zone or line.
    pub place: MissPlace,
    /// What has become of it.
    pub standing: MissStanding,
    /// The calls, in order.
    pub calls: Vec<AssessorCall>,
    /// Why it was excused.
    pub excuse: Option<String>,
}

/// One device's call.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct AssessorCall {
    /// The event.
    pub event: Uuid,
    /// The device.
    pub device: DeviceId,
    /// The name given.
    pub by: Option<String>,
    /// Whether it says that something happened: a miss, a stop. False: seen there.
    pub says_so: bool,
    /// The bouts completed as this call has them, for stops.
    pub completed: Option<u32>,
    /// The reason, for stops.
    pub reason: Option<StopReason>,
    /// When, ms of cue time.
    pub cue_ms: Option<i64>,
}

/// Where a runner stands with the miss rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Warning {
    /// Misses that count now.
    pub count: u32,
    /// Misses that end a run; 0 for no such rule.
    pub limit: u32,
    /// Cue time at which the count is cleared unless there is another miss, ms; nothing when it stays.
    pub clears_at_ms: Option<i64>,
    /// Whether the rule says that the run is over.
    pub over: bool,
    /// Infractions at the line itself, where a zone is judged too.
    pub at_line: u32,
}

/// How many bouts a runner completed, and how that is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Completed {
    /// Bouts completed.
    pub bouts: u32,
    /// The bout under way at the stop; not completed.
    pub in_progress: Option<u32>,
    /// Whether the stop was tapped so soon after a finish that the bout may not have been completed.
    pub close_call: bool,
    /// Whether a person put it right.
    pub corrected: bool,
}

/// A stop.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct StopMark {
    /// Why, as far as it is settled.
    pub reason: StopReason,
    /// What was completed; nothing where neither the clock nor a person says.
    pub completed: Option<Completed>,
    /// When, ms of cue time.
    pub cue_ms: Option<i64>,
    /// When, on the device's clock, ms since 1970.
    pub at_ms: Option<i64>,
    /// The calls behind it, in order; none where the rule or the end of the ladder says it.
    pub calls: Vec<AssessorCall>,
}

/// What was read from a runner.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Reading {
    /// What.
    pub what: ReadingKind,
    /// The value, in the unit of its kind.
    pub value: u32,
    /// Seconds since the stop.
    pub after_s: u32,
}

/// One runner's state.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LaneState {
    /// The plan.
    pub plan: LanePlan,
    /// Where they stand.
    pub status: LaneStatus,
    /// The misses in order.
    pub misses: Vec<MissMark>,
    /// Where they stand with the miss rule.
    pub warning: Warning,
    /// Early starts counted.
    pub early_starts: u32,
    /// Short turns counted.
    pub short_turns: u32,
    /// Bouts run on a wrong course, first and last.
    pub course_errors: Vec<(u32, u32)>,
    /// The stop.
    pub stop: Option<StopMark>,
    /// Readings in order.
    pub readings: Vec<Reading>,
    /// Events in force about this lane, in order: what an undo can take back.
    pub trail: Vec<(Uuid, DeviceId, &'static str)>,
}

/// What a disagreement is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ConflictKind {
    /// One called a miss where another saw the runner there.
    Miss,
    /// Stops with different bouts or reasons.
    Stop,
    /// Someone took back what another device recorded.
    Undo,
}

/// A disagreement, open or ruled upon.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Conflict {
    /// The lane.
    pub lane: Lane,
    /// What it is about.
    pub kind: ConflictKind,
    /// Its key within the lane: `miss:BOUT.CUE`, `stop` or `undo:EVENT`.
    pub about: String,
    /// The calls, in order; kept after a ruling, dissent included.
    pub calls: Vec<AssessorCall>,
    /// Whether the lead has ruled.
    pub ruled: bool,
}

/// The cues broke off.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Interruption {
    /// The event.
    pub event: Uuid,
    /// When, ms of cue time.
    pub cue_ms: Option<i64>,
    /// Bouts finished by then.
    pub finished: Option<u32>,
    /// Why.
    pub why: String,
    /// How the wave went on; nothing while it stands.
    pub how: Option<ResumeChoice>,
}

/// A note or an incident.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct WaveNote {
    /// The lane.
    pub lane: Option<Lane>,
    /// The text.
    pub text: String,
    /// Whether someone must look into it.
    pub incident: bool,
    /// The device's clock, ms since 1970.
    pub at_ms: i64,
}

/// The tie between the cue clock and the server's clock.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Anchor {
    /// The device that plays.
    pub device: DeviceId,
    /// When cue time 0 was, on the server's clock, ms since 1970.
    pub zero_ms: i64,
    /// Uncertainty, half width, ms.
    pub pm_ms: u32,
}

/// The state of a wave.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct WaveState {
    /// The plan and rules; nothing before the wave is opened.
    pub opening: Option<Opening>,
    /// The cue clock.
    pub anchor: Option<Anchor>,
    /// Whether the start signal was given.
    pub started: bool,
    /// The lanes in order.
    pub lanes: Vec<LaneState>,
    /// Disagreements, open ones first.
    pub conflicts: Vec<Conflict>,
    /// Interruptions in order.
    pub interruptions: Vec<Interruption>,
    /// Notes and incidents in order.
    pub notes: Vec<WaveNote>,
    /// Whether the wave is closed.
    pub closed: bool,
    /// How often it was opened again after a close.
    pub reopened: u32,
    /// Events that could not take effect.
    pub refused: Vec<Uuid>,
    /// Number of different events seen.
    pub events: usize,
    /// Highest logical clock seen.
    pub order: u64,
}

/// What a lane comes to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Settlement {
    /// The canonical fact.
    Outcome(Outcome),
    /// The runner did not start.
    NotStarted,
    /// The wave was void for this runner.
    Void,
    /// Something must be settled first; says what.
    Open(String),
}

/// What a lane comes to, with what was not per definition.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LaneResult {
    /// The lane.
    pub lane: Lane,
    /// The person.
    pub person: String,
    /// What it comes to.
    pub settlement: Settlement,
    /// What was not per definition, each a sentence.
    pub deviations: Vec<String>,
}

/// The count that the lead reads back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct ReadBack {
    /// Runners on the plan.
    pub planned: u32,
    /// Who started.
    pub started: u32,
    /// Scores, those at the end of the ladder included.
    pub scored: u32,
    /// Results known only as "at least".
    pub lower_bounds: u32,
    /// Who did not start.
    pub not_started: u32,
    /// Void.
    pub void: u32,
    /// Not settled.
    pub open: u32,
}

impl ReadBack {
    /// Returns the sentence the lead reads aloud.
    pub fn in_words(&self) -> String {
        let mut text = format!(
            "{} started, {} scored, {} {}, {} not started",
            self.started,
            self.scored,
            self.lower_bounds,
            if self.lower_bounds == 1 {
                "lower bound"
            } else {
                "lower bounds"
            },
            self.not_started
        );
        if self.void > 0 {
            text.push_str(&format!(", {} void", self.void));
        }
        if self.open > 0 {
            text.push_str(&format!(", {} still open", self.open));
        }
        text
    }
}
