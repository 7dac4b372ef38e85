//! What named policies advise at a wet-bulb globe temperature. Data in `data/policies/`, each with source.
//! Must not block anything: a verdict is advice, and the lead decides with the medic.

use std::sync::OnceLock;

use serde::{Deserialize, Serialize};

/// What a policy makes of a maximal test.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Run.
    Run,
    /// Run, with what the text says.
    Care,
    /// The submaximal form, or later.
    Easier,
    /// No test.
    NoTest,
}

/// For whom advice is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Circumstances {
    /// Whether minors run.
    pub minors: bool,
    /// Whether the runners are used to the heat.
    pub acclimatised: bool,
    /// Whether every threshold is to count one band lower: recent heat illness, fever, new arrivals.
    pub lowered: bool,
}

/// One band of a policy.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Band {
    /// Upper edge, °C; nothing for the last.
    below_c: Option<f64>,
    /// Whether the edge itself belongs to this band.
    #[serde(default)]
    edge_within: bool,
    /// What it is called.
    name: String,
    /// For those who are not used to the heat, and for minors.
    text: String,
    /// For those who are.
    #[serde(default)]
    text_acclimatised: Option<String>,
    verdict: Verdict,
    #[serde(default)]
    verdict_acclimatised: Option<Verdict>,
}

/// A policy.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Policy {
    /// Its key.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Where it comes from.
    pub source: String,
    /// How it was seen.
    pub confidence: String,
    /// Whether minors count as not acclimatised.
    #[serde(default)]
    pub careful_with_minors: bool,
    /// Whether it is about minors only.
    #[serde(default)]
    pub minors_only: bool,
    band: Vec<Band>,
}

/// What a policy advises.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Advice {
    /// Key of the policy.
    pub policy: String,
    /// Its band.
    pub band: String,
    /// What it advises, in own words.
    pub text: String,
    /// Where it comes from.
    pub source: String,
    /// How it was seen.
    pub confidence: String,
    /// What it makes of a maximal test.
    pub verdict: Verdict,
}

const FILES: [&str; 5] = [
    include_str!("../data/policies/plimsoll_default.toml"),
    include_str!("../data/policies/acsm_2007.toml"),
    include_str!("../data/policies/japan.toml"),
    include_str!("../data/policies/aap_2000.toml"),
    include_str!("../data/policies/fifa.toml"),
];

/// Returns every policy, the program's own default first.
pub fn policies() -> &'static [Policy] {
    static POLICIES: OnceLock<Vec<Policy>> = OnceLock::new();
    POLICIES.get_or_init(|| {
        FILES
            .iter()
            .map(|text| toml::from_str(text).expect("shipped policies are valid; a test reads all"))
            .collect()
    })
}

/// Returns what each policy advises at a wet-bulb globe temperature in °C.
pub fn advice(wbgt_c: f64, who: &Circumstances) -> Vec<Advice> {
    policies()
        .iter()
        .filter(|policy| who.minors || !policy.minors_only)
        .filter_map(|policy| {
            let within = |band: &&Band| match band.below_c {
                None => true,
                Some(edge) if band.edge_within => wbgt_c <= edge,
                Some(edge) => wbgt_c < edge,
            };
            let at = policy.band.iter().position(|band| within(&band))?;
            // One band lower thresholds: the advice of the next hotter band.
            let at = if who.lowered {
                (at + 1).min(policy.band.len() - 1)
            } else {
                at
            };
            let band = &policy.band[at];
            let used = who.acclimatised && !(who.minors && policy.careful_with_minors);
            let text = band.text_acclimatised.as_ref().filter(|_| used);
            let verdict = band.verdict_acclimatised.filter(|_| used);
            Some(Advice {
                policy: policy.id.clone(),
                band: band.name.clone(),
                text: text.unwrap_or(&band.text).clone(),
                source: policy.source.clone(),
                confidence: policy.confidence.clone(),
                verdict: verdict.unwrap_or(band.verdict),
            })
        })
        .collect()
}
