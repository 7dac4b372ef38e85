//! The results of one person: when, on which test, in which form, under which conditions.
//! Order is by date; results of the same date may come in any order.
//! Time is in weeks from any origin of the caller.

use super::model::Normal;
use crate::{MeasureError, check};

/// What a result says about the outcome.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Outcome {
    /// The outcome itself.
    Exact(f64),
    /// It lies from `lower` up to, not including, `upper`: n whole bouts mean n up to n + 1.
    Between {
        /// Lower end, included.
        lower: f64,
        /// Upper end, above the lower.
        upper: f64,
    },
    /// It is this or more: stopped by injury, or at the end of the ladder.
    AtLeast(f64),
    /// It is below this.
    AtMost(f64),
}

/// A condition of the day: its value times a coefficient is added to the outcome.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effect {
    /// Value of the condition; 0 where it was absent.
    pub value: f64,
    /// Effect of one unit of it on the outcome, with the SD between occasions and studies.
    pub coefficient: Normal,
}

/// Returns what all conditions of one result add to its outcome, errors taken as independent.
pub fn conditions(effects: &[Effect]) -> Result<Normal, MeasureError> {
    let (mut mean, mut variance) = (0.0, 0.0);
    for effect in effects {
        let value = check::finite("value of a condition", effect.value)?;
        let coefficient = effect.coefficient.checked(
            "coefficient of a condition",
            "SD of the coefficient of a condition",
        )?;
        mean += value * coefficient.mean;
        variance += (value * coefficient.sd).powi(2);
    }
    let mean = check::result("the effect of the conditions", mean)?;
    let sd = check::result("the effect of the conditions", variance)?.sqrt();
    Ok(Normal { mean, sd })
}

/// One result.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Observation {
    /// Date, in weeks.
    pub week: f64,
    /// Position of the test in the model, from 0.
    pub test: usize,
    /// Number of the trial on this test in this person's life, from 1, where known.
    pub trial: Option<u32>,
    /// What conditions add to the outcome (see [`conditions`]).
    pub conditions: Normal,
    /// What was seen.
    pub outcome: Outcome,
}

impl Observation {
    /// Returns a plain result without trial number and conditions.
    pub const fn plain(week: f64, test: usize, outcome: Outcome) -> Self {
        Self {
            week,
            test,
            trial: None,
            conditions: Normal::ZERO,
            outcome,
        }
    }

    pub(super) fn checked(&self) -> Result<(), MeasureError> {
        check::finite("week of a result", self.week)?;
        self.conditions.checked(
            "effect of the conditions",
            "SD of the effect of the conditions",
        )?;
        match self.outcome {
            Outcome::Exact(value) | Outcome::AtLeast(value) | Outcome::AtMost(value) => {
                check::finite("outcome of a result", value)?;
            }
            Outcome::Between { lower, upper } => {
                check::finite("lower end of a result", lower)?;
                check::within(
                    "upper end of a result",
                    upper,
                    upper > lower,
                    "any number above the lower end",
                )?;
            }
        }
        if self.trial == Some(0) {
            return Err(MeasureError::OutOfRange {
                what: "number of a trial",
                found: 0.0,
                allowed: "1 or more, or none where it is not known",
            });
        }
        Ok(())
    }
}

/// The results of one person, in order of date; checked when made.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    observations: Vec<Observation>,
}

impl Series {
    /// Makes a series from one or more results in any order.
    pub fn new(mut observations: Vec<Observation>) -> Result<Self, MeasureError> {
        if observations.is_empty() {
            return Err(MeasureError::TooFew {
                what: "results of one person",
                found: 0,
                needed: 1,
            });
        }
        observations.iter().try_for_each(Observation::checked)?;
        observations.sort_by(|a, b| a.week.total_cmp(&b.week));
        Ok(Self { observations })
    }

    /// Returns the results, in order of date.
    pub fn observations(&self) -> &[Observation] {
        &self.observations
    }

    /// Returns the week of the first result.
    pub fn first_week(&self) -> f64 {
        self.observations[0].week
    }
}
