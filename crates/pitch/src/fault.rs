//! A number that cannot be used: which, what was found, what is allowed.

/// A number and its range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// What it is.
    pub what: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// Lowest allowed.
    pub low: f64,
    /// Highest allowed.
    pub high: f64,
}

impl Range {
    /// Returns the number if it is in range.
    ///
    /// # Errors
    ///
    /// [`PitchFault::Value`].
    pub fn check(&self, found: f64) -> Result<f64, PitchFault> {
        if found.is_finite() && (self.low..=self.high).contains(&found) {
            return Ok(found);
        }
        Err(PitchFault::Value {
            what: self.what,
            found,
            low: self.low,
            high: self.high,
            unit: self.unit,
        })
    }
}

/// Why nothing was computed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PitchFault {
    /// A number is out of range.
    #[error("{what} is {found}; allowed is {low} to {high} {unit}")]
    Value {
        /// What it is.
        what: &'static str,
        /// What was found.
        found: f64,
        /// Lowest allowed.
        low: f64,
        /// Highest allowed.
        high: f64,
        /// Its unit.
        unit: &'static str,
    },
    /// The balance of a thermometer has no solution in range.
    #[error(
        "the heat balance of the {which} has no solution between {low} and {high} °C; look at the \
         readings again"
    )]
    NoBalance {
        /// Which thermometer.
        which: &'static str,
        /// Where the search began, °C.
        low: f64,
        /// Where it ended, °C.
        high: f64,
    },
}
