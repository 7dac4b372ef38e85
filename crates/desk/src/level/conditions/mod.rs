//! What the conditions of a day add to a result: course, track, heat, wind and surface, each with its doubt.
//! Must not change a result; it only moves and widens what a result says of the level. Formula: docs/methods/level.md.

mod ease;
mod shared;
mod sizes;
mod usual;

use plimsoll_archive::DayFacts;
use plimsoll_interpret::data::TestScale;
use plimsoll_ladder::Test;
use plimsoll_measure::level::Normal;
use serde::Serialize;

use crate::history::Entry;

pub use shared::Learnt;
pub(super) use shared::learn;
pub use usual::Usual;

use ease::Ease;

/// Which condition.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ConditionKind {
    /// The course was not as long as it should be.
    Course,
    /// The track ran fast or slow.
    Track,
    /// Hotter or colder than usual.
    Heat,
    /// More or less wind than usual.
    Wind,
    /// Another surface than usual.
    Surface,
}

/// What one condition adds to one result.
#[derive(Debug, Clone, PartialEq)]
pub struct Condition {
    /// Which.
    pub kind: ConditionKind,
    /// Added to ln of the result.
    pub adds: Normal,
    /// What was seen.
    pub seen: String,
    /// Where the size comes from.
    pub source: &'static str,
}

/// What is known of the day of a result.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DayTerms {
    /// Conditions that add something.
    pub conditions: Vec<Condition>,
    /// Whether the course was taped.
    pub course_taped: bool,
    /// Whether a recording says how fast the track ran.
    pub track_heard: bool,
}

impl DayTerms {
    /// Returns what all conditions add to ln of the result, errors taken as independent.
    pub fn sum(&self) -> Normal {
        let mean = self.conditions.iter().map(|c| c.adds.mean).sum();
        let variance: f64 = self.conditions.iter().map(|c| c.adds.sd.powi(2)).sum();
        Normal {
            mean,
            sd: variance.sqrt(),
        }
    }
}

/// Returns what the day of a result adds to it, against the days usual for the group.
/// `track` is the error of the playback speed as a share, where a recording tells it.
pub fn of_entry(
    test: &Test,
    scale: Option<&TestScale>,
    entry: &Entry,
    usual: &Usual,
    track: Option<f64>,
) -> DayTerms {
    let day = &entry.entry.day.facts;
    let ease = Ease::of(test, scale, entry);
    let conditions = [
        course(test, day, &ease),
        track.and_then(|error| played(error, &ease)),
        heat(day, usual, &ease),
        wind(day, usual, &ease),
        surface(day, usual),
    ];
    DayTerms {
        conditions: conditions.into_iter().flatten().collect(),
        course_taped: day.course_length_mm.is_some(),
        track_heard: track.is_some(),
    }
}

/// A wrong course at right cues asks for the same share more or less of speed.
fn course(test: &Test, day: &DayFacts, ease: &Ease<'_>) -> Option<Condition> {
    let nominal = test.definition().course.leg.as_ref()?.value.as_m_f64();
    let measured = f64::from(day.course_length_mm?) / 1e3;
    let error = measured / nominal - 1.0;
    if error.abs() <= sizes::COURSE_TOLERANCE {
        return None;
    }
    let adds = ease.exactly(error, sizes::RULE_ERROR)?;
    let seen = format!("course {measured:.2} m instead of {nominal:.2} m");
    Some(condition(ConditionKind::Course, adds, seen, sizes::RULE))
}

fn played(error: f64, ease: &Ease<'_>) -> Option<Condition> {
    if error.abs() <= sizes::TRACK_TOLERANCE {
        return None;
    }
    let adds = ease.exactly(error, sizes::RULE_ERROR)?;
    let way = if error > 0.0 { "fast" } else { "slow" };
    let seen = format!("the track ran {:.2} % {way}", 100.0 * error.abs());
    Some(condition(ConditionKind::Track, adds, seen, sizes::RULE))
}

fn heat(day: &DayFacts, usual: &Usual, ease: &Ease<'_>) -> Option<Condition> {
    let more = sizes::heat(day)? - usual.heat;
    let adds = ease.about(more, sizes::HEAT_DOUBT)?;
    let seen = match (day.wbgt_c, day.temperature_c) {
        (Some(wbgt), _) => format!("WBGT {wbgt:.1} °C"),
        (None, Some(air)) => format!("air {air:.1} °C"),
        (None, None) => return None,
    };
    Some(condition(ConditionKind::Heat, adds, seen, sizes::HEAT))
}

fn wind(day: &DayFacts, usual: &Usual, ease: &Ease<'_>) -> Option<Condition> {
    let more = sizes::wind(day)? - usual.wind;
    let adds = ease.about(more, sizes::wind_doubt(day))?;
    let seen = match (day.wind_along_lane_m_s, day.wind_m_s) {
        (Some(along), _) => format!("wind of {:.1} m/s along the lanes", along.abs()),
        (None, Some(any)) => format!("wind of {any:.1} m/s, direction not recorded"),
        (None, None) => return None,
    };
    Some(condition(ConditionKind::Wind, adds, seen, sizes::WIND))
}

fn surface(day: &DayFacts, usual: &Usual) -> Option<Condition> {
    let here = usual::floor(day)?;
    let there = usual.surface.as_deref()?;
    let (adds, source) = sizes::surface(&here, there)?;
    let seen = format!("{here} instead of the usual {there}");
    Some(condition(ConditionKind::Surface, adds, seen, source))
}

/// Below this on ln, both in mean and in SD, a condition is heard but not worth a word: 3 %. Chosen, no source.
const WORTH_A_WORD: f64 = 0.03;

fn condition(kind: ConditionKind, adds: Normal, seen: String, source: &'static str) -> Condition {
    Condition {
        kind,
        adds,
        seen,
        source,
    }
}

impl Condition {
    /// Returns whether it is large enough to be told.
    pub fn matters(&self) -> bool {
        self.adds.mean.abs() > WORTH_A_WORD || self.adds.sd > WORTH_A_WORD
    }
}
