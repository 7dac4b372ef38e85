//! What happened in a wave and what it was worth: events, rules, the fold, outcomes.
//! Pure: no clock, no I/O. The state is a function of the set of events, whatever their order.

mod event;
mod fold;
mod outcome;
mod reason;
mod settings;

pub use event::{
    DeviceId, Event, EventFault, Lane, LanePlan, MissPlace, Opening, PlannedAssessor, ReadingKind,
    ResumeChoice, Role, Ruling, Side, VERSION, What,
};
pub use fold::{
    Anchor, AssessorCall, Completed, Conflict, ConflictKind, CueIndex, Fold, Interruption,
    JudgedCue, LaneResult, LaneState, LaneStatus, MissMark, MissStanding, ReadBack, Reading,
    Settlement, StopMark, Warning, WaveNote, WaveState,
};
pub use outcome::{Amount, Censoring, Outcome};
pub use reason::{StopReason, UnknownReason};
pub use settings::{MissCounting, ScoredStage, Settings};
