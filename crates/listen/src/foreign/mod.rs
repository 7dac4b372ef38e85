//! Which ladder was played, from nothing but the times at which something sounded.
//! Never names one ladder when the data fit several. The model's numbers are ours ("derived"
//! from the tests in `tests/it/foreign.rs`), not from the literature.

mod candidate;
mod evidence;
mod recognise;

pub use candidate::{Candidate, candidates};
pub use recognise::{Recogniser, recognise};

/// What the recogniser may assume.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Options {
    /// Largest |rate - 1|, above 0 and at most 0.2.
    pub max_rate_error: f64,
    /// Fewest matched cues that make a recognition.
    pub least_matched: usize,
    /// Least part of the expected cues, from the first to the last matched one, that must be
    /// heard, 0 to 1.
    pub least_heard: f64,
    /// Least log evidence against "something else", natural logarithm.
    pub least_evidence: f64,
    /// Ladders whose posterior odds are within this natural logarithm of the best are not told
    /// apart.
    pub tell_apart: f64,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            max_rate_error: 0.05,
            least_matched: 7,
            least_heard: 0.5,
            least_evidence: 10.0,
            tell_apart: 7.0,
        }
    }
}

/// What was played.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Verdict {
    /// One ladder, and no other fits.
    Recognised {
        /// Its id.
        id: String,
    },
    /// Ladders that the heard stretch cannot tell apart, the likeliest first.
    Shared {
        /// Their ids.
        ids: Vec<String>,
    },
    /// None of them.
    NotRecognised,
}

/// The answer of the recogniser. Without a recognition the numbers are those of the best
/// attempt, or zero.
#[derive(Debug, Clone, PartialEq)]
pub struct Recognition {
    /// What was played.
    pub verdict: Verdict,
    /// Probability of each ladder that explains anything, largest first; together with
    /// [`Self::none`] they make 1.
    pub posterior: Vec<(String, f64)>,
    /// Probability that it was none of them.
    pub none: f64,
    /// Speed of the playback less the true one, parts per million; negative when slow.
    pub speed_error_ppm: f64,
    /// 95 % interval of the speed error.
    pub speed_interval_ppm: (f64, f64),
    /// Heard time of the first start of the ladder, seconds; negative when the recording began
    /// later.
    pub offset_s: f64,
    /// Id of the ladder that the offset belongs to: the best one, or the first of the shared
    /// ones that have its instants. Another shared ladder may have begun at another time.
    pub offset_of: String,
    /// Whether the same ladder fits as well from another start.
    pub offset_ambiguous: bool,
    /// Cues heard.
    pub matched: usize,
    /// Cues that the ladder has from the first to the last heard one.
    pub expected: usize,
    /// Onsets that are no cue of the ladder.
    pub false_onsets: usize,
    /// Robust spread of the heard cues about the line, milliseconds.
    pub residual_ms: f64,
}
