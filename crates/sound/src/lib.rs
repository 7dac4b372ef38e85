//! Cue tracks out of a timeline: what sounds when, with which voice, into which file.
//! Pure: no clock, no environment, no printing. The caller opens files.

mod code;
pub mod file;
mod plan;
mod render;
mod sounds;
pub mod travel;
pub mod voice;

pub use code::{
    CodeKind, EDGE_MS, FIRST_HZ, Hearing, Payload, SPACING_HZ, SYMBOL_MS, SYMBOLS, TONES, Toner,
    Word, frequency,
};
pub use plan::{
    CLEAR_MS, CODE_GAP_MS, CODE_LEVEL, Loudness, Plan, PlanError, RECOVERY_END_S, Script, Spoken,
    TimelineCue, TrackCue, TrackOptions, Until, coded_cues, sample_at,
};
pub use render::{Levels, Sink, measure, render};
pub use sounds::Sound;
