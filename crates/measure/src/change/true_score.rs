//! Regression to the mean: the true score behind one score, and what a retest may show.
//! Needs the group's mean, SD and reliability; says nothing about training.
//! Formula: golden file true_change.json, entry true_score; interpretation notes item 9.

use crate::{Interval, MeasureError, check, dist};

/// What one score says about its owner, in the unit of the data.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrueScore {
    /// Estimated true score; also the expected retest.
    pub expected: f64,
    /// SD of the true score around the estimate: SD x root(r (1 - r)).
    pub sd_true: f64,
    /// SD of a retest around the estimate: SD x root(1 - r^2).
    pub sd_retest: f64,
    /// Error of one measurement: SD x root(1 - r).
    pub error: f64,
}

/// Returns the true score for a score in a group with mean, SD (above 0) and reliability (0..1).
pub fn true_score(
    score: f64,
    group_mean: f64,
    group_sd: f64,
    reliability: f64,
) -> Result<TrueScore, MeasureError> {
    let score = check::finite("score", score)?;
    let mean = check::finite("group mean", group_mean)?;
    let sd = check::positive("group SD", group_sd)?;
    let r = check::within(
        "reliability",
        reliability,
        (0.0..=1.0).contains(&reliability),
        "0 to 1",
    )?;
    Ok(TrueScore {
        expected: check::result("the true score", mean + r * (score - mean))?,
        sd_true: sd * (r * (1.0 - r)).sqrt(),
        sd_retest: sd * ((1.0 - r) * (1.0 + r)).sqrt(),
        error: sd * (1.0 - r).sqrt(),
    })
}

impl TrueScore {
    /// Returns the interval of the true score.
    pub fn interval_true(&self, level: f64) -> Result<Interval, MeasureError> {
        self.around(self.sd_true, level)
    }

    /// Returns the interval in which a retest is expected.
    pub fn interval_retest(&self, level: f64) -> Result<Interval, MeasureError> {
        self.around(self.sd_retest, level)
    }

    fn around(&self, sd: f64, level: f64) -> Result<Interval, MeasureError> {
        let half = dist::two_sided(level, None)? * sd;
        let lower = check::result("the interval of the score", self.expected - half)?;
        let upper = check::result("the interval of the score", self.expected + half)?;
        Ok(Interval {
            lower,
            upper,
            level,
        })
    }
}
