//! What can happen in a wave.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::{Settings, StopReason};

/// A lane: a place on the line, from 1.
pub type Lane = u16;

/// One runner's place in a wave.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LanePlan {
    /// The lane.
    pub lane: Lane,
    /// The person, by id.
    pub person: String,
    /// The name called on the pitch.
    pub name: String,
    /// The bib, if one is worn.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bib: Option<String>,
    /// Last bout to run where the person runs the submaximal form.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ends_at: Option<u32>,
    /// Id of the definition the outcome is counted on, where it is not the wave's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ladder: Option<String>,
    /// First bout run; 1 unless the runner joined late.
    #[serde(default = "one", skip_serializing_if = "is_one")]
    pub from_bout: u32,
}

fn one() -> u32 {
    1
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "serde asks for a reference"
)]
fn is_one(n: &u32) -> bool {
    *n == 1
}

/// Who watches which lanes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlannedAssessor {
    /// The assessor's name or number on the plan.
    pub name: String,
    /// Lanes watched, in the order in which they are seen.
    pub lanes: Vec<Lane>,
}

/// What is fixed when a wave is opened.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Opening {
    /// Id of the test definition.
    pub test: String,
    /// Fingerprint of its cues and announcements.
    pub fingerprint: String,
    /// The rules in force.
    pub settings: Settings,
    /// The runners.
    pub lanes: Vec<LanePlan>,
    /// The assessors.
    pub assessors: Vec<PlannedAssessor>,
}

/// Where a runner should have been.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MissPlace {
    /// Not even in the zone; where there is no zone, not at the line.
    #[default]
    Zone,
    /// In the zone, but not at the line.
    Line,
}

/// How a wave goes on after an interruption.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "choice", deny_unknown_fields)]
pub enum ResumeChoice {
    /// The cues go on with this bout.
    AtBout {
        /// The bout, from 1.
        bout: u32,
    },
    /// Nothing of those still running counts; they run again on another day.
    Void,
    /// Those still running keep what they had completed, as "at least".
    LowerBound,
}

/// A side in a disagreement: the device whose call it is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "side", deny_unknown_fields)]
pub enum Side {
    /// The call of one event stands.
    Event {
        /// The event.
        id: Uuid,
    },
    /// No call stands: no miss, or still running.
    None,
}

/// What the lead decided about a disagreement.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ruling {
    /// The lane.
    pub lane: Lane,
    /// The disagreement, by its key: `miss:BOUT.CUE`, `stop` or `undo:EVENT`.
    pub about: String,
    /// What stands.
    pub stands: Side,
}

/// What is read from a runner after the stop.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ReadingKind {
    /// Heart rate, beats a minute, 30 to 250.
    HeartRate,
    /// Rating of perceived exertion, tenths of a point on the 0 to 10 scale, 0 to 100.
    Exertion,
}

