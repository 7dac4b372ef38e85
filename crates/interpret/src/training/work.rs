//! Speed and distance of one work period for one person.
//! Must not correct for turns twice, and must not go beyond what each rule was made for.
//! Sources: turns 0.7 s, from memory; 103.1 % in a straight line, Haydar 2011, abstract read.

use serde::Serialize;

use super::TrainingRefusal;
use super::rules::{SAME_LANE, check_rules, holds_turns, value};
use crate::data::{BasisKind, TrainingBasis};
use crate::speeds::{SpeedReserve, shuttle_work};

/// Time a turn costs, s. Convention, from memory; to be set by hand.
pub const TURN_LOSS_S: f64 = 0.7;
/// Straight-line speed over final speed on 40 m lanes. Source: Haydar 2011, abstract read.
pub const HAYDAR_STRAIGHT: f64 = 1.031;
/// Above this percentage of a 30 s / 15 s final speed the rule fails. Interpretation notes, section 7.
pub const MOST_PERCENT: f64 = 110.0;
/// What is known of a person's speeds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Speeds {
    /// Final speed of the test, or maximal aerobic speed, km/h.
    pub reference_kmh: f64,
    /// Maximal sprint speed, km/h.
    pub sprint_kmh: Option<f64>,
}

/// How hard.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Intensity {
    /// Percent of the reference speed.
    Percent(f64),
    /// Share (0 to 1) of the reserve between maximal aerobic and sprint speed.
    Reserve(f64),
}

/// Where.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Course {
    /// In a straight line or round a track.
    Straight,
    /// To and fro over a lane of this length, m.
    Lane(f64),
}

/// What is set by hand.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct Rules {
    /// Loss per turn, s; none: the convention where it applies.
    pub turn_s: Option<f64>,
    /// Factor from final speed over 40 m lanes to a straight line.
    pub straight_factor: Option<f64>,
    /// Factor from the test's final speed to maximal aerobic speed.
    pub factor: Option<f64>,
}

/// What was done about turns.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum Correction {
    /// Straight running from a straight-line speed: nothing to correct.
    None,
    /// The speed already holds the turns of this lane.
    AlreadyIn,
    /// A loss for each turn.
    PerTurn {
        /// The loss, s.
        seconds: f64,
    },
    /// A factor for straight running.
    StraightFactor {
        /// The factor.
        factor: f64,
    },
    /// Straight running from a shuttle speed without a factor: somewhat easy.
    Uncorrected,
}

/// One work period.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Work {
    /// Speed asked for, km/h, before any loss for turns.
    pub speed_kmh: f64,
    /// Distance at that speed in a straight line, m.
    pub straight_m: f64,
    /// Distance to run, m.
    pub distance_m: f64,
    /// Turns in it.
    pub turns: u32,
    /// What was done about turns.
    pub correction: Correction,
}

/// Returns speed and distance of a work period of `work_s` seconds.
///
/// # Errors
///
/// [`TrainingRefusal`] when a rule does not hold, each with what to do.
pub fn work(
    basis: &TrainingBasis,
    speeds: &Speeds,
    intensity: Intensity,
    course: Course,
    work_s: f64,
    rules: &Rules,
) -> Result<Work, TrainingRefusal> {
    let work_s = value(
        "length of a run (s)",
        work_s,
        (1.0..=3600.0).contains(&work_s),
        "1 to 3600 s",
    )?;
    check_rules(basis, course, rules)?;
    let (kind, reference) = reference(basis, speeds, rules)?;
    let speed_kmh = speed(basis, kind, reference, speeds.sprint_kmh, intensity)?;
    if let (BasisKind::Shuttle, Some(own)) = (kind, basis.lane_m) {
        let whole = matches!(intensity, Intensity::Percent(p) if p == 100.0);
        if !whole || !is_lane(course, own) {
            return Err(TrainingRefusal::ShuttlesOnly {
                test: basis.test.clone(),
                lane_m: own,
                found: found(intensity, course),
            });
        }
    }
    let straight_m = speed_kmh / 3.6 * work_s;
    let (distance_m, turns, correction) = match course {
        Course::Straight => match (kind, rules.straight_factor) {
            (BasisKind::Final, Some(factor)) => (
                straight_m * factor,
                0,
                Correction::StraightFactor { factor },
            ),
            (BasisKind::Final, None) => (straight_m, 0, Correction::Uncorrected),
            _ => (straight_m, 0, Correction::None),
        },
        Course::Lane(lane) if holds_turns(kind, basis, lane) => (
            straight_m,
            turns_over(straight_m, lane),
            Correction::AlreadyIn,
        ),
        Course::Lane(lane) => {
            let seconds = rules.turn_s.unwrap_or(TURN_LOSS_S);
            let found = shuttle_work(speed_kmh / 3.6, work_s, lane, seconds)?;
            if found.shuttle_m <= 0.0 {
                let lane_m = lane;
                return Err(TrainingRefusal::NoTimeLeft { work_s, lane_m });
            }
            (
                found.shuttle_m,
                found.turns,
                Correction::PerTurn { seconds },
            )
        }
    };
    Ok(Work {
        speed_kmh,
        straight_m,
        distance_m,
        turns,
        correction,
    })
}

