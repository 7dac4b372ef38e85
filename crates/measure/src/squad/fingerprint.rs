//! Which cause made a wave differ from its predictions: chances by Gaussian marginal likelihood.
//! One cause at a time or nothing; says "cannot separate" rather than picking a close winner.
//! Formula: conjugate normal model, closed form (textbook).

use super::causes::{Cause, CauseKind, NextMeasurement, next};
use crate::{Interval, MeasureError, check, dist};
use statrs::function::gamma::gamma_ur;

/// From this likeness of two shapes on (cosine, weighted by precision) more runners like these
/// cannot tell them apart.
const SAME_SHAPE: f64 = 0.98;

/// One runner of the wave; outcome as a log or in bouts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Runner {
    /// Predicted outcome.
    pub predicted: f64,
    /// SD of outcome minus prediction when nothing is wrong, above 0.
    pub sd: f64,
    /// Observed outcome.
    pub observed: f64,
}

/// A cause or nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Suspect {
    /// Nothing but the usual spread.
    Nothing,
    /// A cause by its place in the list.
    Cause {
        /// Place, from 0.
        place: usize,
        /// What it is.
        kind: CauseKind,
    },
}

/// What the wave says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Verdict {
    /// One candidate is ahead by at least the stated ratio.
    Points(Suspect),
    /// The two best are within the ratio.
    CannotSeparate {
        /// The likelier one.
        first: Suspect,
        /// The next one.
        second: Suspect,
        /// Whether their shapes are alike over these runners, so that more of them are no help.
        same_shape: bool,
        /// What would tell them apart.
        next: NextMeasurement,
    },
}

/// One cause after the wave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CauseFit {
    /// What it is.
    pub kind: CauseKind,
    /// Chance of this cause, given that it is one of the list or nothing.
    pub probability: f64,
    /// Size if this is the cause, shrunk by its prior.
    pub size: f64,
    /// Interval of the size.
    pub interval: Interval,
    /// Log of its marginal likelihood over that of nothing.
    pub log_ratio: f64,
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Fingerprint {
    /// The causes in the order given.
    pub causes: Vec<CauseFit>,
    /// Chance that nothing is the matter.
    pub nothing: f64,
    /// What the wave says.
    pub verdict: Verdict,
    /// Chance of a spread this large or larger if the likeliest candidate is the whole story; a
    /// small value (below 0.01, say) means that none of the list fits.
    pub fit: f64,
}

/// Returns the chances of each cause and of nothing (`nothing_weight` above 0). `ratio` (1 or
/// more, such as 3) is how much likelier the best must be than the next; intervals at `level`.
pub fn fingerprint(
    runners: &[Runner],
    causes: &[Cause],
    nothing_weight: f64,
    ratio: f64,
    level: f64,
) -> Result<Fingerprint, MeasureError> {
    check::positive("weight of nothing", nothing_weight)?;
    check::within("ratio", ratio, ratio >= 1.0, "1 or more")?;
    let z = dist::two_sided(level, None)?;
    let (gaps, precisions) = gaps(runners)?;
    let mut fits = Vec::with_capacity(causes.len());
    let mut scores = vec![nothing_weight.ln()];
    for cause in causes {
        let (fit, score) = one(cause, &gaps, &precisions, z, level)?;
        fits.push(fit);
        scores.push(score);
    }
    let top = scores.iter().fold(f64::NEG_INFINITY, |m, s| m.max(*s));
    let total: f64 = scores.iter().map(|s| (s - top).exp()).sum();
    let chance = |i: usize| (scores[i] - top).exp() / total;
    for (i, fit) in fits.iter_mut().enumerate() {
        fit.probability = chance(i + 1);
    }
    let mut order: Vec<usize> = (0..scores.len()).collect();
    order.sort_by(|&a, &b| scores[b].total_cmp(&scores[a]).then(a.cmp(&b)));
    let best = order[0].checked_sub(1).map(|i| (&causes[i], fits[i].size));
    Ok(Fingerprint {
        nothing: chance(0),
        verdict: verdict(&order, &scores, causes, &precisions, ratio),
        fit: misfit(&gaps, &precisions, best),
        causes: fits,
    })
}

