//! Letters of the stop reasons, and when anybody at the line stops a run.
//! Must not name a diagnosis: signs that can be seen or are said, nothing else.
//! Own wording; signs are common practice without a source, see `origin`.

use serde::{Deserialize, Serialize};

/// A letter to circle and what it means.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct StopLetter {
    /// The letter, e.g. "E".
    pub letter: String,
    /// Its meaning in a few words.
    pub meaning: String,
}

impl StopLetter {
    /// Returns the usual reasons. Common practice, no source.
    pub fn usual() -> Vec<Self> {
        [
            ("E", "exhausted, chose to stop"),
            ("M", "misses"),
            ("L", "ladder ran out"),
            ("I", "injury"),
            ("H", "taken out for health"),
            ("O", "outside cause: sound, collision, shoe, course"),
            ("S", "sent off"),
            ("W", "wished to withdraw"),
        ]
        .map(|(letter, meaning)| Self {
            letter: letter.to_owned(),
            meaning: meaning.to_owned(),
        })
        .to_vec()
    }
}

/// When to stop a runner or everybody.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct StopCriteria {
    /// Signs after which one runner is stopped.
    pub runner: Vec<String>,
    /// Events after which the whole test is stopped.
    pub everybody: Vec<String>,
    /// What to do when somebody collapses.
    pub collapse: String,
    /// What to do for heat stroke.
    pub heat: String,
    /// How the texts are known; printed under them.
    pub origin: String,
}

impl Default for StopCriteria {
    fn default() -> Self {
        let list = |lines: &[&str]| lines.iter().map(|l| (*l).to_owned()).collect();
        Self {
            runner: list(&[
                "pain or pressure in the chest",
                "faint, grey, confused or unsteady on the feet",
                "breathing that is out of proportion, whistles or does not settle",
                "cramp together with weakness",
                "hot and shivering, goose-flesh, no longer sweating, talking oddly",
                "sharp pain, a changed stride, a joint that gives way",
                "a collision with a blow to the head",
                "vomiting",
                "the runner asks to stop",
                "you are not sure",
            ]),
            everybody: list(&[
                "the sound fails",
                "lightning or thunder",
                "the surface has become unsafe",
                "the medic is busy with somebody",
                "a second person goes down",
            ]),
            collapse: "Down while running and no normal answer or breath: treat it as the heart \
                       until proved otherwise, also with jerks or gasps. Call, press the chest \
                       without a pause, fetch the defibrillator."
                .to_owned(),
            heat: "Hot and confused, odd or collapsed: cool first, transport second. Cold water \
                   up to the neck; without a tub, wet towels, ice and moving air."
                .to_owned(),
            origin: "Own wording, for the organisation's clinician to review. Signs: common \
                     practice, no source. Collapse and three minutes to the shock: secondary \
                     source read. Cooling before transport: secondary source read."
                .to_owned(),
        }
    }
}
