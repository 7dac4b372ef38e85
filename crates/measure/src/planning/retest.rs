//! When a steady gain passes the detectable change of two tests, and with what chance it is seen.
//! One test then, one later; `level::detectable` plans a series of tests.
//! Formulas: interpretation of a change, MDC = z TE root(2 / trials); docs/methods/planning.md.

use crate::{MeasureError, check, dist};

/// More weeks than any plan.
const MOST_WEEKS: f64 = 520.0;

/// What is planned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RetestPlan {
    /// Typical error of one trial, above 0.
    pub typical_error: f64,
    /// True gain per week in the same unit, above 0.
    pub weekly_gain: f64,
    /// Trials averaged on each of the two occasions, 1 or more.
    pub trials: u64,
    /// Confidence level of the detectable change, such as 0.95, two-sided.
    pub level: f64,
    /// Wanted chance that the gain is then seen, such as 0.80.
    pub chance: f64,
}

/// When to test again.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Retest {
    /// Detectable change, in the unit of the error.
    pub detectable: f64,
    /// Weeks until the gain equals the detectable change: seen with a chance of one half.
    pub weeks_even: f64,
    /// Weeks until it is seen with the wanted chance.
    pub weeks_likely: f64,
}

impl RetestPlan {
    fn noise(&self) -> Result<f64, MeasureError> {
        let error = check::positive("typical error", self.typical_error)?;
        if self.trials == 0 {
            return Err(MeasureError::TooFew {
                what: "trials on each occasion",
                found: 0,
                needed: 1,
            });
        }
        check::result(
            "the detectable change",
            error * (2.0 / self.trials as f64).sqrt(),
        )
    }

    fn detectable(&self) -> Result<f64, MeasureError> {
        let change = self.noise()? * dist::two_sided(self.level, None)?;
        check::result("the detectable change", change)
    }
}

/// Returns when a steady gain shows.
pub fn retest(plan: &RetestPlan) -> Result<Retest, MeasureError> {
    let gain = check::positive("gain per week", plan.weekly_gain)?;
    let (noise, detectable) = (plan.noise()?, plan.detectable()?);
    let likely = detectable + dist::normal_quantile(plan.chance)? * noise;
    let weeks = |gained: f64| {
        let weeks = gained / gain;
        if weeks > MOST_WEEKS {
            return Err(MeasureError::Undefined {
                what: "the date of the next test",
                why: format!(
                    "at {gain} a week it would take more than ten years; average more trials, or \
                     look at the squad's mean"
                ),
            });
        }
        Ok(weeks.max(0.0))
    };
    Ok(Retest {
        detectable,
        weeks_even: weeks(detectable)?,
        weeks_likely: weeks(likely)?,
    })
}

/// Returns the chance that the gain of `weeks` weeks (0 or more) is beyond the detectable change.
pub fn chance_seen(plan: &RetestPlan, weeks: f64) -> Result<f64, MeasureError> {
    let gain = check::positive("gain per week", plan.weekly_gain)?;
    let weeks = check::not_negative("weeks", weeks)?;
    let gained = check::result("the gain", gain * weeks)?;
    dist::normal_cdf((gained - plan.detectable()?) / plan.noise()?)
}
