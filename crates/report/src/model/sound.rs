//! What was heard in a day's recordings, as plain numbers and words.
//! Must not know how it was heard; evidence only, no result depends on it.

use serde::{Deserialize, Serialize};

use super::number_or_nan;

/// The sound checks of a day.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct SoundCertificate {
    /// What was heard in each recording, oldest check first.
    pub recordings: Vec<SoundRecording>,
    /// Checks whose document could not be read.
    pub unread: Vec<SoundUnread>,
}

/// A check whose document could not be read.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct SoundUnread {
    /// What the recording's file is called.
    pub file_name: String,
    /// Why, in words.
    pub why: String,
}

/// What was heard in one recording. Times are seconds from the beginning of the recording.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct SoundRecording {
    /// What the file is called.
    pub file_name: String,
    /// SHA-256 of the file, hexadecimal.
    pub file_sha256: String,
    /// What was recorded, in words, e.g. "check before the test".
    pub kind: String,
    /// Which test was heard, in words.
    pub heard: String,
    /// How that is not the test of the day, in words; empty when it is.
    pub deviation: String,
    /// Length of the recording, s.
    pub duration_s: Option<f64>,
    /// Cues confirmed.
    pub cues_confirmed: u32,
    /// Cues of the test between the first and the last confirmed.
    pub cues_expected: u32,
    /// Largest error of the interval from one confirmed cue to the next, ms, zero or more.
    pub worst_interval_ms: Option<f64>,
    /// Median distance of the cues from the line fitted, ms, zero or more.
    pub residual_ms: Option<f64>,
    /// Error of the playback speed, parts per million; negative when slow.
    pub speed_error_ppm: Option<f64>,
    /// Lower end of its 95 % interval.
    pub speed_low_ppm: Option<f64>,
    /// Upper end of its 95 % interval.
    pub speed_high_ppm: Option<f64>,
    /// Lowest level of a confirmed cue above the background, dB.
    pub worst_level_db: Option<f64>,
    /// Where playback broke, each in words.
    pub gaps: Vec<SoundSpan>,
    /// Where the recording is overdriven, each in words.
    pub overdriven: Vec<SoundSpan>,
    /// Damaged packets skipped.
    pub damaged: u64,
    /// What it means, in sentences.
    pub meaning: Vec<String>,
    /// The cues between the first and the last confirmed, in order.
    pub cues: Vec<SoundCue>,
}

/// A stretch of a recording.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct SoundSpan {
    /// Where it begins, s.
    #[serde(deserialize_with = "number_or_nan")]
    pub from_s: f64,
    /// Where it ends, s.
    #[serde(deserialize_with = "number_or_nan")]
    pub to_s: f64,
    /// What it is, in words.
    pub words: String,
}

/// One expected cue.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct SoundCue {
    /// Where it was expected, s.
    #[serde(deserialize_with = "number_or_nan")]
    pub at_s: f64,
    /// Heard minus expected, ms; nothing when it was not heard.
    pub error_ms: Option<f64>,
}
