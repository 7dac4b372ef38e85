//! L, M and S behind a printed row of centiles of one age.
//! Says how far the centiles are from that shape; whether that is near enough is the caller's matter.
//! M is the printed median; L and S are least squares in z; docs/methods/growth-references.md.

use super::lms::Lms;
use super::table::CentileTable;
use crate::{MeasureError, check, dist};

/// Skewness is looked for from the first to the second.
const SEARCHED: (f64, f64) = (-4.0, 5.0);
/// Steps of the first search, and halvings of the second.
const STEPS: usize = 180;
const NARROWINGS: usize = 80;
const GOLDEN: f64 = 0.618_033_988_749_894_9;

/// L, M and S of a row of centiles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OfCentiles {
    /// L, M and S.
    pub lms: Lms,
    /// Largest distance of a printed centile from the curve, z units, 0 or more.
    pub misfit: f64,
}

impl Lms {
    /// Returns L, M and S of (centile, value) rows, both rising, all values above 0: the 50th and one on
    /// either side at the least.
    pub fn of_centiles(rows: &[(f64, f64)]) -> Result<OfCentiles, MeasureError> {
        CentileTable::new(rows)?;
        let median = rows
            .iter()
            .find(|(centile, _)| *centile == 50.0)
            .map(|(_, value)| *value);
        let sides = |low: bool| rows.iter().any(|(c, _)| (*c < 50.0) == low && *c != 50.0);
        let Some(median) = median.filter(|_| sides(true) && sides(false)) else {
            return Err(MeasureError::Undefined {
                what: "L, M and S of the centiles",
                why: "the 50th centile and one on either side are needed".to_owned(),
            });
        };
        let m = check::positive("50th centile", median)?;
        let mut points = Vec::with_capacity(rows.len());
        for &(centile, value) in rows {
            let x = check::positive("value of the table", value)?.ln() - m.ln();
            points.push((x, dist::normal_quantile(centile / 100.0)?));
        }
        let l = best(&points);
        let u = slope(&points, l);
        let misfit = points
            .iter()
            .map(|&(x, z)| (u * power(x, l) - z).abs())
            .fold(0.0, f64::max);
        Ok(OfCentiles {
            lms: Lms::new(l, m, 1.0 / u)?,
            misfit: check::result("the misfit of the centiles", misfit)?,
        })
    }
}

/// (exp(L x) - 1) / L, x at L = 0: (value/M)^L - 1 over L, with x = ln(value/M).
fn power(x: f64, l: f64) -> f64 {
    if (l * x).abs() < 1e-9 {
        x
    } else {
        (l * x).exp_m1() / l
    }
}

/// 1/S with least squares in z, at an L.
fn slope(points: &[(f64, f64)], l: f64) -> f64 {
    let (mut above, mut below) = (0.0, 0.0);
    for &(x, z) in points {
        let y = power(x, l);
        above += y * z;
        below += y * y;
    }
    above / below
}

fn squares(points: &[(f64, f64)], l: f64) -> f64 {
    let u = slope(points, l);
    points
        .iter()
        .map(|&(x, z)| (u * power(x, l) - z).powi(2))
        .sum()
}

/// The L with the least squares: an even search, then a golden section about its best.
fn best(points: &[(f64, f64)]) -> f64 {
    let step = (SEARCHED.1 - SEARCHED.0) / STEPS as f64;
    let at = |i: usize| SEARCHED.0 + step * i as f64;
    let first = (0..=STEPS)
        .min_by(|&a, &b| squares(points, at(a)).total_cmp(&squares(points, at(b))))
        .unwrap_or(0);
    let (mut low, mut high) = (at(first) - step, at(first) + step);
    for _ in 0..NARROWINGS {
        let (a, b) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
        if squares(points, a) < squares(points, b) {
            high = b;
        } else {
            low = a;
        }
    }
    f64::midpoint(low, high)
}
