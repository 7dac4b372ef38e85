//! What the next result will be: a mixture over the levels a person may have.
//! Error of the trial, conversion, learning and conditions are included.
//! Formula: docs/methods/level.md, "The next result".

use super::lattice::Lattice;
use super::model::Model;
use super::reading::Reading;
use super::series::Observation;
use super::tail::Tails;
use crate::{Interval, MeasureError, check};

/// Levels less likely than this are left out.
const NEGLIGIBLE: f64 = 1e-15;

/// The predictive distribution of one outcome.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlook {
    /// Expected outcome.
    pub mean: f64,
    /// Its standard deviation.
    pub sd: f64,
    /// Chance, mean and SD of the outcome for each level.
    parts: Vec<(f64, f64, f64)>,
}

impl Outlook {
    pub(super) fn new(
        model: &Model,
        next: &Observation,
        level: Lattice<'_>,
    ) -> Result<Self, MeasureError> {
        next.checked()?;
        let reading = Reading::of(model, next)?;
        let parts: Vec<(f64, f64, f64)> = (0..)
            .zip(level.mass)
            .filter(|&(_, &mass)| mass > NEGLIGIBLE)
            .map(|(place, &mass)| {
                let x = level.origin + f64::from(place) * level.spacing;
                let mean = reading.constant + reading.slope * x;
                (mass, mean, reading.variance_at(x).sqrt())
            })
            .collect();
        let mean: f64 = parts.iter().map(|(mass, mean, _)| mass * mean).sum();
        let variance: f64 = parts
            .iter()
            .map(|(mass, at, sd)| mass * ((at - mean) * (at - mean) + sd * sd))
            .sum();
        Ok(Self {
            mean: check::result("the next result", mean)?,
            sd: check::result("the next result", variance)?.sqrt(),
            parts,
        })
    }

    /// Returns the mixture of several, with weights that sum to 1.
    pub(super) fn averaged(all: Vec<(f64, Self)>) -> Self {
        let mean: f64 = all.iter().map(|(weight, one)| weight * one.mean).sum();
        let variance: f64 = all
            .iter()
            .map(|(weight, one)| weight * ((one.mean - mean).powi(2) + one.sd * one.sd))
            .sum();
        let parts = all
            .into_iter()
            .flat_map(|(weight, one)| {
                one.parts
                    .into_iter()
                    .map(move |(m, at, sd)| (weight * m, at, sd))
            })
            .collect();
        Self {
            mean,
            sd: variance.max(0.0).sqrt(),
            parts,
        }
    }

    /// Returns P(outcome < value).
    pub fn below(&self, value: f64) -> Result<f64, MeasureError> {
        Ok(self.sum_below(check::finite("outcome asked for", value)?))
    }

    /// Returns the outcome below which a fraction `p` (0 to 1, ends excluded) lies.
    pub fn quantile(&self, p: f64) -> Result<f64, MeasureError> {
        check::within(
            "probability",
            p,
            p > 0.0 && p < 1.0,
            "a fraction between 0 and 1",
        )?;
        let (mut reach, mut rounds) = (self.sd, 0);
        while (self.sum_below(self.mean - reach) > p || self.sum_below(self.mean + reach) < p)
            && rounds < 60
        {
            reach *= 2.0;
            rounds += 1;
        }
        let (mut low, mut high) = (self.mean - reach, self.mean + reach);
        for _ in 0..80 {
            let middle = 0.5 * (low + high);
            if self.sum_below(middle) < p {
                low = middle;
            } else {
                high = middle;
            }
        }
        check::result("the next result", 0.5 * (low + high))
    }

    /// Returns the equal-tailed interval of the outcome.
    pub fn interval(&self, level: f64) -> Result<Interval, MeasureError> {
        let tail = 0.5 * (1.0 - check::level(level)?);
        Ok(Interval {
            lower: self.quantile(tail)?,
            upper: self.quantile(1.0 - tail)?,
            level,
        })
    }

    /// Returns the chance of each whole score. `edges[n]` (rising) is the outcome from which on n
    /// bouts count; one more number than edges comes back: below the first edge, then each n.
    pub fn bouts(&self, edges: &[f64]) -> Result<Vec<f64>, MeasureError> {
        check::list("edges of the bouts", edges, 1)?;
        for (place, pair) in edges.windows(2).enumerate() {
            if pair[1] <= pair[0] {
                return Err(MeasureError::NotRising {
                    what: "edges of the bouts",
                    position: place + 2,
                    found: pair[1],
                    before: pair[0],
                });
            }
        }
        let mut before = 0.0;
        let mut chances: Vec<f64> = Vec::with_capacity(edges.len() + 1);
        for &edge in edges {
            let below = self.sum_below(edge);
            chances.push((below - before).max(0.0));
            before = below.max(before);
        }
        chances.push((1.0 - before).max(0.0));
        Ok(chances)
    }

    fn sum_below(&self, value: f64) -> f64 {
        let tails = Tails::get();
        self.parts
            .iter()
            .map(|(mass, mean, sd)| mass * tails.above((mean - value) / sd))
            .sum()
    }
}
