//! Chances that a true change is up, trivial or down, and the interval of a change.
//! Works on the scale handed in; for percentages see `log_scale`.
//! Formula: golden file true_change.json, entries SED, P_up, P_any.

use crate::{Interval, MeasureError, check, dist};

/// Two occasions to compare: the error of one trial and how many trials each mean holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Comparison {
    error: f64,
    df: Option<f64>,
    se: f64,
}

/// Three chances that sum to 1, and the chance of any rise at all.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chance {
    /// Chance that the true change is above the smallest worthwhile change.
    pub up: f64,
    /// Chance that it lies within it, either way.
    pub trivial: f64,
    /// Chance that it is below minus the smallest worthwhile change.
    pub down: f64,
    /// Chance that the true change is above 0.
    pub any_up: f64,
}

impl Comparison {
    /// Makes a comparison from a typical error (above 0), its df (none: taken as known, normal)
    /// and the number of trials averaged before and after (1 or more each).
    pub fn new(
        typical_error: f64,
        df: Option<f64>,
        trials_before: u32,
        trials_after: u32,
    ) -> Result<Self, MeasureError> {
        let error = check::positive("typical error", typical_error)?;
        let df = check::freedom(df)?;
        if trials_before == 0 || trials_after == 0 {
            return Err(MeasureError::TooFew {
                what: "trials on one of the two occasions",
                found: 0,
                needed: 1,
            });
        }
        let trials = 1.0 / f64::from(trials_before) + 1.0 / f64::from(trials_after);
        let se = check::result("the standard error of the change", error * trials.sqrt())?;
        Ok(Self {
            error,
            df,
            se: check::positive("standard error of the change", se)?,
        })
    }

    /// Returns the typical error of one trial.
    pub fn typical_error(&self) -> f64 {
        self.error
    }

    /// Returns the standard error of an observed change.
    pub fn se(&self) -> f64 {
        self.se
    }

    /// Returns the chances for an observed difference and a smallest worthwhile change (0 or
    /// more).
    ///
    /// ```
    /// use plimsoll_measure::change::Comparison;
    /// let chance = Comparison::new(120.0, None, 1, 1)?.chance(160.0, 70.0)?;
    /// assert!((chance.up - 0.702).abs() < 0.0005);
    /// # Ok::<(), plimsoll_measure::MeasureError>(())
    /// ```
    pub fn chance(&self, difference: f64, worthwhile: f64) -> Result<Chance, MeasureError> {
        let difference = check::finite("difference", difference)?;
        let worthwhile = check::not_negative("smallest worthwhile change", worthwhile)?;
        let up = dist::lower_tail((difference - worthwhile) / self.se, self.df);
        let down = dist::lower_tail((-worthwhile - difference) / self.se, self.df);
        let any_up = dist::lower_tail(difference / self.se, self.df);
        Ok(Chance {
            up,
            trivial: (1.0 - up - down).max(0.0),
            down,
            any_up,
        })
    }

    /// Returns the interval of the true change at `level`.
    pub fn interval(&self, difference: f64, level: f64) -> Result<Interval, MeasureError> {
        let difference = check::finite("difference", difference)?;
        let half = dist::two_sided(level, self.df)? * self.se;
        let lower = check::result("the interval of the change", difference - half)?;
        let upper = check::result("the interval of the change", difference + half)?;
        Ok(Interval {
            lower,
            upper,
            level,
        })
    }

    /// Returns the detectable change at `level`: a smaller observed change may be noise alone.
    pub fn detectable(&self, level: f64) -> Result<f64, MeasureError> {
        check::result(
            "the detectable change",
            dist::two_sided(level, self.df)? * self.se,
        )
    }

    /// Returns the observed difference in units of its standard error.
    pub fn in_errors(&self, difference: f64) -> Result<f64, MeasureError> {
        let difference = check::finite("difference", difference)?;
        check::result("the change in errors", difference / self.se)
    }
}
