//! Answers about one person's level: on each date, at any later date, between two dates.
//! Exact up to the grid for every form of result.
//! Formula: docs/methods/level.md.

use super::detectable::{Detectable, Plan, detectable};
use super::engine::Field;
use super::lattice::Lattice;
use super::model::{Model, Normal};
use super::outlook::Outlook;
use super::pairs::{self, TrueChange};
use super::series::{Observation, Series};
use crate::{Interval, MeasureError, check};

/// The level on one date, given all results.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level {
    /// Date in weeks.
    pub week: f64,
    /// Expected level.
    pub mean: f64,
    /// Its standard deviation.
    pub sd: f64,
    /// Equal-tailed interval.
    pub interval: Interval,
}

/// The posterior of one person's level.
#[derive(Debug)]
pub struct Posterior<'a> {
    model: &'a Model,
    series: &'a Series,
    field: Field,
}

/// Returns the posterior of a person's level from any mixture of results.
///
/// ```
/// use plimsoll_measure::level::*;
/// let start = Start::From(Normal { mean: 7.2, sd: 0.2 });
/// let model = Model::new(start, 0.0002, vec![Test::anchor(0.07)], Learning::NONE)?;
/// let bout = |metres: f64| Outcome::Between { lower: metres.ln(), upper: (metres + 40.0).ln() };
/// let series = Series::new(vec![
///     Observation::plain(0.0, 0, bout(1200.0)),
///     Observation::plain(8.0, 0, bout(1440.0)),
/// ])?;
/// let chance = posterior(&model, &series)?.change(0.0, 8.0)?.chance(0.03)?;
/// assert!(chance.up > 0.25 && chance.up < 0.5);
/// # Ok::<(), plimsoll_measure::MeasureError>(())
/// ```
pub fn posterior<'a>(model: &'a Model, series: &'a Series) -> Result<Posterior<'a>, MeasureError> {
    let mut field = Field::default();
    field.all(model, series, &[], f64::INFINITY)?;
    Ok(Posterior {
        model,
        series,
        field,
    })
}

impl Posterior<'_> {
    /// Returns the natural logarithm of the marginal likelihood of all results; with a diffuse
    /// start under a flat prior of density 1.
    pub fn log_likelihood(&self) -> f64 {
        self.field.log_likelihood
    }

    /// Returns the number of points of the grid.
    pub fn points(&self) -> usize {
        self.field.layout.points
    }

    /// Returns the level on each date with results; `confidence` such as 0.90.
    pub fn levels(&self, confidence: f64) -> Result<Vec<Level>, MeasureError> {
        check::level(confidence)?;
        Ok(of_field(&self.field, confidence).collect())
    }

    /// Returns the level at any date from the first result on, also after the last one.
    pub fn level_at(&self, week: f64, confidence: f64) -> Result<Level, MeasureError> {
        check::level(confidence)?;
        let (fresh, node) = self.with(week)?;
        Ok(level_of(
            fresh.as_ref().unwrap_or(&self.field),
            node,
            confidence,
        ))
    }

    /// Returns the true change from one date to another, from their joint distribution.
    pub fn change(&self, from: f64, to: f64) -> Result<TrueChange, MeasureError> {
        pairs::change(self.model, self.series, &self.field, from, to)
    }

    /// Returns what the next result on a test will be, at a date from the first result on.
    pub fn outlook(
        &self,
        week: f64,
        test: usize,
        trial: Option<u32>,
        conditions: Normal,
    ) -> Result<Outlook, MeasureError> {
        let next = Observation {
            trial,
            conditions,
            ..Observation::plain(week, test, super::Outcome::Exact(0.0))
        };
        let (fresh, node) = self.with(week)?;
        Outlook::new(
            self.model,
            &next,
            fresh.as_ref().unwrap_or(&self.field).level(node),
        )
    }

    /// Returns when a steady gain from the last result on will be detectable.
    pub fn detectable(&self, plan: &Plan) -> Result<Detectable, MeasureError> {
        let (mean, sd) = self.field.level(self.field.nodes.len() - 1).moments();
        detectable(self.model, Normal { mean, sd }, plan)
    }

    /// Returns the masses at a node of a field of its own, or of all results.
    pub(super) fn lattice<'f>(&'f self, fresh: Option<&'f Field>, node: usize) -> Lattice<'f> {
        fresh.unwrap_or(&self.field).level(node)
    }

    /// Finds the node of a date; where it is not one of the dates yet, on a field of its own.
    pub(super) fn with(&self, week: f64) -> Result<(Option<Field>, usize), MeasureError> {
        check::finite("date asked for, in weeks", week)?;
        if let Some(node) = place(&self.field, week) {
            return Ok((None, node));
        }
        let mut field = Field::default();
        field.all(self.model, self.series, &[week], f64::INFINITY)?;
        let node = place(&field, week).ok_or(MeasureError::Overflow { what: "the date" })?;
        Ok((Some(field), node))
    }
}

/// Returns the node of a date.
pub(super) fn place(field: &Field, week: f64) -> Option<usize> {
    field.nodes.iter().position(|node| node.week == week)
}

/// Returns the levels at all nodes.
pub(super) fn of_field(field: &Field, confidence: f64) -> impl Iterator<Item = Level> {
    (0..field.nodes.len()).map(move |node| level_of(field, node, confidence))
}

fn level_of(field: &Field, node: usize, confidence: f64) -> Level {
    let lattice = field.level(node);
    let (mean, sd) = lattice.moments();
    let tail = 0.5 * (1.0 - confidence);
    Level {
        week: field.nodes[node].week,
        mean,
        sd,
        interval: Interval {
            lower: lattice.quantile(tail),
            upper: lattice.quantile(1.0 - tail),
            level: confidence,
        },
    }
}
