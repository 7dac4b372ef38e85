//! Which corrections for turns hold where, and which would count them twice.
//! Must not correct anything itself. Interpretation notes, section 7.

use super::TrainingRefusal;
use super::work::{Course, Rules};
use crate::InterpretError;
use crate::data::{BasisKind, TrainingBasis};

/// Under this lane the rule for turns fails, m. As above.
const SHORTEST_LANE: f64 = 10.0;
/// A lane this near to the test's own is the test's own, m.
pub(super) const SAME_LANE: f64 = 0.5;

/// Returns the value when it is finite and `holds`.
pub(super) fn value(
    what: &'static str,
    found: f64,
    holds: bool,
    allowed: &'static str,
) -> Result<f64, TrainingRefusal> {
    if found.is_finite() && holds {
        return Ok(found);
    }
    Err(TrainingRefusal::Value(InterpretError::Value {
        what,
        found,
        allowed,
    }))
}

/// Checks that the corrections set by hand hold for this speed and course, and not twice.
pub(super) fn check_rules(
    basis: &TrainingBasis,
    course: Course,
    rules: &Rules,
) -> Result<(), TrainingRefusal> {
    if let (Some(factor), Some(turn_s)) = (rules.straight_factor, rules.turn_s) {
        return Err(TrainingRefusal::BothCorrections { factor, turn_s });
    }
    if let Some(turn_s) = rules.turn_s {
        value(
            "loss per turn (s)",
            turn_s,
            (0.0..=5.0).contains(&turn_s),
            "0 to 5 s",
        )?;
    }
    if let Some(factor) = rules.factor {
        let holds = (0.5..=1.5).contains(&factor);
        value(
            "factor to maximal aerobic speed",
            factor,
            holds,
            "0.5 to 1.5",
        )?;
    }
    if let Some(factor) = rules.straight_factor {
        let holds = (0.9..=1.2).contains(&factor);
        value("straight-line factor", factor, holds, "0.9 to 1.2")?;
        let made_for = basis.kind == BasisKind::Final
            && basis.lane_m == Some(40.0)
            && rules.factor.is_none()
            && course == Course::Straight;
        if !made_for {
            let found = match course {
                Course::Lane(lane) => format!("{lane} m lanes"),
                Course::Straight if rules.factor.is_some() => {
                    "a speed with a factor of its own".to_owned()
                }
                Course::Straight => format!("`{}`", basis.test),
            };
            return Err(TrainingRefusal::FactorElsewhere { factor, found });
        }
    }
    let Course::Lane(lane_m) = course else {
        return Ok(());
    };
    value(
        "lane (m)",
        lane_m,
        lane_m > 0.0 && lane_m <= 1000.0,
        "10 to 1000 m",
    )?;
    if lane_m < SHORTEST_LANE {
        return Err(TrainingRefusal::LaneTooShort { lane_m });
    }
    match rules.turn_s {
        Some(turn_s) if rules.factor.is_none() && holds_turns(basis.kind, basis, lane_m) => {
            Err(TrainingRefusal::TurnsAlreadyIn {
                test: basis.test.clone(),
                lane_m,
                turn_s,
            })
        }
        _ => Ok(()),
    }
}

/// Returns whether a speed holds the turns of a lane. That over 40 m holds on 28 m too: 99.7 % of it (Haydar 2011, abstract read).
pub(super) fn holds_turns(kind: BasisKind, basis: &TrainingBasis, lane: f64) -> bool {
    let near = |own: f64| (lane - own).abs() <= SAME_LANE;
    let own = basis.lane_m.is_some_and(near);
    let alike = [28.0, 40.0];
    let swapped = basis.lane_m.is_some_and(|l| alike.contains(&l)) && alike.into_iter().any(near);
    match kind {
        BasisKind::Final => own || swapped,
        BasisKind::Shuttle => own,
        BasisKind::Mas | BasisKind::Rests => false,
    }
}
