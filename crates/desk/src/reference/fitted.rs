//! The fit with everything that says how far it can be trusted.
//! A part that cannot be worked out keeps its reason; the others still stand.

use plimsoll_measure::MeasureError;
use plimsoll_measure::dist::normal_quantile;
use plimsoll_measure::growth::{
    Centile, Groups, LmsFit, Model, SE_LIMIT, ShapeCheck, Worm, fit, residuals,
};

use super::sample::ReferenceSample;
use crate::study::StudyError;

/// Centiles shown and drawn.
pub const CENTILES: [u8; 7] = [3, 10, 25, 50, 75, 90, 97];
/// Ages of the shown curves.
const SHOWN: usize = 41;
/// Rows of the written table, at least and at most.
const WRITTEN: (f64, f64) = (20.0, 400.0);
/// Years between rows of the written table, if that gives neither too few nor too many.
const STEP: f64 = 0.1;
/// People of an age group, and most groups.
const GROUP: (f64, usize) = (40.0, 9);

/// What is asked of a fit.
#[derive(Debug, Clone, Copy)]
pub struct FitAsk {
    /// The model.
    pub model: Model,
    /// Largest standard error of a centile, z units; above it the centile is refused.
    pub limit: f64,
    /// Level of bands, a fraction.
    pub level: f64,
}

impl Default for FitAsk {
    fn default() -> Self {
        Self {
            model: Model::smooth(),
            limit: SE_LIMIT,
            level: 0.95,
        }
    }
}

/// L, M, S and the centiles at an age.
#[derive(Debug, Clone)]
pub struct AtAge {
    /// Age, years.
    pub age: f64,
    /// L, M and S.
    pub lms: (f64, f64, f64),
    /// Centiles in the order of [`CENTILES`], or why one is refused.
    pub centiles: Vec<Result<Centile, MeasureError>>,
}

/// A fitted reference with its checks.
#[derive(Debug, Clone)]
pub struct Fitted {
    /// What was asked.
    pub ask: FitAsk,
    /// The fit.
    pub fit: LmsFit,
    /// The curves for reading and drawing.
    pub curves: Vec<AtAge>,
    /// L, M and S on a fine grid, for the file.
    pub table: Vec<(f64, (f64, f64, f64))>,
    /// Q statistics by age group.
    pub groups: Result<Groups, MeasureError>,
    /// Shape of z: all people, then each group.
    pub shape: Result<Vec<ShapeCheck>, MeasureError>,
    /// Worms, one a group.
    pub worms: Result<Vec<Worm>, MeasureError>,
}

/// Fits a sample.
///
/// # Errors
///
/// [`StudyError`] when the sample is too small or too even for the model.
pub fn fit_reference(sample: &ReferenceSample, ask: FitAsk) -> Result<Fitted, StudyError> {
    let fit = fit(&sample.sample, &ask.model)?;
    let (first, last) = fit.ages();
    let on = |steps: f64| {
        let steps = if last > first { steps } else { 0.0 };
        let grid = move |i: usize| {
            let age = first + (last - first) * i as f64 / steps.max(1.0);
            if i as f64 >= steps { last } else { age }
        };
        (0..=steps as usize).map(grid)
    };
    let mut curves = Vec::with_capacity(SHOWN);
    for age in on(SHOWN as f64 - 1.0) {
        curves.push(AtAge {
            age,
            lms: fit.at(age)?.parts(),
            centiles: CENTILES
                .iter()
                .map(|&p| fit.centile(age, normal_quantile(f64::from(p) / 100.0)?, ask.limit))
                .collect(),
        });
    }
    let rows = ((last - first) / STEP).clamp(WRITTEN.0, WRITTEN.1).floor();
    let mut table = Vec::new();
    for age in on(rows) {
        table.push((age, fit.at(age)?.parts()));
    }
    let count = ((sample.sample.people() / GROUP.0) as usize)
        .clamp(1, GROUP.1)
        .min(sample.sample.different_ages());
    let groups = residuals(&sample.sample, &fit).and_then(|r| r.groups(count));
    let shape = groups.clone().and_then(|g| g.shape());
    let worms = groups
        .clone()
        .and_then(|g| g.groups.iter().map(|one| one.worm(ask.level)).collect());
    Ok(Fitted {
        ask,
        fit,
        curves,
        table,
        groups,
        shape,
        worms,
    })
}

impl Fitted {
    /// Returns whether a person must look before the curves are used: the fit did not end well, or
    /// no L, M and S can have the shape of the data.
    pub fn needs_a_person(&self) -> bool {
        !self.fit.convergence().converged
            || self
                .shape
                .as_ref()
                .is_ok_and(|all| all.iter().any(|s| s.alarm.is_some()))
    }

    /// Returns the refused centiles, each with the ages from and to which it is refused.
    pub fn refused(&self) -> Vec<(u8, f64, f64)> {
        let mut out = Vec::new();
        for (at, &p) in CENTILES.iter().enumerate() {
            let ages = self
                .curves
                .iter()
                .filter(|c| c.centiles[at].is_err())
                .map(|c| c.age);
            let (low, high) = ages.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), age| {
                (a.min(age), b.max(age))
            });
            if low <= high {
                out.push((p, low, high));
            }
        }
        out
    }
}