/// Returns what the reference speed stands for, and the speed, km/h.
fn reference(
    basis: &TrainingBasis,
    speeds: &Speeds,
    rules: &Rules,
) -> Result<(BasisKind, f64), TrainingRefusal> {
    let kmh = speeds.reference_kmh;
    let kmh = value(
        "reference speed (km/h)",
        kmh,
        (1.0..=45.0).contains(&kmh),
        "1 to 45 km/h",
    )?;
    match (rules.factor, basis.kind) {
        (Some(factor), _) => Ok((BasisKind::Mas, kmh * factor)),
        (None, BasisKind::Rests) => Err(TrainingRefusal::AfterRests {
            test: basis.test.clone(),
        }),
        (None, kind) => Ok((kind, kmh)),
    }
}

fn speed(
    basis: &TrainingBasis,
    kind: BasisKind,
    reference: f64,
    sprint: Option<f64>,
    intensity: Intensity,
) -> Result<f64, TrainingRefusal> {
    match intensity {
        Intensity::Percent(percent) => {
            let holds = (10.0..=200.0).contains(&percent);
            let percent = value("percentage of the speed", percent, holds, "10 to 200 %")?;
            if kind == BasisKind::Final && percent > MOST_PERCENT {
                return Err(TrainingRefusal::TooFast { percent });
            }
            Ok(reference * percent / 100.0)
        }
        Intensity::Reserve(share) => {
            let holds = (0.0..=1.0).contains(&share);
            let share = value("share of the speed reserve", share, holds, "0 to 1")?;
            if kind != BasisKind::Mas {
                let test = basis.test.clone();
                return Err(TrainingRefusal::NoReserve { test });
            }
            let sprint = sprint.ok_or(TrainingRefusal::NoSprintSpeed)?;
            let reserve = SpeedReserve::new(reference / 3.6, sprint / 3.6)?;
            Ok(reserve.speed_at(share) * 3.6)
        }
    }
}

fn is_lane(course: Course, own: f64) -> bool {
    matches!(course, Course::Lane(lane) if (lane - own).abs() <= SAME_LANE)
}

fn turns_over(distance: f64, lane: f64) -> u32 {
    ((distance / lane).ceil() - 1.0).clamp(0.0, 1e6) as u32
}

fn found(intensity: Intensity, course: Course) -> String {
    let how = match intensity {
        Intensity::Percent(p) => format!("{p} %"),
        Intensity::Reserve(f) => format!("a share {f} of the reserve"),
    };
    match course {
        Course::Straight => format!("{how} in a straight line"),
        Course::Lane(lane) => format!("{how} over {lane} m lanes"),
    }
}

#[cfg(test)]
mod tests {
    use super::HAYDAR_STRAIGHT;
    use crate::speeds::{Layout, layout_speed};

    #[test]
    fn the_straight_factor_is_that_of_the_layouts() {
        let got = layout_speed(10.0, Layout::StraightLine).expect("a speed");
        assert!((got - 10.0 * HAYDAR_STRAIGHT).abs() < 1e-12);
    }
}
