//! The cautions that stand on the coach page and, in short, under every page.
//! Must not be softened per athlete. Own words; the organisation's clinician may replace them.

use serde::{Deserialize, Serialize};

/// Safety text. [`Cautions::default`] is the project's own; an organisation may pass another.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Cautions {
    /// One or two sentences for the foot of every page.
    pub short: String,
    /// Pairs of a heading and a paragraph, in the order in which they are printed.
    pub full: Vec<(String, String)>,
    /// How the figures in the text are known; printed under it. Empty for none.
    #[serde(default)]
    pub origin: String,
}

impl Default for Cautions {
    fn default() -> Self {
        let pair = |head: &str, text: &str| (head.to_owned(), text.to_owned());
        Self {
            short: "A test to exhaustion: illness, injury, a lay-off or dangerous heat rule it \
                    out. Medical staff and local rules have the last word."
                .to_owned(),
            full: vec![
                pair(
                    "Fit to start?",
                    "The pace rises until the runner gives up, so everyone who starts ends at \
                     their limit. A fever, an infection below the throat, chest pain, a recent \
                     faint, an injury that alters the stride, or advice not to run: sit this one \
                     out. Asthma, diabetes, a heart condition of one's own or in the family, an \
                     earlier heat illness, a recent blow to the head: a quiet word with the lead \
                     first. A gentler form is open to anyone, and the reason stays private.",
                ),
                pair(
                    "While running",
                    "Chest pain, light-headedness, breathing that feels wrong, sudden weakness, \
                     a sharp pain, feeling sick: stop and tell an adult. Anyone may stop and any \
                     assessor may stop anyone; no one pays for it later.",
                ),
                pair(
                    "Afterwards",
                    "Walk for five minutes, then drink and find shade or warmth. Fainting, \
                     confusion, vomiting, chest pain, dark urine or swollen muscles in the hours \
                     that follow call for medical help without delay.",
                ),
                pair(
                    "For the lead",
                    "These pages stand beside medical clearance, supervision, a rehearsed \
                     emergency plan, a defibrillator within three minutes and a trained \
                     responder; they stand in for none of them. Lightning, dangerous heat or \
                     air, a bad surface, the first days after a break, or a punishment are no \
                     occasions for a maximal test: choose the submaximal form or another day.",
                ),
                pair(
                    "Using the numbers",
                    "Chance alone can part two tests of one person by about ten bouts. A single \
                     result is no ground to select, exclude, diagnose or clear anybody.",
                ),
            ],
            origin: "Own wording, for the organisation's clinician to review. Signs and the five \
                     minutes: common practice, no source. Three minutes to a defibrillator: \
                     secondary source read. Ten bouts: derived, the 95 % detectable change at a \
                     typical error of 7.3 % near 2000 m."
                .to_owned(),
        }
    }
}
