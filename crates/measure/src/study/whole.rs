//! The whole study in one call: both scales, and which of them the errors ask for.
//! Linear in the number of values; nothing is sampled.
//! Sources: docs/methods/reliability-study.md.

use super::additive;
use super::analysis::{Analysis, analyse};
use super::components::components;
use super::correlation::{self, IccEstimate};
use super::level::{LevelCheck, level_check_with};
use super::trials::Trials;
use crate::{MeasureError, check};

/// A reliability study.
#[derive(Debug, Clone, PartialEq)]
pub struct Study {
    /// People with a value.
    pub people: usize,
    /// Trials with a value.
    pub trials: usize,
    /// Values.
    pub values: usize,
    /// People with every trial.
    pub complete_people: usize,
    /// Level of all intervals.
    pub level: f64,
    /// On the values.
    pub raw: Analysis,
    /// On their natural logs, or why there is none.
    pub logs: Result<Analysis, MeasureError>,
    /// Whether the error grows with the value, or why that cannot be told.
    pub level_check: Result<LevelCheck, MeasureError>,
}

/// Returns the study with intervals at `level`, such as 0.95.
///
/// ```
/// use plimsoll_measure::study::{Trials, study};
/// let trials = Trials::complete(&[10.0, 11.0, 12.0, 12.5, 15.0, 17.0], 2)?;
/// let study = study(&trials, 0.95)?;
/// let error = study.raw.pooled?.error;
/// assert!((error.value - 0.5401).abs() < 0.0001 && error.df == 2.0);
/// # Ok::<(), plimsoll_measure::MeasureError>(())
/// ```
pub fn study(trials: &Trials, level: f64) -> Result<Study, MeasureError> {
    let level = check::level(level)?;
    let k = trials.numbers().len();
    let mut known = Vec::new();
    let raw = analyse(trials, level, &mut known)?;
    let table = trials.logs();
    let logs = table
        .as_ref()
        .map_err(Clone::clone)
        .and_then(|table| analyse(table, level, &mut known));
    let filled = |row: &[f64]| row.iter().filter(|v| !v.is_nan()).count();
    let rows = || trials.table().chunks_exact(k);
    Ok(Study {
        people: trials.people().len(),
        trials: k,
        values: rows().map(filled).sum(),
        complete_people: rows().filter(|row| filled(row) == k).count(),
        level,
        raw,
        logs,
        level_check: level_check_with(trials, &table, level),
    })
}

/// Returns the six intraclass correlations alone, with intervals at `level`: (1,1), (2,1), (3,1), (1,k),
/// (2,k), (3,k), as in the whole study.
pub fn six_correlations(trials: &Trials, level: f64) -> Result<[IccEstimate; 6], MeasureError> {
    let k = trials.numbers().len();
    let fit = additive::fit(trials.table(), k)?;
    correlation::correlations(&components(trials.table(), k, &fit)?, level)
}
