//! Worm plots: z against the z expected of its rank, less that z, group by group.
//! Long groups are thinned for drawing; the count outside the band uses the drawn points.
//! Plot: van Buuren & Fredriks 2001; ranks: Blom (r - 3/8) / (n + 1/4).

use super::groups::AgeGroup;
use crate::{MeasureError, check, dist};

/// Most points of a worm.
const POINTS: usize = 200;

/// One point of a worm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WormPoint {
    /// The z expected of this rank.
    pub expected: f64,
    /// The z found less the expected one; 0 when the model fits.
    pub deviation: f64,
    /// Half width of the point-wise band about 0.
    pub half_band: f64,
}

/// The worm of one age group.
#[derive(Debug, Clone, PartialEq)]
pub struct Worm {
    /// First and last age of the group.
    pub ages: (f64, f64),
    /// How many people are in the group.
    pub people: f64,
    /// Points by rising expected z, at most 200.
    pub points: Vec<WormPoint>,
    /// Share of the points outside the band, 0 to 1.
    pub outside: f64,
}

impl AgeGroup {
    /// Returns the worm with a point-wise band at a confidence level.
    pub fn worm(&self, level: f64) -> Result<Worm, MeasureError> {
        let quantile = dist::two_sided(check::level(level)?, None)?;
        let n = self.moments.people;
        let stride = self.sorted.len().div_ceil(POINTS);
        let mut points = Vec::with_capacity(POINTS);
        let mut below = 0.0;
        for (at, &(z, weight)) in self.sorted.iter().enumerate() {
            let rank = below + 0.5 * (weight + 1.0);
            below += weight;
            if at % stride != stride / 2 {
                continue;
            }
            // A weight below 1 can push a rank past the ends.
            let p = ((rank - 0.375) / (n + 0.25)).clamp(0.25 / n, 1.0 - 0.25 / n);
            let expected = dist::normal_quantile(p)?;
            let height = (-0.5 * expected * expected).exp() / std::f64::consts::TAU.sqrt();
            points.push(WormPoint {
                expected,
                deviation: z - expected,
                half_band: quantile * (p * (1.0 - p) / n).sqrt() / height,
            });
        }
        let outside = points.iter().filter(|p| p.deviation.abs() > p.half_band);
        let outside = outside.count() as f64 / points.len().max(1) as f64;
        Ok(Worm {
            ages: self.ages,
            people: n,
            points,
            outside,
        })
    }
}
