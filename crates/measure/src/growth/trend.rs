//! What is left of a young person's change after expected growth is taken off.
//! Credits nothing to training by itself: what is left may also be a growth spurt.
//! Formula: own, first-order errors; docs/methods/growth-references.md.

use crate::change::Chance;
use crate::{Interval, MeasureError, check, dist, norms::Lms};

/// What growth alone is taken to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Expected {
    /// The change of the reference median.
    Median,
    /// Staying at one's own z.
    ConstantZ,
}

/// A value seen at an age, with the reference at that age.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// Age on the day.
    pub age: f64,
    /// Value, above 0.
    pub value: f64,
    /// L, M and S of the reference at this age.
    pub lms: Lms,
}

/// What is known about the errors of a comparison, all in the unit of the value or of z.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Errors {
    /// Typical error of one value, above 0.
    pub typical: f64,
    /// Its degrees of freedom, 1 or more; none when taken as known.
    pub df: Option<f64>,
    /// Standard error of the expected growth from the reference, 0 or more; 0 when not known.
    pub reference: f64,
    /// SD of the change of z between children over this time without training, 0 or more.
    pub drift: f64,
}

/// A change beyond expected growth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beyond {
    /// Change seen.
    pub seen: f64,
    /// Change expected from growth.
    pub expected: f64,
    /// Change seen less the expected one.
    pub beyond: f64,
    /// Its standard error, above 0.
    pub se: f64,
    df: Option<f64>,
}

/// Returns the change beyond growth from one day to a day at the same or a later age.
pub fn beyond_growth(
    before: &Seen,
    after: &Seen,
    way: Expected,
    errors: &Errors,
) -> Result<Beyond, MeasureError> {
    let first = check::finite("age at the first test", before.age)?;
    check::within(
        "age at the second test",
        after.age,
        after.age >= first,
        "the age at the first test or more",
    )?;
    let typical = check::positive("typical error", errors.typical)?;
    let df = check::freedom(errors.df)?;
    let reference = check::not_negative("standard error of expected growth", errors.reference)?;
    let drift = check::not_negative("SD of the change of z", errors.drift)?;
    let z = before.lms.standing(before.value)?.z;
    let z_after = after.lms.standing(after.value)?.z;
    let (expected, slope, drifting) = match way {
        Expected::Median => {
            let growth = after.lms.parts().1 - before.lms.parts().1;
            (growth, 1.0, by_z(&after.lms, z_after, after.value))
        }
        Expected::ConstantZ => {
            let there = after.lms.value_at(z)?;
            let slope = by_z(&after.lms, z, there) / by_z(&before.lms, z, before.value);
            (there - before.value, slope, by_z(&after.lms, z, there))
        }
    };
    let seen = after.value - before.value;
    // The first value's error counts `slope` times: at a constant z it also shifts what is expected.
    let variance = typical * typical * (1.0 + slope * slope)
        + reference * reference
        + (drift * drifting).powi(2);
    Ok(Beyond {
        seen: check::result("the change seen", seen)?,
        expected: check::result("the expected growth", expected)?,
        beyond: check::result("the change beyond growth", seen - expected)?,
        se: check::positive(
            "standard error of the change beyond growth",
            variance.sqrt(),
        )?,
        df,
    })
}

/// The slope of the value by z: S M (1 + L S z)^(1/L - 1).
fn by_z(lms: &Lms, z: f64, value: f64) -> f64 {
    let (l, _, s) = lms.parts();
    s * value / (1.0 + l * s * z)
}

impl Beyond {
    /// Returns the interval of the true change beyond growth at a confidence level.
    pub fn interval(&self, level: f64) -> Result<Interval, MeasureError> {
        let half = dist::two_sided(level, self.df)? * self.se;
        Ok(Interval {
            lower: check::result("the interval of the change", self.beyond - half)?,
            upper: check::result("the interval of the change", self.beyond + half)?,
            level,
        })
    }

    /// Returns the chances for a smallest worthwhile change (0 or more).
    pub fn chance(&self, worthwhile: f64) -> Result<Chance, MeasureError> {
        let worthwhile = check::not_negative("smallest worthwhile change", worthwhile)?;
        let up = dist::lower_tail((self.beyond - worthwhile) / self.se, self.df);
        let down = dist::lower_tail((-worthwhile - self.beyond) / self.se, self.df);
        Ok(Chance {
            up,
            trivial: (1.0 - up - down).max(0.0),
            down,
            any_up: dist::lower_tail(self.beyond / self.se, self.df),
        })
    }
}
