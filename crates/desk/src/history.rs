//! A person's results of one test as observations: value, unit, and what was known of the day.

use jiff::civil::{Date, Time};
use plimsoll_archive::{DayFacts, HistoryEntry, Illness, ResultFacts};
use plimsoll_interpret::data::TestScale;
use plimsoll_interpret::{Unit, change::Observation};
use plimsoll_judge::{Censoring, StopReason};
use plimsoll_ladder::Test;

use crate::score::{Score, score};

/// A measured course within this of the nominal length counts as that length.
/// Common practice, no source: aim for 2 cm on 20 m.
const COURSE_TOLERANCE: f64 = 0.001;

/// One result of a person with everything derived from it.
#[derive(Debug, Clone)]
pub struct Entry {
    /// The archive's entry.
    pub entry: HistoryEntry,
    /// What it comes to on the ladder.
    pub score: Score,
    /// The value in which results of the test are compared, and its unit.
    pub value: Option<(f64, Unit)>,
}

impl Entry {
    /// Returns the day of the result.
    pub const fn date(&self) -> Date {
        self.entry.day.facts.date
    }

    /// Returns whether the result is known only as "at least".
    pub const fn is_lower_bound(&self) -> bool {
        self.entry.result.facts.outcome.is_lower_bound()
    }

    /// Returns the result as an observation, if it has a value.
    pub fn observation(&self, test: &Test) -> Option<Observation> {
        let (value, unit) = self.value?;
        let day: &DayFacts = &self.entry.day.facts;
        let facts: &ResultFacts = &self.entry.result.facts;
        let minutes =
            |t: Time| u32::try_from(i32::from(t.hour()) * 60 + i32::from(t.minute())).ok();
        Some(Observation {
            lower_bound: self.is_lower_bound(),
            ceiling: facts.outcome.censoring() == Censoring::Ceiling,
            trial_number: facts.trial_number.or(Some(self.entry.nth)),
            rules: rules(day),
            surface: day.surface.as_ref().map(|s| s.trim().to_lowercase()),
            wbgt_c: day.wbgt_c,
            air_c: day.temperature_c,
            indoor: day.indoor,
            footwear: facts
                .covariates
                .footwear
                .as_ref()
                .map(|s| s.trim().to_lowercase()),
            time_of_day_min: facts
                .covariates
                .time_of_day
                .or(day.start_time)
                .and_then(minutes),
            course_length_mm: course(day, test),
            caffeine: facts.covariates.caffeine,
            sleep_h: facts.covariates.sleep_h,
            ill: facts.covariates.illness.map(|i| i != Illness::None),
            reason_recorded: Some(facts.outcome.reason != StopReason::NotRecorded),
            ..Observation::new(day_number(day.date), value, unit)
        })
    }
}

/// Returns days since 1970-01-01.
pub fn day_number(date: Date) -> i64 {
    date.duration_since(Date::constant(1970, 1, 1)).as_hours() / 24
}

/// Returns ladder and settings as one text: equal texts, equal rules.
fn rules(day: &DayFacts) -> Option<String> {
    let print = day.ladder_fingerprint.as_ref()?;
    let settings = day
        .settings
        .as_ref()
        .map(ToString::to_string)
        .unwrap_or_default();
    Some(format!("{print} {settings}"))
}

/// Returns the measured course, or the nominal one when the measured one is as good as that.
fn course(day: &DayFacts, test: &Test) -> Option<u32> {
    let measured = day.course_length_mm?;
    let nominal = test
        .definition()
        .course
        .leg
        .as_ref()
        .map(|l| l.value.as_mm() as f64);
    match nominal {
        Some(nominal) if (f64::from(measured) - nominal).abs() <= COURSE_TOLERANCE * nominal => {
            Some(nominal as u32)
        }
        _ => Some(measured),
    }
}

/// Returns the value in which results of a test are compared, and its unit.
pub fn comparable(score: &Score, scale: Option<&TestScale>) -> Option<(f64, Unit)> {
    let unit = scale.map_or(Unit::Metres, |s| s.unit);
    let value = match unit {
        Unit::Metres => score.distance_m,
        Unit::KmPerHour => score.final_speed_kmh.or(score.average_speed_kmh),
        Unit::MetresPerSecond => score.average_speed_kmh.map(|v| v / 3.6),
        Unit::Shuttles => score.shuttles.map(f64::from),
        Unit::Seconds => score.time_s,
        Unit::BeatsPerMinute | Unit::MlPerKgMin => None,
    };
    value.map(|v| (v, unit))
}

/// Returns a person's results of one test, oldest first.
pub fn entries(history: Vec<HistoryEntry>, test: &Test, scale: Option<&TestScale>) -> Vec<Entry> {
    history
        .into_iter()
        .filter(|h| h.result.facts.outcome.ladder == test.id() && !h.result.withdrawn)
        .map(|entry| {
            let score = score(test, entry.result.facts.outcome.amount).unwrap_or_default();
            let value = comparable(&score, scale);
            Entry {
                entry,
                score,
                value,
            }
        })
        .collect()
}
