//! Lines up two lists of times: heard = offset + rate * track, with misses and false times.
//! Does not decide what was played, and hears nothing. Facts: see the files below it.

mod line;
pub mod matched;
mod pairs;
mod runs;

use std::cmp::Ordering;

use thiserror::Error;

pub use line::Line;
pub(crate) use line::quick;
pub(crate) use pairs::pair;
pub(crate) use runs::{Reach, Runs, search};

/// What [`align`] may assume.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AlignOptions {
    /// Largest |rate - 1|, above 0 and at most 0.2.
    pub max_rate_error: f64,
    /// Largest error of one heard time, seconds.
    pub slack_s: f64,
    /// Fewest pairs that make an answer, at least 4.
    pub least_pairs: usize,
}

impl Default for AlignOptions {
    fn default() -> Self {
        Self {
            max_rate_error: 0.05,
            slack_s: 0.06,
            least_pairs: 6,
        }
    }
}

/// Two lists of times laid over each other.
#[derive(Debug, Clone, PartialEq)]
pub struct Alignment {
    /// The line.
    pub line: Line,
    /// Indices (track, heard) of the pairs, increasing in both.
    pub pairs: Vec<(usize, usize)>,
    /// Median residual, seconds.
    pub residual_median_s: f64,
    /// Median absolute deviation of the residuals, seconds, not scaled.
    pub residual_mad_s: f64,
    /// Largest absolute residual, seconds.
    pub residual_max_s: f64,
}

/// Why two lists could not be laid over each other.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum AlignError {
    /// A list is too short.
    #[error(
        "the {list} list holds {found} times, at least {least} are needed; use a longer stretch"
    )]
    TooFew {
        /// `track` or `heard`.
        list: &'static str,
        /// How many there are.
        found: usize,
        /// How many are needed.
        least: usize,
    },
    /// A list is not in increasing order or holds a time that is not a number.
    #[error("the {list} list does not increase at its {at}. time; sort it and drop doubles")]
    NotSorted {
        /// `track` or `heard`.
        list: &'static str,
        /// Place counted from 1.
        at: usize,
    },
    /// An option is outside its range.
    #[error("{option} is {found}, allowed is {allowed}; change the option")]
    Option {
        /// Its name.
        option: &'static str,
        /// What was given.
        found: f64,
        /// What may be given.
        allowed: &'static str,
    },
    /// No line explains enough times.
    #[error(
        "the best line pairs {best} of {track} track times with heard ones, at least {least} are \
         needed; listen to a longer or cleaner stretch"
    )]
    NoLine {
        /// Pairs of the best line.
        best: usize,
        /// Track times.
        track: usize,
        /// Pairs needed.
        least: usize,
    },
}

/// Lines up the times of a track with heard ones, both in seconds, increasing.
///
/// Lines are proposed by runs of four neighbouring times; only when those find nothing, every
/// offset at every rate on a grid is counted. The best line is refined over its one-to-one
/// pairs by Theil and Sen's rule.
///
/// # Errors
///
/// [`AlignError`] when a list is short or unsorted, an option is out of range, or no line pairs
/// enough times.
pub fn align(
    track: &[f64],
    heard: &[f64],
    options: &AlignOptions,
) -> Result<Alignment, AlignError> {
    check(track, heard, options)?;
    let reach = Reach {
        rate: options.max_rate_error,
        slack: options.slack_s,
    };
    let least = options.least_pairs;
    let mut best: Option<Alignment> = None;
    for dense in [false, true] {
        let runs = Runs::new([track], dense);
        let found = search(&runs, &[track], heard, reach, dense);
        for start in found.lines.get(&0).into_iter().flatten() {
            consider(track, heard, (start.a, start.b), options, &mut best);
        }
        if best.as_ref().is_some_and(|b| b.pairs.len() >= least) {
            break;
        }
    }
    if best.as_ref().is_none_or(|b| b.pairs.len() < least)
        && let Some(start) = pairs::count_all(track, heard, reach)
    {
        consider(track, heard, start, options, &mut best);
    }
    match best {
        Some(best) if best.pairs.len() >= least => Ok(best),
        other => Err(AlignError::NoLine {
            best: other.map_or(0, |b| b.pairs.len()),
            track: track.len(),
            least,
        }),
    }
}