/// What happened.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "kind", deny_unknown_fields)]
pub enum What {
    /// The wave was opened with its plan and rules.
    Opened {
        /// The plan.
        plan: Box<Opening>,
    },
    /// The playing device tied the cue clock to the server's clock.
    Anchored {
        /// When cue time 0 was or will be, on the server's clock, milliseconds since 1970-01-01 UTC.
        zero_ms: i64,
        /// Uncertainty, half width in milliseconds.
        pm_ms: u32,
    },
    /// The start signal was given to these lanes.
    Started {
        /// Who stood on the line.
        lanes: Vec<Lane>,
    },
    /// A runner did not start.
    NotStarted {
        /// The lane.
        lane: Lane,
    },
    /// A runner joined late, or was added.
    Joined {
        /// The runner.
        runner: Box<LanePlan>,
    },
    /// A runner was not there at the cue.
    Miss {
        /// The lane.
        lane: Lane,
        /// The bout; the fold takes it from the cue time when it is left out.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        bout: Option<u32>,
        /// Which cue of the bout, from 1, the finish last.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        cue: Option<u32>,
        /// Zone or line.
        #[serde(default)]
        place: MissPlace,
    },
    /// An assessor saw the runner there at a cue at which another called a miss.
    Reached {
        /// The lane.
        lane: Lane,
        /// The bout.
        bout: u32,
        /// Which cue of the bout, from 1.
        cue: u32,
    },
    /// A miss was excused.
    Excused {
        /// The lane.
        lane: Lane,
        /// The miss.
        miss: Uuid,
        /// Why: interference, for one.
        why: String,
    },
    /// A runner left before the cue.
    EarlyStart {
        /// The lane.
        lane: Lane,
    },
    /// A runner turned before the line.
    ShortTurn {
        /// The lane.
        lane: Lane,
    },
    /// A runner ran to a wrong line or another lane's cone.
    CourseError {
        /// The lane.
        lane: Lane,
        /// First bout concerned.
        from_bout: u32,
        /// Last bout concerned.
        to_bout: u32,
    },
    /// A runner stopped.
    Stop {
        /// The lane.
        lane: Lane,
        /// Why.
        reason: StopReason,
    },
    /// What a runner completed, or why they stopped, was put right.
    Correction {
        /// The lane.
        lane: Lane,
        /// Bouts completed.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        completed: Option<u32>,
        /// Why they stopped.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        reason: Option<StopReason>,
    },
    /// An event was taken back.
    Undo {
        /// The event.
        event: Uuid,
    },
    /// The cues broke off.
    Interrupted {
        /// Why.
        why: String,
    },
    /// The wave went on, or ended, after an interruption.
    Resumed {
        /// The interruption.
        interruption: Uuid,
        /// How.
        how: ResumeChoice,
    },
    /// The lead settled a disagreement.
    Ruled {
        /// The decision.
        ruling: Ruling,
    },
    /// Something to remember.
    Note {
        /// The lane, if it is about one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        lane: Option<Lane>,
        /// The text; no health reasons.
        text: String,
    },
    /// Something that someone must look into.
    Incident {
        /// The lane, if it is about one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        lane: Option<Lane>,
        /// The text; no health reasons.
        text: String,
    },
    /// A reading was taken from a runner.
    Read {
        /// The lane.
        lane: Lane,
        /// What was read.
        what: ReadingKind,
        /// The value, in the unit of its kind.
        value: u32,
        /// Seconds since the runner's stop, as the device knew it.
        after_s: u32,
    },
    /// The lead closed the wave.
    Closed {},
    /// The lead opened a closed wave again.
    Reopened {
        /// Why.
        why: String,
    },
}

impl What {
    /// Returns the lane it is about, if it is about one.
    pub fn lane(&self) -> Option<Lane> {
        match self {
            Self::NotStarted { lane }
            | Self::Miss { lane, .. }
            | Self::Reached { lane, .. }
            | Self::Excused { lane, .. }
            | Self::EarlyStart { lane }
            | Self::ShortTurn { lane }
            | Self::CourseError { lane, .. }
            | Self::Stop { lane, .. }
            | Self::Correction { lane, .. }
            | Self::Read { lane, .. } => Some(*lane),
            Self::Note { lane, .. } | Self::Incident { lane, .. } => *lane,
            Self::Joined { runner } => Some(runner.lane),
            Self::Ruled { ruling } => Some(ruling.lane),
            _ => None,
        }
    }

    /// Returns whether only the lead may say it.
    pub fn is_the_leads(&self) -> bool {
        matches!(
            self,
            Self::Opened { .. }
                | Self::Resumed { .. }
                | Self::Ruled { .. }
                | Self::Closed {}
                | Self::Reopened { .. }
        )
    }

    /// Returns the word of its kind.
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Opened { .. } => "opened",
            Self::Anchored { .. } => "anchored",
            Self::Started { .. } => "started",
            Self::NotStarted { .. } => "not_started",
            Self::Joined { .. } => "joined",
            Self::Miss { .. } => "miss",
            Self::Reached { .. } => "reached",
            Self::Excused { .. } => "excused",
            Self::EarlyStart { .. } => "early_start",
            Self::ShortTurn { .. } => "short_turn",
            Self::CourseError { .. } => "course_error",
            Self::Stop { .. } => "stop",
            Self::Correction { .. } => "correction",
            Self::Undo { .. } => "undo",
            Self::Interrupted { .. } => "interrupted",
            Self::Resumed { .. } => "resumed",
            Self::Ruled { .. } => "ruled",
            Self::Note { .. } => "note",
            Self::Incident { .. } => "incident",
            Self::Read { .. } => "read",
            Self::Closed {} => "closed",
            Self::Reopened { .. } => "reopened",
        }
    }
}
