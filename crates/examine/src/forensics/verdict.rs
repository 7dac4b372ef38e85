//! From evidence to a verdict: one ladder, several that cannot be told apart, a switch, or none.
//! One consistent column can exclude ladders but never identifies one, and the verdict says so.

use serde::Serialize;

use super::evidence::Evidence;
use super::switch::{self, Switch};
use crate::rungs::Ladders;

/// Prior chance that a whole column is written one bout too high, and the same for too low.
/// Chosen, no source: the rule "announced or completed" differs between scoring traditions.
const OFFSET_PRIOR: f64 = 0.01;
/// Posterior that names a ladder.
const SURE: f64 = 0.95;
/// A ladder that explains a smaller share of rows exactly fits nothing. One that needs its labels
/// moved by a bout must explain more.
const FITS: f64 = 0.5;
const FITS_MOVED: f64 = 0.8;

/// The verdict on which ladder produced the rows.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "verdict", rename_all = "snake_case")]
pub enum LadderVerdict {
    /// One ladder explains the rows and no other does.
    Identified {
        /// Id of the test.
        id: String,
        /// Its posterior probability.
        posterior: f64,
    },
    /// Several ladders explain these rows equally well.
    Shared {
        /// Ids of the tests.
        ids: Vec<String>,
        /// Their joint posterior probability.
        posterior: f64,
    },
    /// The ladder changed in mid-file.
    Switch {
        /// Id before.
        from: String,
        /// Id from the row on.
        to: String,
        /// The row a spreadsheet shows, first of the second ladder.
        row: u32,
        /// Probability of exactly that row, given the switch.
        row_posterior: f64,
    },
    /// The rows do not say.
    CannotTell {
        /// Why.
        why: String,
        /// Ladders that the rows do not exclude.
        compatible: Vec<String>,
    },
    /// No known ladder explains most of the rows.
    NoneFits {
        /// The ladder that explains most.
        nearest: String,
        /// Share of rows it explains, 0 to 1.
        explained: f64,
    },
}

/// A verdict with what the faults need.
pub(crate) struct Conclusion {
    /// The verdict, without the row of a switch filled in by the sheet.
    pub verdict: LadderVerdict,
    /// Posterior of each ladder, averaged over rows.
    pub posterior: Vec<f64>,
    /// The ladder to read the rows against, when there is one.
    pub table: Option<usize>,
    /// Index into the offsets 0, +1, -1 that fits best on that ladder.
    pub offset: usize,
    /// The switch.
    pub switch: Option<Switch>,
    /// Ladders that no row excludes.
    pub compatible: Vec<usize>,
}

/// Draws the conclusion. `order` lists weighed rows as they were run; `row_number` names a row.
pub(crate) fn conclude(
    evidence: &Evidence,
    ladders: &Ladders,
    order: &[usize],
    row_number: impl Fn(usize) -> u32,
) -> Conclusion {
    let prior: Vec<f64> = ladders
        .tables
        .iter()
        .take(evidence.ladders())
        .map(|t| t.prior)
        .collect();
    let id = |l: usize| ladders.table(l).map_or_else(String::new, |t| t.id.clone());
    let ids = |list: &[usize]| list.iter().map(|l| id(*l)).collect::<Vec<_>>();
    let (posterior, offset_of) = posterior(evidence, &prior);
    let best = top(&posterior);
    let compatible = compatible(evidence);
    let mut conclusion = Conclusion {
        verdict: LadderVerdict::CannotTell {
            why: String::new(),
            compatible: ids(&compatible),
        },
        posterior,
        table: None,
        offset: 0,
        switch: None,
        compatible: compatible.clone(),
    };
    let cannot = |why: &str| LadderVerdict::CannotTell {
        why: why.to_owned(),
        compatible: ids(&compatible),
    };
    if evidence.rows.is_empty() {
        conclusion.verdict = cannot("cannot tell: no row has a result column that can be read");
        return conclusion;
    }
    let rows = evidence.rows_with(2);
    if rows == 0 {
        conclusion.verdict = cannot(
            "cannot tell: only one column says where on a ladder a row is; a second one (label, \
             distance, count, time or speed) would tell the ladders apart",
        );
        return conclusion;
    }
    if let Some(found) = switch::find(evidence, order, &prior) {
        let row = order.get(found.at).map_or(0, |i| row_number(*i));
        conclusion.verdict = LadderVerdict::Switch {
            from: id(found.from),
            to: id(found.to),
            row,
            row_posterior: round(found.at_posterior),
        };
        let share = found.at as f64 / order.len().max(1) as f64;
        for (l, p) in conclusion.posterior.iter_mut().enumerate() {
            *p = if l == found.from {
                share
            } else if l == found.to {
                1.0 - share
            } else {
                0.0
            };
        }
        conclusion.table = Some(found.from);
        conclusion.switch = Some(found);
        return conclusion;
    }
    let offset = offset_of.get(best).copied().unwrap_or(0);
    let exact = evidence.exact_rows(best, offset) as f64 / rows as f64;
    let twins = inseparable(evidence, &conclusion.posterior, best, offset);
    let joint: f64 = twins
        .iter()
        .filter_map(|l| conclusion.posterior.get(*l))
        .sum();
    conclusion.offset = offset;
    if exact < if offset == 0 { FITS } else { FITS_MOVED } {
        conclusion.verdict = LadderVerdict::NoneFits {
            nearest: id(best),
            explained: round(exact),
        };
    } else if joint >= SURE && twins.len() == 1 {
        conclusion.table = Some(best);
        conclusion.verdict = LadderVerdict::Identified {
            id: id(best),
            posterior: round(joint),
        };
    } else if joint >= SURE {
        conclusion.table = Some(best);
        conclusion.verdict = LadderVerdict::Shared {
            ids: ids(&twins),
            posterior: round(joint),
        };
    } else {
        conclusion.verdict = cannot(
            "cannot tell: the rows fit several ladders, and none of them much better than the rest",
        );
    }
    conclusion
}

