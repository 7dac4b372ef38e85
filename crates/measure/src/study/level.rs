//! Does the error grow with the value? Absolute difference against the person's mean.
//! Advises logs or raw values; one point a person, so points are independent.
//! Sources: Bland & Altman 1986, Atkinson & Nevill 1998 (from memory); interval of Fisher's z.

use super::trials::Trials;
use crate::{Interval, MeasureError, check, dist};

/// From this half width on an interval around 0 is too wide to advise raw values.
const TOO_WIDE: f64 = 0.35;

/// Correlation of the absolute difference with the mean.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Relation {
    /// The correlation, -1 to 1.
    pub r: f64,
    /// Its interval (Fisher's z, approximate).
    pub interval: Interval,
    /// People with at least one pair of neighbouring trials.
    pub n: usize,
}

/// Which scale the errors ask for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Advice {
    /// The error grows with the value, and logs lessen that.
    Logs,
    /// The error does not grow with the value as far as so many people can show.
    Raw,
    /// Too few people, or neither scale removes the relation: use what is usual for the test.
    CannotTell,
}

/// The check on both scales.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelCheck {
    /// On the values.
    pub raw: Relation,
    /// On their logs, or why there are none.
    pub logs: Result<Relation, MeasureError>,
    /// What follows.
    pub advice: Advice,
}

/// Returns the check for four or more people with neighbouring trials.
pub fn level_check(trials: &Trials, level: f64) -> Result<LevelCheck, MeasureError> {
    level_check_with(trials, &trials.logs(), level)
}

/// The same with the logs at hand.
pub(crate) fn level_check_with(
    trials: &Trials,
    logs: &Result<Trials, MeasureError>,
    level: f64,
) -> Result<LevelCheck, MeasureError> {
    let raw = relation(trials, level)?;
    let logs = logs
        .as_ref()
        .map_err(Clone::clone)
        .and_then(|logs| relation(logs, level));
    let advice = match &logs {
        Ok(logs) if raw.interval.lower > 0.0 && logs.r.abs() < raw.r => Advice::Logs,
        _ if raw.interval.upper < 0.0 => Advice::Raw,
        _ if raw.interval.lower <= 0.0 && raw.interval.half_width() <= TOO_WIDE => Advice::Raw,
        _ => Advice::CannotTell,
    };
    Ok(LevelCheck { raw, logs, advice })
}

fn relation(trials: &Trials, level: f64) -> Result<Relation, MeasureError> {
    let k = trials.numbers().len();
    let (mut sizes, mut means) = (Vec::new(), Vec::new());
    for row in trials.table().chunks_exact(k) {
        let (mut steps, mut total) = (0.0, 0.0);
        for ends in row.windows(2) {
            let step = (ends[1] - ends[0]).abs();
            if !step.is_nan() {
                steps += 1.0;
                total += step;
            }
        }
        if steps > 0.0 {
            let seen = row.iter().filter(|v| !v.is_nan());
            means.push(seen.clone().sum::<f64>() / seen.count() as f64);
            sizes.push(total / steps);
        }
    }
    check::list("people with neighbouring trials", &sizes, 4)?;
    let r = correlation(&sizes, &means)?;
    let n = sizes.len();
    let half = dist::two_sided(level, None)? / (n as f64 - 3.0).sqrt();
    let centre = r.clamp(-1.0 + 1e-15, 1.0 - 1e-15).atanh();
    Ok(Relation {
        r,
        interval: Interval {
            lower: (centre - half).tanh(),
            upper: (centre + half).tanh(),
            level,
        },
        n,
    })
}

/// Pearson's correlation of two lists of the same length.
fn correlation(x: &[f64], y: &[f64]) -> Result<f64, MeasureError> {
    let (mx, my) = (check::mean(x), check::mean(y));
    let (mut xx, mut yy, mut xy) = (0.0, 0.0, 0.0);
    for (a, b) in x.iter().zip(y) {
        xx += (a - mx).powi(2);
        yy += (b - my).powi(2);
        xy += (a - mx) * (b - my);
    }
    let rounding = 1e-13 * x.iter().chain(y).fold(0.0_f64, |m, v| m.max(v.abs()));
    let n = x.len() as f64;
    if (xx / n).sqrt() <= rounding || (yy / n).sqrt() <= rounding {
        return Err(MeasureError::NoSpread {
            what: "the differences or the means of the people",
            hint: "a relation needs people and differences that vary",
        });
    }
    check::result("the correlation", xy / (xx.sqrt() * yy.sqrt()))
}
