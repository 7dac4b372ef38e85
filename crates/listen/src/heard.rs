//! What was heard in a recording, as a document that can be kept beside a test day.
//! Times are seconds from the beginning of the recording unless they say otherwise.

use serde::{Deserialize, Serialize};

/// What a recording turned out to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// A track of ours, known by its tone codes.
    Own,
    /// Another track, known by when its cues sound.
    Foreign,
    /// Another track; several ladders sound the same on what was heard.
    Shared,
    /// No known track.
    NotRecognised,
}

/// Everything heard in one recording.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Heard {
    /// Version of this document: 1.
    pub format: u32,
    /// What it turned out to be.
    pub kind: Kind,
    /// Id of the test; nothing when not recognised or shared.
    pub test: Option<String>,
    /// Ids of the tests that sound the same on what was heard.
    pub shared: Vec<String>,
    /// Script of announcements the track was made with; known for tracks of ours only.
    pub script: Option<String>,
    /// Length of the recording, s.
    pub duration_s: f64,
    /// Sampling rate of the recording, Hz.
    pub rate: u32,
    /// Coding of the recording.
    pub codec: String,
    /// Where the first start of the test is in the recording, s; negative when before it.
    pub offset_s: Option<f64>,
    /// Error of the playback speed, parts per million; negative when slow. The recorder's clock is
    /// taken as true.
    pub speed_error_ppm: Option<f64>,
    /// Its 95 % interval.
    pub speed_interval_ppm: Option<(f64, f64)>,
    /// Cues confirmed.
    pub cues_heard: usize,
    /// Cues of the test between the first and the last confirmed.
    pub cues_expected: usize,
    /// Where playback paused, jumped or began again.
    pub gaps: Vec<Gap>,
    /// Median distance of the cues from the line fitted, ms.
    pub residual_ms: Option<f64>,
    /// Largest error of the interval from one confirmed cue to the next, ms, pauses left out.
    pub worst_interval_ms: Option<f64>,
    /// Lowest level of a confirmed cue above the background, dB.
    pub worst_level_db: Option<f64>,
    /// The speed stretch by stretch, where a stretch is long enough to have one.
    #[serde(default)]
    pub speeds: Vec<SpeedPiece>,
    /// Every expected cue.
    pub cues: Vec<HeardCue>,
    /// How likely each ladder is, likeliest first; they and "none" sum to 1.
    pub posterior: Vec<(String, f64)>,
    /// Where the recording is overdriven: from, to, s.
    pub overdriven: Vec<(f64, f64)>,
    /// Damaged packets skipped.
    pub damaged: u64,
    /// What it means, in sentences.
    pub meaning: Vec<String>,
}

/// What happened to playback at a gap.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum GapKind {
    /// Playback stood still and went on where it was.
    Pause,
    /// A part of the track was left out.
    Jump,
    /// A part of the track was played again.
    Restart,
    /// Playback went on, but cues were not heard.
    Silent,
}

/// A place where playback was not as it should be.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Gap {
    /// Where in the recording, s.
    pub at_s: f64,
    /// Between which instants it lies, s: nothing sounds from one to the other.
    #[serde(default)]
    pub between_s: (f64, f64),
    /// How long nothing was played, s; for a jump how much of the track is missing, for a restart
    /// how much was played again.
    pub length_s: f64,
    /// What happened.
    pub kind: GapKind,
    /// First bout concerned.
    pub from_bout: u32,
    /// Last bout concerned.
    pub to_bout: u32,
}

/// One expected cue.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HeardCue {
    /// Number of the bout.
    pub bout: u32,
    /// Label of the bout.
    pub label: String,
    /// `start`, `turn`, `line`, `finish`, `stage` or `stop`.
    pub kind: String,
    /// When it sounds on the timeline of the test, s from the first start.
    pub timeline_s: f64,
    /// Where it was expected in the recording, s.
    pub expected_s: f64,
    /// Where it was heard; nothing when it was not.
    pub heard_s: Option<f64>,
    /// Heard minus expected, ms.
    pub error_ms: Option<f64>,
    /// Level above the background just before it, dB.
    pub level_db: Option<f64>,
    /// Whether its tone code was read.
    pub code_read: bool,
    /// Whether the recording is overdriven there.
    pub overdriven: bool,
}

/// A stretch played at one speed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SpeedPiece {
    /// First bout.
    pub from_bout: u32,
    /// Last bout.
    pub to_bout: u32,
    /// Error of the speed, parts per million; negative when slow.
    pub error_ppm: f64,
    /// Its standard error, parts per million.
    pub standard_error_ppm: f64,
    /// Bouts that the error is worth to everyone at the end of the stretch; positive when scores
    /// come out too high.
    pub worth_bouts: Option<f64>,
}
