//! The scores that the next test may give, each with its chance.
//! Must sum to 1 with those left out for being unlikely.

use plimsoll_interpret::data::TestScale;
use plimsoll_judge::Amount;
use plimsoll_ladder::Test;
use plimsoll_measure::MeasureError;
use plimsoll_measure::level::Outlook;
use serde::Serialize;

use crate::history::comparable;
use crate::score::score;

/// Scores less likely than this are left out.
const UNLIKELY: f64 = 0.0005;

/// A score and its chance.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ScoreChance {
    /// Label of the last completed bout; nothing before the first.
    pub label: Option<String>,
    /// Completed bouts: the first of those that give this value.
    pub bouts: u32,
    /// The score in the unit of the test.
    pub value: f64,
    /// Its chance.
    pub chance: f64,
}

/// The scores that a ladder can give, each with ln of its value; 0 bouts left out.
#[derive(Debug, Clone, Default)]
pub struct Steps {
    steps: Vec<(Option<String>, u32, f64)>,
}

impl Steps {
    /// Returns the steps of a paced test; none of any other.
    pub fn of(test: &Test, scale: Option<&TestScale>) -> Self {
        let last = test.ladder().map_or(0, |ladder| ladder.bouts().len());
        let mut steps: Vec<(Option<String>, u32, f64)> = Vec::new();
        for bouts in 1..=u32::try_from(last).unwrap_or(0) {
            let Some(at) = score(test, Amount::Bouts(bouts)) else {
                continue;
            };
            let Some((value, _)) = comparable(&at, scale) else {
                continue;
            };
            if value > steps.last().map_or(0.0, |step| step.2) {
                steps.push((at.label, bouts, value));
            }
        }
        Self { steps }
    }

    /// Returns the chance of each score, from the first to the last.
    pub fn chances(&self, outlook: &Outlook) -> Result<Vec<ScoreChance>, MeasureError> {
        if self.steps.is_empty() {
            return Ok(Vec::new());
        }
        let edges: Vec<f64> = self.steps.iter().map(|step| step.2.ln()).collect();
        let chances = outlook.bouts(&edges)?;
        let nothing = (None, 0, 0.0);
        let all = std::iter::once(&nothing).chain(&self.steps).zip(chances);
        Ok(all
            .filter(|(_, chance)| *chance >= UNLIKELY)
            .map(|((label, bouts, value), chance)| ScoreChance {
                label: label.clone(),
                bouts: *bouts,
                value: *value,
                chance,
            })
            .collect())
    }
}
