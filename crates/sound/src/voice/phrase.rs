//! What can be said, and what comes out.

use std::sync::Arc;

/// Something to say between the cues. Labels are text such as "14", "0" or "17.5".
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Phrase {
    /// A bout within a stage: "stage 14, bout 3".
    StageBout {
        /// Label of the stage.
        stage: String,
        /// Label of the bout.
        bout: String,
        /// Whether the stage begins with this bout: then the shortest form is the stage, otherwise the bout.
        new_stage: bool,
    },
    /// A stage that is not divided: "stage 14".
    Stage {
        /// Label of the stage.
        stage: String,
    },
    /// A number alone, 0 to 60: the countdown.
    Number(u32),
    /// "The test starts in 30 seconds": 1 to 60, 90 or 120.
    StartsIn {
        /// Seconds until the start.
        seconds: u32,
    },
    /// The rest begins.
    Rest,
    /// Get ready.
    Ready,
    /// Everybody, or the runner named, stops at once.
    StopNow,
    /// The test is over.
    TestEnds,
    /// The warm-up begins.
    WarmUp,
}

/// How much of a phrase was said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Form {
    /// Only the part that changes: the number of the bout, of a new stage, or of the seconds.
    Shortest,
    /// The labels without their nouns: "14, 3"; "30 seconds".
    Short,
    /// The whole phrase.
    Full,
}

/// A phrase as sound.
#[derive(Debug, Clone, PartialEq)]
pub struct Utterance {
    /// Mono samples at the rate asked for, within -1 to 1, beginning and ending at silence.
    pub samples: Arc<[f32]>,
    /// How much of the phrase was said.
    pub form: Form,
    /// The words said, in the language of the voice.
    pub text: String,
}
