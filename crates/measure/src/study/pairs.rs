//! Each trial against the next one: change in the mean, typical error, limits of agreement.
//! Uses whoever did both; a pair that cannot be worked out keeps its reason.
//! Formulas: `error`.

use super::additive::is_rounding;
use super::analysis::{ErrorEstimate, estimate};
use super::limits::{Factors, Limits, apply, factors};
use super::trials::Trials;
use crate::MeasureError;
use crate::error::{MeanChange, agreement, change_in_mean, typical_error};

/// Share of the differences that limits of agreement hold.
const SHARE: f64 = 0.95;

/// One trial against the next one.
#[derive(Debug, Clone, PartialEq)]
pub struct PairResult {
    /// Number of the earlier trial.
    pub first_trial: u32,
    /// Number of the later trial.
    pub second_trial: u32,
    /// People with both.
    pub n: usize,
    /// Change in the mean, later minus earlier, or why there is none.
    pub change: Result<MeanChange, MeasureError>,
    /// Typical error of this pair, or why there is none.
    pub error: Result<ErrorEstimate, MeasureError>,
    /// 95 % limits of agreement, later minus earlier, or why there are none.
    pub limits: Result<Limits, MeasureError>,
}

/// Multipliers already worked out, by number of pairs.
pub(crate) type Known = Vec<(usize, Result<Factors, MeasureError>)>;

/// Works out all consecutive pairs; `known` spares repeated work between scales.
pub(crate) fn pairs(trials: &Trials, level: f64, known: &mut Known) -> Vec<PairResult> {
    let numbers = trials.numbers();
    (1..numbers.len())
        .map(|j| {
            let (_, first, second) = trials.both(j - 1, j);
            pair((numbers[j - 1], numbers[j]), &first, &second, level, known)
        })
        .collect()
}

fn pair(
    numbers: (u32, u32),
    first: &[f64],
    second: &[f64],
    level: f64,
    known: &mut Known,
) -> PairResult {
    let error = typical_error(first, second).and_then(|error| {
        let size = first
            .iter()
            .chain(second)
            .fold(0.0_f64, |m, v| m.max(v.abs()));
        if is_rounding(error.value, size) {
            return Err(MeasureError::NoSpread {
                what: "the differences between the two trials",
                hint: "check that one trial was not copied from the other",
            });
        }
        estimate(error, level)
    });
    let limits = agreement(second, first).and_then(|agreement| {
        let factors = known_factors(agreement.n, level, known)?;
        apply(agreement, &factors, SHARE, level)
    });
    PairResult {
        first_trial: numbers.0,
        second_trial: numbers.1,
        n: first.len(),
        change: change_in_mean(first, second, level),
        error,
        limits,
    }
}

fn known_factors(n: usize, level: f64, known: &mut Known) -> Result<Factors, MeasureError> {
    if let Some((_, factors)) = known.iter().find(|(count, _)| *count == n) {
        return factors.clone();
    }
    let found = factors(n, SHARE, level);
    known.push((n, found.clone()));
    found
}
