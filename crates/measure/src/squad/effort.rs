//! Hints that stops were not from exhaustion alone: heaping, cascades, low peak heart rate.
//! A hint is a reason to ask, never a finding about a person.
//! Formulas: Poisson binomial tail (exact), union bound over windows, best of n (textbook).

use super::best_of::largest;
use crate::{MeasureError, check, tails};

/// Most runners of a wave.
const MOST: usize = 2000;

/// How far chance explains what was seen. The limits 5 % and 0.5 %: common practice, no source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Strength {
    /// Chance explains it.
    None,
    /// Chance seldom does (below 5 %).
    Weak,
    /// Chance hardly does (below 0.5 %).
    Strong,
}

/// What was seen against what was expected.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hint {
    /// Number seen.
    pub observed: usize,
    /// Number expected.
    pub expected: f64,
    /// Chance of as many or more.
    pub chance: f64,
    /// In words.
    pub strength: Strength,
    /// Start of the window with the smallest chance; none for heaping.
    pub from: Option<f64>,
}

/// One runner's stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PredictedStop {
    /// When the runner stopped, in bouts or seconds.
    pub stop: f64,
    /// Predicted stop.
    pub predicted: f64,
    /// SD of stop minus prediction, above 0.
    pub sd: f64,
}

/// A peak heart rate against the personal best.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LowPeak {
    /// Peak expected when the runner goes all out; below the best, which is the best of several.
    pub expected: f64,
    /// Peak less expected, in SDs of that difference.
    pub z: f64,
    /// Chance of a peak as low or lower.
    pub chance: f64,
    /// In words.
    pub strength: Strength,
}

/// Returns whether more stops fall on stage starts than expected: for each runner whether the
/// stop did, and the chance (0 to 1) that a stop from exhaustion would.
pub fn heaping(on_start: &[bool], chances: &[f64]) -> Result<Hint, MeasureError> {
    if on_start.len() != chances.len() {
        return Err(MeasureError::UnequalLengths {
            what: "stops and their chances",
            first: on_start.len(),
            second: chances.len(),
        });
    }
    room(on_start.len(), 1)?;
    for &p in chances {
        check::within(
            "chance of a stage start",
            p,
            (0.0..=1.0).contains(&p),
            "0 to 1",
        )?;
    }
    let observed = on_start.iter().filter(|hit| **hit).count();
    let chance = tails::at_least(chances, observed);
    Ok(Hint {
        observed,
        expected: chances.iter().sum(),
        chance,
        strength: strength(chance),
        from: None,
    })
}

/// Returns whether more runners (five or more in the wave) stop within `window` of each other
/// than their predictions let expect. `grain` is the step of the stops (1 for bouts, 0 for
/// seconds). The wave's median gap is taken out; the chance allows for looking at every window.
pub fn cascade(stops: &[PredictedStop], window: f64, grain: f64) -> Result<Hint, MeasureError> {
    let window = check::not_negative("window", window)?;
    let half = check::not_negative("grain of the stops", grain)? / 2.0;
    room(stops.len(), 5)?;
    for runner in stops {
        check::finite("stop", runner.stop)?;
        check::finite("predicted stop", runner.predicted)?;
        check::positive("SD of a prediction", runner.sd)?;
        check::result(
            "the gap to the prediction",
            (runner.stop - runner.predicted) / runner.sd,
        )?;
    }
    let gaps = stops.iter().map(|r| r.stop - r.predicted).collect();
    let shift = check::median(gaps).unwrap_or(0.0);
    let mut best: Option<Hint> = None;
    for (i, start) in stops.iter().enumerate() {
        let (from, to) = (start.stop, start.stop + window);
        let others = || {
            stops
                .iter()
                .enumerate()
                .filter(|(j, _)| *j != i)
                .map(|(_, r)| r)
        };
        let inside = others().filter(|r| r.stop >= from && r.stop <= to).count();
        let chances: Vec<f64> = others()
            .map(|r| {
                let at = |edge: f64| tails::phi((edge - r.predicted - shift) / r.sd);
                (at(to + half) - at(from - half)).clamp(0.0, 1.0)
            })
            .collect();
        let chance = (tails::at_least(&chances, inside) * stops.len() as f64).min(1.0);
        if best.is_none_or(|b| chance < b.chance) {
            best = Some(Hint {
                observed: inside + 1,
                expected: chances.iter().sum::<f64>() + 1.0,
                chance,
                strength: strength(chance),
                from: Some(from),
            });
        }
    }
    best.ok_or(MeasureError::Overflow {
        what: "the stops within a window",
    })
}

/// Returns how low a peak heart rate is against the best of `earlier` all-out tests (1 to a
/// million), with the SD of a person's peak between such tests (above 0), in beats a minute.
pub fn low_peak(peak: f64, best: f64, earlier: u32, sd: f64) -> Result<LowPeak, MeasureError> {
    let peak = check::positive("peak heart rate", peak)?;
    let best = check::positive("best heart rate", best)?;
    let sd = check::positive("SD of the peak heart rate", sd)?;
    check::within(
        "number of earlier tests",
        f64::from(earlier),
        (1..=1_000_000).contains(&earlier),
        "1 to a million",
    )?;
    let (mean, variance) = largest(f64::from(earlier));
    let expected = best - mean * sd;
    let z = check::result(
        "the gap to the best",
        (peak - expected) / (sd * (1.0 + variance).sqrt()),
    )?;
    let chance = tails::phi(z);
    Ok(LowPeak {
        expected,
        z,
        chance,
        strength: strength(chance),
    })
}

fn strength(chance: f64) -> Strength {
    match chance {
        p if p < 0.005 => Strength::Strong,
        p if p < 0.05 => Strength::Weak,
        _ => Strength::None,
    }
}

fn room(found: usize, needed: usize) -> Result<(), MeasureError> {
    let what = "runners of the wave";
    if found < needed {
        return Err(MeasureError::TooFew {
            what,
            found,
            needed,
        });
    }
    if found > MOST {
        return Err(MeasureError::TooMany {
            what,
            found,
            allowed: MOST,
        });
    }
    Ok(())
}
