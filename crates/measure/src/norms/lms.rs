//! Standing from L, M and S, stable when L is near 0.
//! Applies no tail rule: beyond 3 SD some references bend the curve, this does not.
//! Formula: Cole & Green 1992; checked against lms_zscores.json (mpmath at 700 digits).

use super::mean_sd::{Standing, standing_of_z};
use crate::{MeasureError, check, dist};

/// Below this the first terms of the series are exact to rounding.
const SERIES_BELOW: f64 = 1e-5;

/// Skewness L, median M and coefficient of variation S of a reference at one age.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lms {
    l: f64,
    m: f64,
    s: f64,
}

impl Lms {
    /// Makes a reference from a finite L, and M and S above 0.
    pub fn new(l: f64, m: f64, s: f64) -> Result<Self, MeasureError> {
        Ok(Self {
            l: check::finite("L", l)?,
            m: check::positive("M", m)?,
            s: check::positive("S", s)?,
        })
    }

    /// Returns L, M and S.
    pub fn parts(&self) -> (f64, f64, f64) {
        (self.l, self.m, self.s)
    }

    /// Returns the standing of a value above 0: z = ((x/M)^L - 1) / (L S), ln(x/M)/S at L = 0.
    pub fn standing(&self, value: f64) -> Result<Standing, MeasureError> {
        let y = check::positive("value", value)?.ln() - self.m.ln();
        let z = y * expm1_over(self.l * y) / self.s;
        standing_of_z(check::result("the z score", z)?)
    }

    /// Returns the value at a z: M (1 + L S z)^(1/L), M exp(S z) at L = 0.
    pub fn value_at(&self, z: f64) -> Result<f64, MeasureError> {
        let z = check::finite("z", z)?;
        let step = self.l * self.s * z;
        if step <= -1.0 {
            return Err(MeasureError::Undefined {
                what: "the value at this z",
                why: format!(
                    "1 + L S z is {}, and must be above 0; the curve ends at z = {}",
                    1.0 + step,
                    -1.0 / (self.l * self.s)
                ),
            });
        }
        let value = self.m * (self.s * z * ln_1p_over(step)).exp();
        check::positive(
            "value at this z",
            check::result("the value at this z", value)?,
        )
    }

    /// Returns the value at a centile between 0 and 100, ends excluded.
    pub fn value_at_centile(&self, centile: f64) -> Result<f64, MeasureError> {
        self.value_at(dist::normal_quantile(
            check::finite("centile", centile)? / 100.0,
        )?)
    }
}

/// (exp(x) - 1) / x, 1 at 0.
fn expm1_over(x: f64) -> f64 {
    if x.abs() < SERIES_BELOW {
        1.0 + x / 2.0 + x * x / 6.0 + x * x * x / 24.0
    } else {
        x.exp_m1() / x
    }
}

/// ln(1 + x) / x, 1 at 0.
fn ln_1p_over(x: f64) -> f64 {
    if x.abs() < SERIES_BELOW {
        1.0 - x / 2.0 + x * x / 3.0 - x * x * x / 4.0
    } else {
        x.ln_1p() / x
    }
}
