//! The rules of a wave that differ between sources: settings, stored with every outcome.
//! Facts come from the test definition; a lead may change them, and the change is then on record.

use plimsoll_ladder::Test;
use serde::{Deserialize, Serialize};

/// How misses add up to the end of a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MissCounting {
    /// Every miss counts until the end.
    Cumulative,
    /// Only misses at cues that follow one another count; reaching the line clears them.
    Consecutive,
}

/// Which stage a result names: the announced one or the last completed one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ScoredStage {
    /// The stage being run when the runner stopped.
    Announced,
    /// The last stage completed.
    Completed,
}

/// The rules in force in a wave.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Settings {
    /// Misses that end a run, 1 or more; 0 where the test has no miss rule.
    pub miss_limit: u32,
    /// How they add up.
    pub counting: MissCounting,
    /// Depth of the zone in which a runner counts as there, mm; 0 for the line itself.
    pub zone_mm: u32,
    /// Infractions at the line itself, in all, that end a run where a zone is judged too; 0 for none.
    pub line_limit: u32,
    /// Whether the bout that was not completed counts.
    pub last_incomplete_counts: bool,
    /// Which stage a result names.
    pub scored_stage: ScoredStage,
}

impl Settings {
    /// Returns the rules as the definition has them.
    ///
    /// A rule the definition leaves out is read as the milder one: no miss rule, cumulative, at the
    /// line, completed bouts only. Common practice, no source.
    pub fn of(test: &Test) -> Self {
        let definition = test.definition();
        let rules = &definition.rules;
        let is = |value: &Option<plimsoll_ladder::Sourced<String>>, word: &str| {
            value.as_ref().is_some_and(|v| v.value == word)
        };
        Self {
            miss_limit: rules.miss_limit.as_ref().map_or(0, |v| v.value),
            counting: if is(&rules.miss_counting, "consecutive") {
                MissCounting::Consecutive
            } else {
                MissCounting::Cumulative
            },
            zone_mm: definition
                .course
                .zone
                .as_ref()
                .and_then(|v| u32::try_from(v.value.as_mm()).ok())
                .unwrap_or(0),
            line_limit: 0,
            last_incomplete_counts: rules
                .last_incomplete_counts
                .as_ref()
                .is_some_and(|v| v.value),
            scored_stage: if is(&rules.scored_stage, "announced") {
                ScoredStage::Announced
            } else {
                ScoredStage::Completed
            },
        }
    }

    /// Returns the miss rule as a sentence for a card.
    pub fn in_words(&self) -> String {
        let place = if self.zone_mm > 0 {
            format!(
                "not in the {} m zone at the cue",
                f64::from(self.zone_mm) / 1000.0
            )
        } else {
            "not at the line at the cue".to_owned()
        };
        let ending = match (self.miss_limit, self.counting) {
            (0, _) => "the definition gives no number of misses that ends a run".to_owned(),
            (1, _) => "the first miss ends the run".to_owned(),
            (n, MissCounting::Cumulative) => {
                format!(
                    "{} warning, then stop: miss {n} ends the run, whenever it comes",
                    n - 1
                )
            }
            (n, MissCounting::Consecutive) => {
                format!("{n} misses in a row end the run; reaching the line clears them")
            }
        };
        let line = if self.line_limit > 0 {
            format!(
                "; {} infractions at the line in all end it too",
                self.line_limit
            )
        } else {
            String::new()
        };
        format!("A miss: {place}. {ending}{line}.")
    }
}
