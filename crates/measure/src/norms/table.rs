//! Standing from a printed table of centiles: z is interpolated, never extrapolated.
//! Outside the table the answer is "below P5" or "above P95", not a number.
//! Formula: inverse normal of each centile, linear in the value between two of them.

use std::fmt;

use super::mean_sd::{Standing, standing_of_z};
use crate::{MeasureError, check, dist};

/// A table of centiles with rising values.
#[derive(Debug, Clone, PartialEq)]
pub struct CentileTable {
    /// Centile, its z, and its value.
    rows: Vec<(f64, f64, f64)>,
}

/// Where a value falls in a table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Place {
    /// Between the first and the last centile.
    Within(Standing),
    /// Below the first centile of the table, which is given.
    Below(f64),
    /// Above the last centile of the table, which is given.
    Above(f64),
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Within(standing) => write!(f, "P{:.0}", standing.centile),
            Self::Below(centile) => write!(f, "below P{centile}"),
            Self::Above(centile) => write!(f, "above P{centile}"),
        }
    }
}

impl CentileTable {
    /// Makes a table from (centile, value) rows, both rising, centiles between 0 and 100.
    pub fn new(rows: &[(f64, f64)]) -> Result<Self, MeasureError> {
        if rows.is_empty() {
            return Err(MeasureError::TooFew {
                what: "rows of a table",
                found: 0,
                needed: 1,
            });
        }
        let mut kept: Vec<(f64, f64, f64)> = Vec::with_capacity(rows.len());
        for (index, &(centile, value)) in rows.iter().enumerate() {
            let value = check::finite("value of the table", value)?;
            check::within(
                "centile",
                centile,
                centile > 0.0 && centile < 100.0,
                "a number between 0 and 100",
            )?;
            if let Some(&(last_centile, _, last_value)) = kept.last() {
                rising("centiles of the table", index, centile, last_centile)?;
                rising("values of the table", index, value, last_value)?;
            }
            kept.push((centile, dist::normal_quantile(centile / 100.0)?, value));
        }
        Ok(Self { rows: kept })
    }

    /// Returns the centiles and values of the table.
    pub fn rows(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.rows
            .iter()
            .map(|&(centile, _, value)| (centile, value))
    }

    /// Returns where a value falls.
    pub fn place(&self, value: f64) -> Result<Place, MeasureError> {
        let value = check::finite("value", value)?;
        let mut before: Option<(f64, f64, f64)> = None;
        for &(centile, z, here) in &self.rows {
            if value == here {
                return Ok(Place::Within(Standing { z, centile }));
            }
            if value < here {
                let Some((_, low_z, low)) = before else {
                    return Ok(Place::Below(centile));
                };
                let share = (value - low) / (here - low);
                return Ok(Place::Within(standing_of_z(low_z + share * (z - low_z))?));
            }
            before = Some((centile, z, here));
        }
        Ok(Place::Above(before.map_or(0.0, |(centile, ..)| centile)))
    }
}

fn rising(what: &'static str, index: usize, found: f64, before: f64) -> Result<(), MeasureError> {
    if found > before {
        Ok(())
    } else {
        Err(MeasureError::NotRising {
            what,
            position: index + 1,
            found,
            before,
        })
    }
}