/// Returns the best ladder with those that explain the rows as well: equal on every row, or needed to
/// make up the mass and exact on as many rows but for one in twenty.
fn inseparable(evidence: &Evidence, posterior: &[f64], best: usize, offset: usize) -> Vec<usize> {
    let mut order: Vec<usize> = (0..evidence.ladders()).filter(|l| *l != best).collect();
    let mass = |l: usize| posterior.get(l).copied().unwrap_or(0.0);
    order.sort_by(|a, b| mass(*b).total_cmp(&mass(*a)).then(a.cmp(b)));
    let exact = evidence.exact_rows(best, offset) as f64;
    let mut list = vec![best];
    let mut sum = mass(best);
    for l in order {
        let as_good = evidence.exact_rows(l, offset) as f64 >= exact * 0.95 - 0.5;
        if evidence.are_equal(best, l) || (sum < SURE && as_good) {
            list.push(l);
            sum += mass(l);
        }
    }
    list.sort_unstable();
    list
}

/// Returns the posterior of each ladder and the offset that fits best on it.
fn posterior(evidence: &Evidence, prior: &[f64]) -> (Vec<f64>, Vec<usize>) {
    let weights = [1.0 - 2.0 * OFFSET_PRIOR, OFFSET_PRIOR, OFFSET_PRIOR];
    let mut logs: Vec<f64> = Vec::new();
    let mut offsets: Vec<usize> = Vec::new();
    for (l, p) in prior.iter().enumerate() {
        let by_offset: Vec<f64> = evidence
            .sums
            .iter()
            .zip(weights)
            .map(|(sums, w)| sums.get(l).copied().unwrap_or(f64::NEG_INFINITY) + f64::ln(w))
            .collect();
        let best = top(&by_offset);
        let peak = by_offset.get(best).copied().unwrap_or(f64::NEG_INFINITY);
        let sum: f64 = by_offset.iter().map(|v| (v - peak).exp()).sum();
        logs.push(peak + sum.ln() + p.ln());
        offsets.push(best);
    }
    let peak = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let weights: Vec<f64> = logs.iter().map(|v| (v - peak).exp()).collect();
    let total: f64 = weights.iter().sum();
    (weights.into_iter().map(|w| w / total).collect(), offsets)
}

/// Ladders whose likelihood is within a typing error or two of the best.
fn compatible(evidence: &Evidence) -> Vec<usize> {
    let Some(sums) = evidence.sums.first() else {
        return Vec::new();
    };
    let best = sums.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    // About one wrong cell in twenty is forgiven.
    let slack = 7.0 * (evidence.rows.len() as f64 / 20.0).floor().max(0.0) + 0.5;
    (0..evidence.ladders())
        .filter(|l| sums.get(*l).is_some_and(|s| *s >= best - slack))
        .collect()
}

fn top(values: &[f64]) -> usize {
    let mut best = 0;
    for (i, v) in values.iter().enumerate() {
        if values.get(best).is_some_and(|b| *v > *b + 1e-12) {
            best = i;
        }
    }
    best
}

/// Rounds a probability to six places, so that a report does not print noise.
pub(crate) fn round(p: f64) -> f64 {
    (p * 1e6).round() / 1e6
}
