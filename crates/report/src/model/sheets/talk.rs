//! What is read, agreed or looked up before the run: rules, briefing, emergency plan.
//! Must not judge a number: each rule brings its confidence tag and source.

use serde::{Deserialize, Serialize};

use crate::model::{Cautions, Tag};

/// One rule of a test in a sentence.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct RuleLine {
    /// The rule.
    pub text: String,
    /// How it is known.
    pub tag: Tag,
    /// Source, e.g. "S02"; empty without one.
    pub source: String,
}

/// A setting used on the day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SettingLine {
    /// What is set, e.g. "miss limit".
    pub setting: String,
    /// To what, with its unit, e.g. "2, counted over the whole run".
    pub value: String,
}

/// The rules of one test definition as run on the day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct RuleCard {
    /// Name of the test.
    pub test_name: String,
    /// Id of the test definition.
    pub test_id: String,
    /// Fingerprint of the ladder; its first eight letters are printed.
    pub fingerprint: String,
    /// The rules, the most needed first.
    pub rules: Vec<RuleLine>,
    /// Settings used: miss limit, counting, zone, countdown, announcements.
    pub settings: Vec<SettingLine>,
    /// Where the sources of the rules are spelled out, one line each; may be empty.
    pub sources: Vec<String>,
}

/// What is read to the group.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Briefing {
    /// The script, one text a paragraph; about 220 words take 90 s.
    pub paragraphs: Vec<String>,
    /// Name of the easier version; empty when the test has none.
    pub easier: String,
    /// The cautions printed after the script.
    pub cautions: Cautions,
}

/// The emergency plan of the venue. An empty text becomes a line to write on.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct EmergencyPlan {
    /// Who leads.
    pub leads: String,
    /// Who calls.
    pub calls: String,
    /// Number to call.
    pub phone: String,
    /// Who fetches the defibrillator.
    pub fetches_aed: String,
    /// Where it hangs.
    pub aed_place: String,
    /// Walk to it, one way, s.
    pub aed_walk_s: Option<u16>,
    /// Who opens the gate.
    pub opens_gate: String,
    /// Who meets the ambulance, and where.
    pub meets_ambulance: String,
    /// Exact address.
    pub address: String,
    /// Grid reference or coordinates.
    pub grid: String,
    /// Nearest hospital.
    pub hospital: String,
    /// Anything else, one line each.
    pub notes: Vec<String>,
}