fn gaps(runners: &[Runner]) -> Result<(Vec<f64>, Vec<f64>), MeasureError> {
    if runners.is_empty() {
        return Err(MeasureError::TooFew {
            what: "runners of the wave",
            found: 0,
            needed: 1,
        });
    }
    let (mut gaps, mut precisions) = (Vec::new(), Vec::new());
    for runner in runners {
        let predicted = check::finite("predicted outcome", runner.predicted)?;
        let observed = check::finite("observed outcome", runner.observed)?;
        let sd = check::positive("SD of a prediction", runner.sd)?;
        gaps.push(check::result(
            "outcome minus prediction",
            observed - predicted,
        )?);
        precisions.push(check::result("the precision", 1.0 / (sd * sd))?);
    }
    Ok((gaps, precisions))
}

fn one(
    cause: &Cause,
    gaps: &[f64],
    precisions: &[f64],
    z: f64,
    level: f64,
) -> Result<(CauseFit, f64), MeasureError> {
    if cause.shape.len() != gaps.len() {
        return Err(MeasureError::UnequalLengths {
            what: "runners and the shape of a cause",
            first: gaps.len(),
            second: cause.shape.len(),
        });
    }
    check::list("shape of a cause", &cause.shape, 1)?;
    let prior = check::positive("prior SD of a cause", cause.prior_sd)?;
    let weight = check::positive("weight of a cause", cause.weight)?;
    let own = weighted(&cause.shape, &cause.shape, precisions);
    if own <= 0.0 {
        return Err(MeasureError::NoSpread {
            what: "the effects of a cause on the runners",
            hint: "a cause that acts on nobody cannot be told from nothing; leave it out",
        });
    }
    let pull = weighted(&cause.shape, gaps, precisions);
    let precision = check::result("the precision of a size", own + 1.0 / (prior * prior))?;
    let size = pull / precision;
    let half = z / precision.sqrt();
    let log_ratio = 0.5 * (pull * size - (prior * prior * own).ln_1p());
    let fit = CauseFit {
        kind: cause.kind,
        probability: 0.0,
        size: check::result("the size of a cause", size)?,
        interval: Interval {
            lower: check::result("the size of a cause", size - half)?,
            upper: check::result("the size of a cause", size + half)?,
            level,
        },
        log_ratio: check::result("the likelihood of a cause", log_ratio)?,
    };
    Ok((fit, weight.ln() + log_ratio))
}

fn weighted(a: &[f64], b: &[f64], precisions: &[f64]) -> f64 {
    a.iter()
        .zip(b)
        .zip(precisions)
        .map(|((a, b), p)| a * b * p)
        .sum()
}

fn verdict(
    order: &[usize],
    scores: &[f64],
    causes: &[Cause],
    precisions: &[f64],
    ratio: f64,
) -> Verdict {
    let suspect = |i: usize| match i.checked_sub(1) {
        None => Suspect::Nothing,
        Some(place) => Suspect::Cause {
            place,
            kind: causes[place].kind,
        },
    };
    let Some(&second) = order.get(1) else {
        return Verdict::Points(suspect(order[0]));
    };
    let first = order[0];
    if scores[first] - scores[second] >= ratio.ln() && scores[first] > scores[second] {
        return Verdict::Points(suspect(first));
    }
    let cause = |i: usize| i.checked_sub(1).map(|place| &causes[place]);
    let same_shape = cause(first).zip(cause(second)).is_some_and(|(a, b)| {
        let across = weighted(&a.shape, &b.shape, precisions).abs();
        let own = weighted(&a.shape, &a.shape, precisions);
        let other = weighted(&b.shape, &b.shape, precisions);
        across >= SAME_SHAPE * (own * other).sqrt()
    });
    Verdict::CannotSeparate {
        first: suspect(first),
        second: suspect(second),
        same_shape,
        next: next(cause(first).map(|c| c.kind), cause(second).map(|c| c.kind)),
    }
}

/// Upper tail of chi-square of what the best candidate leaves; its one size costs one df.
fn misfit(gaps: &[f64], precisions: &[f64], best: Option<(&Cause, f64)>) -> f64 {
    let left: f64 = (0..gaps.len())
        .map(|i| {
            let effect = best.map_or(0.0, |(cause, size)| size * cause.shape[i]);
            (gaps[i] - effect).powi(2) * precisions[i]
        })
        .sum();
    let df = gaps.len() - usize::from(best.is_some());
    if df == 0 || left <= 0.0 {
        return 1.0;
    }
    gamma_ur(df as f64 / 2.0, left / 2.0)
}
