//! How the level has changed since each earlier date, and how likely each change is.

use plimsoll_measure::MeasureError;
use plimsoll_measure::level::AveragedChange;

use super::person::LevelPoint;
use super::{LevelChange, NoLevel, SquadLevels};

/// Points of the curve, and how far it goes to either side, standard deviations.
const POINTS: usize = 81;
const REACH: f64 = 3.6;
/// Width over which a chance is spread for the curve, standard deviations: no less than the grid of levels.
const SPREAD: f64 = 0.5;

/// Changes since each earlier date.
#[derive(Debug, Clone, PartialEq)]
pub struct SinceEach {
    /// The level on the last date with a result.
    pub now: LevelPoint,
    /// Since each earlier date, oldest first.
    pub changes: Vec<LevelChange>,
    /// The change since the last date but one and its density; empty without one.
    pub curve: Vec<(f64, f64)>,
    /// The changes that are too small to matter, from and to, at the level of the last date but one.
    pub zone: (f64, f64),
}

impl SquadLevels {
    /// Returns the levels judged by another smallest worthwhile change, as a share above 0; others change nothing.
    #[must_use]
    pub fn judged_by(mut self, share: f64) -> Self {
        if share.is_finite() && share > 0.0 {
            self.worthwhile = share.ln_1p();
        }
        self
    }

    /// Returns a person's changes from each earlier date to the last.
    ///
    /// # Errors
    ///
    /// [`NoLevel`] when the person has no usable result, or a number cannot be had.
    pub fn since_each(&self, id: &str) -> Result<SinceEach, NoLevel> {
        let fault = |e: MeasureError| NoLevel(e.to_string());
        let read = self.read(id)?;
        let whole = self.ensemble.posterior(&read.series).map_err(fault)?;
        let mut dates: Vec<_> = read.seen.iter().map(|(date, _, _)| *date).collect();
        dates.sort();
        dates.dedup();
        let Some(last) = dates.pop() else {
            return Err(NoLevel("no result".to_owned()));
        };
        let now = self.point(&whole, read, last, last)?;
        let changes = dates
            .iter()
            .map(|&date| self.change_between(&whole, date, last))
            .collect::<Result<Vec<_>, _>>()?;
        let (mut curve, mut from) = (Vec::new(), now.level);
        if let Some(&before) = dates.last() {
            from = self.point(&whole, read, before, last)?.level;
            let change = whole
                .change(self.week(before), self.week(last))
                .map_err(fault)?;
            curve = density(&change, from).map_err(fault)?;
        }
        let up = self.worthwhile();
        Ok(SinceEach {
            now,
            changes,
            curve,
            zone: (-from * up / (1.0 + up), from * up),
        })
    }
}

fn density(change: &AveragedChange, from: f64) -> Result<Vec<(f64, f64)>, MeasureError> {
    if change.sd <= 0.0 {
        return Ok(Vec::new());
    }
    let below = |x: f64| -> Result<f64, MeasureError> {
        Ok(if x >= 0.0 {
            1.0 - change.chance(x)?.up
        } else {
            change.chance(-x)?.down
        })
    };
    let half = 0.5 * SPREAD * change.sd;
    (0..POINTS)
        .map(|i| {
            let share = 2.0 * i as f64 / (POINTS as f64 - 1.0) - 1.0;
            let x = change.mean + REACH * change.sd * share;
            let mass = below(x + half)? - below(x - half)?;
            let width = from * ((x + half).exp_m1() - (x - half).exp_m1());
            Ok((from * x.exp_m1(), (mass / width).max(0.0)))
        })
        .collect()
}