/// Refines a line and keeps it when it is better than the best so far.
fn consider(
    track: &[f64],
    heard: &[f64],
    start: (f64, f64),
    options: &AlignOptions,
    best: &mut Option<Alignment>,
) {
    let Some(next) = refine(track, heard, start, options) else {
        return;
    };
    // A shift by one cue of a smoothly quickening track pairs as many times, but loosely: each
    // pair counts by how much closer than chance it is.
    let merit = |a: &Alignment| {
        let spread = (1.4826 * a.residual_mad_s).max(1e-4);
        a.pairs.len() as f64 * (4.0 * options.slack_s / spread).max(1.1).ln()
    };
    if best.as_ref().is_none_or(|b| merit(&next) > merit(b)) {
        *best = Some(next);
    }
}

/// Pairs, fits and pairs again until the pairs stay.
fn refine(
    track: &[f64],
    heard: &[f64],
    start: (f64, f64),
    options: &AlignOptions,
) -> Option<Alignment> {
    let times = |pairs: &[(usize, usize)]| -> Vec<(f64, f64)> {
        pairs.iter().map(|p| (track[p.0], heard[p.1])).collect()
    };
    let (mut a, mut b) = start;
    let mut slack = options.slack_s;
    for _ in 0..4 {
        let fit = quick(&times(&pair(track, heard, a, b, slack)), a, b, 1e-6)?;
        (a, b) = (fit.a, fit.b);
        slack = (8.0 * fit.spread).clamp(0.1 * options.slack_s, options.slack_s);
    }
    let pairs = pair(track, heard, a, b, slack);
    let line = line::theil_sen(&times(&pairs))?;
    if (line.rate - 1.0).abs() > options.max_rate_error * 1.02 {
        return None;
    }
    let mut residuals: Vec<f64> = times(&pairs)
        .iter()
        .map(|p| p.1 - line.offset_s - line.rate * p.0)
        .collect();
    let residual_max_s = residuals.iter().fold(0.0, |m: f64, r| m.max(r.abs()));
    let middle = line::median(&mut residuals);
    for r in &mut residuals {
        *r = (*r - middle).abs();
    }
    Some(Alignment {
        line,
        pairs,
        residual_median_s: middle,
        residual_mad_s: line::median(&mut residuals),
        residual_max_s,
    })
}

/// Refuses lists and options that cannot be used.
fn check(track: &[f64], heard: &[f64], options: &AlignOptions) -> Result<(), AlignError> {
    let option = |option, found, allowed| AlignError::Option {
        option,
        found,
        allowed,
    };
    if !(options.max_rate_error > 0.0 && options.max_rate_error <= 0.2) {
        let allowed = "above 0, at most 0.2";
        return Err(option("max_rate_error", options.max_rate_error, allowed));
    }
    if !(options.slack_s > 0.0 && options.slack_s <= 1.0) {
        return Err(option("slack_s", options.slack_s, "above 0, at most 1"));
    }
    if options.least_pairs < 4 {
        return Err(option(
            "least_pairs",
            options.least_pairs as f64,
            "4 or more",
        ));
    }
    for (list, times) in [("track", track), ("heard", heard)] {
        if times.len() < options.least_pairs {
            return Err(AlignError::TooFew {
                list,
                found: times.len(),
                least: options.least_pairs,
            });
        }
        let rises = |w: &[f64]| w[0].partial_cmp(&w[1]) == Some(Ordering::Less);
        let bad = times.windows(2).position(|w| !rises(w));
        if let Some(at) = bad {
            return Err(AlignError::NotSorted { list, at: at + 2 });
        }
    }
    Ok(())
}
