//! Results of the archive as observations of a level: on ln, whole bouts as intervals, cut-short runs as bounds.

use jiff::civil::Date;
use plimsoll_interpret::Size;
use plimsoll_interpret::data::TestScale;
use plimsoll_judge::{Amount, Censoring};
use plimsoll_ladder::Test;
use plimsoll_measure::level::{Observation, Outcome, Series};

use super::{Member, NoLevel, Read};
use crate::history::{Entry, comparable};
use crate::score::score;

/// Returns weeks from one date to another.
pub fn week(origin: Date, date: Date) -> f64 {
    date.duration_since(origin).as_hours() as f64 / (24.0 * 7.0)
}

/// Returns the typical error of a person's results on ln.
pub fn ln_error(member: &Member) -> Option<f64> {
    match member.error? {
        Size::Percent(cv) => Some((cv / 100.0).ln_1p()),
        Size::InUnit(error) => {
            let values: Vec<f64> = member.entries.iter().filter_map(value).collect();
            let mean = values.iter().sum::<f64>() / values.len().max(1) as f64;
            (mean > 0.0).then(|| (error / mean).ln_1p())
        }
    }
    .filter(|sd| sd.is_finite() && *sd > 0.0)
}

fn value(entry: &Entry) -> Option<f64> {
    entry.value.map(|(value, _)| value)
}

/// Returns a person's results as a series; nothing when none of them has a value.
pub fn read(
    test: &Test,
    scale: Option<&TestScale>,
    member: &Member,
    place: usize,
    origin: Date,
) -> Result<Option<Read>, NoLevel> {
    let mut seen = Vec::new();
    let mut days = Vec::new();
    let mut observations = Vec::new();
    for (at, entry) in member.entries.iter().enumerate() {
        let Some(outcome) = outcome(test, scale, entry) else {
            continue;
        };
        seen.push((
            entry.date(),
            value(entry).unwrap_or_default(),
            !matches!(outcome, Outcome::Exact(_) | Outcome::Between { .. }),
        ));
        let trial = entry.entry.result.facts.trial_number;
        let day = member.days.get(at).cloned().unwrap_or_default();
        observations.push(Observation {
            trial: trial.or(Some(entry.entry.nth)),
            conditions: day.sum(),
            ..Observation::plain(week(origin, entry.date()), place, outcome)
        });
        days.push(day);
    }
    if observations.is_empty() {
        return Ok(None);
    }
    let trials = observations
        .iter()
        .filter_map(|o| o.trial)
        .max()
        .unwrap_or(0);
    let series = Series::new(observations).map_err(|e| NoLevel(e.to_string()))?;
    Ok(Some(Read {
        series,
        test: place,
        seen,
        days,
        linked: Vec::new(),
        trials,
    }))
}

/// Returns what a result says of the level; nothing when it says nothing.
pub fn outcome(test: &Test, scale: Option<&TestScale>, entry: &Entry) -> Option<Outcome> {
    let seen = value(entry)?;
    let ln = |value: f64| (value > 0.0).then(|| value.ln());
    if entry.entry.result.facts.outcome.censoring() != Censoring::Score {
        return ln(seen).map(Outcome::AtLeast);
    }
    let Some(bouts) = entry.score.bouts else {
        return ln(seen).map(Outcome::Exact);
    };
    let next = score(test, Amount::Bouts(bouts + 1))
        .and_then(|next| comparable(&next, scale))
        .and_then(|(value, _)| ln(value));
    match (ln(seen), next) {
        (Some(lower), Some(upper)) if upper > lower => Some(Outcome::Between { lower, upper }),
        // Bouts of one speed: the score does not rise with each of them.
        (Some(at), Some(_)) => Some(Outcome::Exact(at)),
        (Some(at), None) => Some(Outcome::AtLeast(at)),
        (None, Some(upper)) => Some(Outcome::AtMost(upper)),
        (None, None) => None,
    }
}
