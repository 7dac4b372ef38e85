//! The spread of a day's results: what is between people, what is error, what whole bouts add.
//! Must give no group where the results differ no more than error makes them. Formula: docs/methods/squad-questions.md.

use plimsoll_measure::squad::Group;

use super::gather::{Runner, Seen, Squad};

/// Full results from which a group says something of its members. Chosen, no source.
const FEWEST: usize = 6;
/// Share of the spread that must be between people for the group to be used. Chosen, no source.
const LEAST_RELIABILITY: f64 = 0.1;

/// What the squad's results say as a group, on ln.
pub(super) struct Spread {
    /// Typical error of a performance.
    pub error: f64,
    /// Variance that whole bouts add.
    pub rounding: f64,
    /// Performances as if they were read to the metre; nothing when too few or no spread.
    pub group: Option<Group>,
    /// The same as read, in whole bouts.
    pub as_read: Option<Group>,
}

/// Returns the spread of the squad; nothing when no typical error is known.
pub(super) fn spread(squad: &Squad<'_>) -> Option<Spread> {
    let errors: Vec<f64> = squad.runners.iter().filter_map(|r| r.error).collect();
    let error =
        (!errors.is_empty()).then(|| mean(&errors.iter().map(|e| e * e).collect::<Vec<_>>()))?;
    let full: Vec<(f64, f64)> = squad.runners.iter().filter_map(full).collect();
    let (at, width): (Vec<f64>, Vec<f64>) = full.iter().copied().unzip();
    let rounding = if full.is_empty() {
        0.0
    } else {
        mean(&width.iter().map(|w| w * w).collect::<Vec<_>>()) / 12.0
    };
    let middle = if full.is_empty() { 0.0 } else { mean(&at) };
    let seen = at.iter().map(|x| (x - middle).powi(2)).sum::<f64>() / (at.len().max(2) - 1) as f64;
    let between = seen - error - rounding;
    let group = |variance: f64| Group {
        mean: middle,
        sd: variance.sqrt(),
        reliability: between / variance,
    };
    let usable = full.len() >= FEWEST && between > LEAST_RELIABILITY * seen;
    Some(Spread {
        error: error.sqrt(),
        rounding,
        group: usable.then(|| group(seen - rounding)),
        as_read: usable.then(|| group(seen)),
    })
}

pub(super) fn full(runner: &Runner) -> Option<(f64, f64)> {
    match runner.seen {
        Seen::Full { at, width } => Some((at, width)),
        Seen::AtLeast | Seen::Other => None,
    }
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}
