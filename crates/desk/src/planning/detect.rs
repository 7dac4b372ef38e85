//! The typical error of a test for a group, on the ln scale and in the test's unit; what is detectable.
//! "No adequate error estimate" stays an answer; nothing stands in for it.

use plimsoll_interpret::data::TestScale;
use plimsoll_interpret::reliability::{ErrorAnswer, ErrorRequest, choose_error};
use plimsoll_interpret::{Catalogue as Facts, Person, Size};
use plimsoll_ladder::Test;
use plimsoll_measure::change::whole_steps;
use plimsoll_measure::dist::two_sided;
use plimsoll_measure::planning::Rungs;
use serde::Serialize;

use super::ladder::distance_of;
use super::{PlanningError, words};
use crate::meaning::Choices;

/// Confidence of a detectable change, two-sided.
pub const LEVEL: f64 = 0.95;

/// The error of one trial.
#[derive(Debug, Clone, PartialEq)]
pub struct Noise {
    /// SD of the ln of the distance; none without an adequate estimate.
    pub ln: Option<f64>,
    /// As published or set.
    pub size: Option<Size>,
    /// Unit of the size where it is in the unit of the test.
    pub unit: &'static str,
    /// Step in which scores move, in the unit of the size.
    pub step: Option<f64>,
    /// Where it comes from with its tag, or why there is none.
    pub basis: String,
}

/// The smallest change of one person between two single tests that chance seldom makes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Detectable {
    /// In percent of the score, where the error is a percentage.
    pub percent: Option<f64>,
    /// In the unit of the test, at the middle of the group; nothing where that is not known.
    pub value: Option<f64>,
    /// The unit.
    pub unit: &'static str,
    /// In whole steps of the score, rounded up.
    pub steps: Option<f64>,
    /// In words.
    pub words: String,
    /// Which typical error, with source and tag.
    pub basis: String,
}

/// Returns the typical error of a test for somebody like `person`, near `distance` m.
///
/// # Errors
///
/// [`PlanningError`] when a number cannot be used.
pub fn noise(
    facts: &Facts,
    test: &Test,
    person: &Person,
    distance: Option<f64>,
    choices: &Choices,
) -> Result<Noise, PlanningError> {
    let request = ErrorRequest {
        test: test.id(),
        quantity: None,
        person,
        level: choices.level,
        by_hand: choices.error,
        own: None,
        from_memory: choices.from_memory,
    };
    let scale = facts.scale(test.id());
    let unit = scale.map_or("m", |s| s.unit.as_str());
    let step = scale.and_then(|s| s.step);
    Ok(match choose_error(facts, &request)? {
        ErrorAnswer::Chosen(choice) => Noise {
            ln: ln_error(test, scale, choice.size, distance),
            size: Some(choice.size),
            unit,
            step,
            basis: choice.basis,
        },
        ErrorAnswer::NoAdequateError { words } => Noise {
            ln: None,
            size: None,
            unit,
            step,
            basis: words,
        },
    })
}

/// A size as SD of the ln of the distance; a size in a unit needs to know near which distance.
fn ln_error(
    test: &Test,
    scale: Option<&TestScale>,
    size: Size,
    distance: Option<f64>,
) -> Option<f64> {
    let on_ladder = |unit| {
        use plimsoll_interpret::Unit::{KmPerHour, Metres, Shuttles};
        matches!(unit, Metres | Shuttles | KmPerHour)
    };
    // An error of a heart rate says nothing of a distance.
    if scale.is_some_and(|s| !on_ladder(s.unit)) {
        return None;
    }
    match size {
        Size::Percent(percent) => Some((1.0 + percent / 100.0).ln()),
        Size::InUnit(error) => {
            let unit = scale.map_or(plimsoll_interpret::Unit::Metres, |s| s.unit);
            let near = distance?;
            let value = value_at(test, scale, near)?;
            let up = distance_of(test, unit, value + error).map(|d| (d / near).ln());
            let down = distance_of(test, unit, value - error).map(|d| (near / d).ln());
            match (up, down) {
                (Some(up), Some(down)) => Some(f64::midpoint(up, down)),
                (one, other) => one.or(other),
            }
            .filter(|e| e.is_finite() && *e > 0.0)
        }
    }
}

/// The value of a distance in the unit of the test: of the last rung at or before it.
fn value_at(test: &Test, scale: Option<&TestScale>, distance: f64) -> Option<f64> {
    let bouts = test.ladder()?.bouts();
    let n = bouts.partition_point(|b| b.distance.as_m_f64() <= distance) as u32;
    let score = crate::score(test, plimsoll_judge::Amount::Bouts(n.max(1)))?;
    crate::history::comparable(&score, scale).map(|v| v.0)
}

/// Returns the change that two single tests must show, near `distance` m; none without an error.
///
/// # Errors
///
/// [`PlanningError`] when a number cannot be used.
pub fn detectable(
    test: &Test,
    scale: Option<&TestScale>,
    rungs: &Rungs,
    distance: Option<f64>,
    noise: &Noise,
) -> Result<Option<Detectable>, PlanningError> {
    let z = two_sided(LEVEL, None)? * std::f64::consts::SQRT_2;
    let (percent, value) = match (noise.size, noise.ln) {
        (Some(Size::Percent(p)), None) => {
            let percent = 100.0 * ((z * (1.0 + p / 100.0).ln()).exp() - 1.0);
            return Ok(Some(Detectable {
                percent: Some(percent),
                value: None,
                unit: noise.unit,
                steps: None,
                words: sentence(
                    &format!(
                        "{} % of the score, in {},",
                        words::digits(percent, 1),
                        noise.unit
                    ),
                    "",
                ),
                basis: noise.basis.clone(),
            }));
        }
        (Some(Size::Percent(_)), Some(ln)) => {
            let ratio = (z * ln).exp() - 1.0;
            let near = distance.and_then(|d| value_at(test, scale, d));
            let middle = rungs.distance(rungs.bouts() / 2);
            let value = near.or_else(|| value_at(test, scale, middle));
            (Some(100.0 * ratio), ratio * value.unwrap_or(middle))
        }
        (Some(Size::InUnit(error)), _) => (None, z * error),
        _ => return Ok(None),
    };
    let steps = match noise.step {
        Some(step) => Some(whole_steps(value, step)?.steps),
        None => None,
    };
    let size = match (percent, noise.unit) {
        (Some(p), unit) => format!(
            "{} % (about {} {unit})",
            words::digits(p, 0),
            words::digits(value, 0)
        ),
        (None, unit) => format!("{} {unit}", words::digits(value, 1)),
    };
    let stepped = match (noise.step, steps) {
        (Some(step), Some(n)) if step != 1.0 => format!(
            ", {n:.0} steps of {} {}",
            words::digits(step, 1),
            noise.unit
        ),
        _ => String::new(),
    };
    Ok(Some(Detectable {
        percent,
        value: Some(value),
        unit: noise.unit,
        steps,
        words: sentence(&size, &stepped),
        basis: noise.basis.clone(),
    }))
}

fn sentence(size: &str, stepped: &str) -> String {
    format!(
        "one runner must change by {size}{stepped} between two tests before chance is ruled out (95 %)"
    )
}
