//! L, M and S between the ages of a printed table.
//! Never extrapolates: outside the first and the last age there is no answer.
//! Linear, or the cubic through the two rows on either side (Lagrange).

use super::lms::Lms;
use crate::{MeasureError, check};

/// How L, M and S are read between two ages.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Interpolation {
    /// On the straight line between the two rows around the age.
    Linear,
    /// On the cubic through two rows below and two above; linear in the first and last stretch.
    Cubic,
}

/// A table of L, M and S by rising age.
#[derive(Debug, Clone, PartialEq)]
pub struct AgeCurve {
    rows: Vec<(f64, Lms)>,
}

impl AgeCurve {
    /// Makes a table from one or more rows with rising ages.
    pub fn new(rows: &[(f64, Lms)]) -> Result<Self, MeasureError> {
        if rows.is_empty() {
            return Err(MeasureError::TooFew {
                what: "rows of an LMS table",
                found: 0,
                needed: 1,
            });
        }
        let mut before: Option<f64> = None;
        for (index, &(age, _)) in rows.iter().enumerate() {
            check::finite("age of an LMS table", age)?;
            if let Some(before) = before.filter(|&before| age <= before) {
                return Err(MeasureError::NotRising {
                    what: "ages of the LMS table",
                    position: index + 1,
                    found: age,
                    before,
                });
            }
            before = Some(age);
        }
        Ok(Self {
            rows: rows.to_vec(),
        })
    }

    /// Returns the first and the last age.
    pub fn ages(&self) -> (f64, f64) {
        let first = self.rows.first().map_or(f64::NAN, |row| row.0);
        (first, self.rows.last().map_or(f64::NAN, |row| row.0))
    }

    /// Returns L, M and S at an age within the table; on a row's age, the row itself.
    pub fn at(&self, age: f64, way: Interpolation) -> Result<Lms, MeasureError> {
        let age = check::finite("age", age)?;
        let (first, last) = self.ages();
        let above = self.rows.partition_point(|row| row.0 < age);
        match self.rows.get(above) {
            Some(&(exact, lms)) if exact == age => return Ok(lms),
            Some(_) if above > 0 => {}
            _ => {
                return Err(MeasureError::OutsideAges {
                    found: age,
                    first,
                    last,
                });
            }
        }
        let inner = above >= 2 && above + 1 < self.rows.len();
        let used = if way == Interpolation::Cubic && inner {
            &self.rows[above - 2..above + 2]
        } else {
            &self.rows[above - 1..=above]
        };
        lagrange(used, age)
    }
}

/// The polynomial through all rows handed in, at an age.
fn lagrange(rows: &[(f64, Lms)], age: f64) -> Result<Lms, MeasureError> {
    let (mut l, mut m, mut s) = (0.0, 0.0, 0.0);
    for (i, (here, lms)) in rows.iter().enumerate() {
        let mut share = 1.0;
        for (j, (other, _)) in rows.iter().enumerate() {
            if i != j {
                share *= (age - other) / (here - other);
            }
        }
        let parts = lms.parts();
        l += share * parts.0;
        m += share * parts.1;
        s += share * parts.2;
    }
    Lms::new(l, m, s)
}
