//! Standing from a mean and a standard deviation, taken as a normal distribution.
//! Papers often print the standard error: convert it before a z is formed.
//! Formula: z = (x - mean) / SD; SD = SEM x root n.

use crate::{MeasureError, check, dist};

/// A place in a reference.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Standing {
    /// Distance from the middle in standard deviations.
    pub z: f64,
    /// Share of the reference below, in percent, 0 to 100.
    pub centile: f64,
}

/// Returns the centile of a z.
pub fn standing_of_z(z: f64) -> Result<Standing, MeasureError> {
    Ok(Standing {
        z,
        centile: 100.0 * dist::normal_cdf(z)?,
    })
}

/// Returns the standing of a value in a reference with mean and SD (above 0).
pub fn standing(value: f64, mean: f64, sd: f64) -> Result<Standing, MeasureError> {
    let value = check::finite("value", value)?;
    let mean = check::finite("reference mean", mean)?;
    let sd = check::positive("reference SD", sd)?;
    standing_of_z(check::result("the z score", (value - mean) / sd)?)
}

/// Returns the standard deviation behind a standard error of the mean of `n` people (2 or more).
pub fn sd_from_sem(sem: f64, n: u32) -> Result<f64, MeasureError> {
    let sem = check::not_negative("standard error of the mean", sem)?;
    if n < 2 {
        return Err(MeasureError::TooFew {
            what: "people behind the standard error",
            found: n as usize,
            needed: 2,
        });
    }
    check::result("the SD", sem * f64::from(n).sqrt())
}
