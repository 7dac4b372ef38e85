//! The results a test can give, bout by bout, on its own scale: from a value to a place on the ladder.
//! Must not be used where results do not rise with each bout; it says so.

use plimsoll_interpret::data::TestScale;
use plimsoll_judge::Amount;
use plimsoll_ladder::Test;

use crate::history::comparable;
use crate::score::score;

/// One possible result.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Completed bouts.
    pub bouts: u32,
    /// The result in the unit of the test.
    pub value: f64,
    /// Its distance, m.
    pub distance_m: Option<f64>,
    /// Its label.
    pub label: String,
    /// Whether the next bout opens a stage.
    pub opens_next: bool,
}

/// All possible results of a test with a ladder, from one bout on; empty for other tests.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Steps {
    list: Vec<Step>,
}

impl Steps {
    /// Returns the steps of a test.
    pub fn of(test: &Test, scale: Option<&TestScale>) -> Self {
        let Some(ladder) = test.ladder() else {
            return Self::default();
        };
        let bouts = ladder.bouts();
        let list = bouts
            .iter()
            .zip(0..)
            .filter_map(|(bout, at): (_, usize)| {
                let score = score(test, Amount::Bouts(bout.number))?;
                Some(Step {
                    bouts: bout.number,
                    value: comparable(&score, scale)?.0,
                    distance_m: score.distance_m,
                    label: bout.label.clone(),
                    opens_next: bouts.get(at + 1).is_some_and(|n| n.stage != bout.stage),
                })
            })
            .collect();
        Self { list }
    }

    /// Returns the steps in order.
    pub fn list(&self) -> &[Step] {
        &self.list
    }

    /// Returns whether each bout is worth more than the one before.
    pub fn rise(&self) -> bool {
        self.list.len() > 1
            && self.list.windows(2).all(|two| two[1].value > two[0].value)
            && self.list.iter().all(|step| step.value > 0.0)
    }

    /// Returns the middle of what a step says on ln: between it and the next.
    pub fn middle(&self, at: usize) -> Option<f64> {
        let low = self.list.get(at)?.value.ln();
        let high = self.list.get(at + 1).map_or(low, |next| next.value.ln());
        Some(f64::midpoint(low, high.max(low)))
    }

    /// Returns how many bouts a value is worth, with decimals; the ends hold what is beyond.
    pub fn bouts_at(&self, value: f64) -> f64 {
        let n = self.list.partition_point(|step| step.value <= value);
        let (low, from) = match n.checked_sub(1).and_then(|i| self.list.get(i)) {
            Some(step) => (step.value, f64::from(step.bouts)),
            None => (0.0, 0.0),
        };
        match self.list.get(n) {
            Some(next) if next.value > low => from + (value.max(low) - low) / (next.value - low),
            _ => from,
        }
    }

    /// Returns the step with this label.
    pub fn by_label(&self, label: &str) -> Option<&Step> {
        self.list.iter().find(|step| step.label == label)
    }

    /// Returns the first step of at least this distance.
    pub fn reaching(&self, metres: f64) -> Option<&Step> {
        let far = |step: &&Step| step.distance_m.is_some_and(|m| m + 1e-6 >= metres);
        self.list.iter().find(far)
    }
}
