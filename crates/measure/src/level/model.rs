//! What is taken as known: how a level starts and drifts, and how each test shows it.
//! Scale and time unit are the caller's: usually ln of distance, and weeks.
//! Source of the form: docs/methods/level.md.

use crate::{MeasureError, check};

/// A quantity known with some error: mean and SD (0 or more; 0 stands for exactly known).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Normal {
    /// Mean.
    pub mean: f64,
    /// Standard deviation, 0 or more.
    pub sd: f64,
}

impl Normal {
    /// Nothing, exactly known.
    pub const ZERO: Self = Self::exactly(0.0);

    /// Returns a value that is exactly known.
    pub const fn exactly(mean: f64) -> Self {
        Self { mean, sd: 0.0 }
    }

    pub(super) fn checked(
        self,
        mean: &'static str,
        sd: &'static str,
    ) -> Result<Self, MeasureError> {
        check::finite(mean, self.mean)?;
        check::not_negative(sd, self.sd)?;
        Ok(self)
    }
}

/// What is known of the level before the first result.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Start {
    /// Nothing: every level is as likely as any other (flat prior of density 1).
    Diffuse,
    /// Drawn from a group with this mean and SD (above 0) on the date of the first result.
    From(Normal),
}

/// How a test shows the level x: offset + slope (x - pivot), with an error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Test {
    /// Outcome of somebody whose level is the pivot.
    pub offset: Normal,
    /// Outcome gained per unit of level; its mean is not 0.
    pub slope: Normal,
    /// Level at which the offset holds; choose it amid the data, where the two errors part.
    pub pivot: f64,
    /// Typical error of one trial on the scale of the outcome, above 0.
    pub error: f64,
}

impl Test {
    /// Returns the anchor test, whose outcome is the level itself, with its typical error.
    pub const fn anchor(error: f64) -> Self {
        Self {
            offset: Normal::ZERO,
            slope: Normal::exactly(1.0),
            pivot: 0.0,
            error,
        }
    }

    fn checked(&self) -> Result<(), MeasureError> {
        self.offset
            .checked("offset of a test", "SD of the offset of a test")?;
        let slope = self
            .slope
            .checked("slope of a test", "SD of the slope of a test")?;
        check::within(
            "slope of a test",
            slope.mean,
            slope.mean != 0.0,
            "any number but 0",
        )?;
        check::finite("pivot of a test", self.pivot)?;
        check::positive("typical error of a test", self.error)?;
        Ok(())
    }
}

/// What a first and a second trial add to the outcome; negative where people still learn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Learning {
    /// Added to the outcome of a first trial.
    pub first: Normal,
    /// Added to the outcome of a second trial.
    pub second: Normal,
}

impl Learning {
    /// No learning.
    pub const NONE: Self = Self {
        first: Normal::ZERO,
        second: Normal::ZERO,
    };
}

/// The model of a level and of the tests that show it; checked when made.
#[derive(Debug, Clone, PartialEq)]
pub struct Model {
    pub(super) start: Start,
    pub(super) drift: f64,
    pub(super) tests: Vec<Test>,
    pub(super) learning: Learning,
}

impl Model {
    /// Makes a model from the start, the variance a level gains per week (0 or more), the tests
    /// (at least one; observations name them by position) and the learning effect.
    pub fn new(
        start: Start,
        drift: f64,
        tests: Vec<Test>,
        learning: Learning,
    ) -> Result<Self, MeasureError> {
        if let Start::From(prior) = start {
            check::finite("mean level of the group", prior.mean)?;
            check::positive("SD of levels in the group", prior.sd)?;
        }
        check::not_negative("variance of the level per week", drift)?;
        if tests.is_empty() {
            return Err(MeasureError::TooFew {
                what: "tests of the model",
                found: 0,
                needed: 1,
            });
        }
        tests.iter().try_for_each(Test::checked)?;
        learning.first.checked(
            "learning of a first trial",
            "SD of the learning of a first trial",
        )?;
        learning.second.checked(
            "learning of a second trial",
            "SD of the learning of a second trial",
        )?;
        Ok(Self {
            start,
            drift,
            tests,
            learning,
        })
    }

    /// Returns what is known of the level before the first result.
    pub fn start(&self) -> Start {
        self.start
    }

    /// Returns the variance a level gains per week.
    pub fn drift(&self) -> f64 {
        self.drift
    }

    /// Returns the tests, in the order in which observations number them.
    pub fn tests(&self) -> &[Test] {
        &self.tests
    }

    /// Returns the learning effect.
    pub fn learning(&self) -> Learning {
        self.learning
    }

    pub(super) fn learning_of(&self, trial: Option<u32>) -> Normal {
        match trial {
            Some(1) => self.learning.first,
            Some(2) => self.learning.second,
            _ => Normal::ZERO,
        }
    }
}
