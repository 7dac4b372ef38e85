//! What the results of earlier dates lead to expect of a later one, and the level on a date as one normal.
//! Must not look at the result it is to be compared with; the caller leaves that out. Formula: docs/methods/level.md.

use jiff::civil::Date;
use plimsoll_measure::level::{Normal, Start};

use super::{CONFIDENCE, NoLevel, SquadLevels};

impl SquadLevels {
    /// Returns the expected next result of a person on ln, with its SD; nothing without results of theirs.
    pub fn expect(&self, id: &str, on: Date) -> Option<Normal> {
        let read = self.series.get(id)?;
        let whole = self.ensemble.posterior(&read.series).ok()?;
        let outlook = whole
            .outlook(
                self.week(on),
                read.test,
                Some(read.trials + 1),
                Normal::ZERO,
            )
            .ok()?;
        Some(Normal {
            mean: outlook.mean,
            sd: outlook.sd,
        })
    }

    /// Returns the expected first result of somebody of this squad of whom nothing is known, on ln.
    pub fn newcomer(&self) -> Option<Normal> {
        let Start::From(group) = self.ensemble.most_probable().start() else {
            return None;
        };
        let first = self.ensemble.most_probable().learning().first;
        let error = self.ensemble.most_probable().tests().first()?.error;
        Some(Normal {
            mean: group.mean + first.mean,
            sd: (group.sd.powi(2) + first.sd.powi(2) + error.powi(2)).sqrt(),
        })
    }

    /// Returns the level of a person on a date on ln, from all results of theirs.
    ///
    /// # Errors
    ///
    /// [`NoLevel`] when the person has no usable result, or the number cannot be had.
    pub fn level_on(&self, id: &str, on: Date) -> Result<Normal, NoLevel> {
        let read = self.read(id)?;
        let level = self
            .ensemble
            .posterior(&read.series)
            .and_then(|whole| whole.level_at(self.week(on), CONFIDENCE))
            .map_err(|fault| NoLevel(fault.to_string()))?;
        Ok(Normal {
            mean: level.mean,
            sd: level.sd,
        })
    }
}
