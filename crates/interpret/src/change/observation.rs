//! One result with what is known of its conditions.
//! Everything but day, value and unit may be unknown; unknown is never taken as equal or different.

use serde::{Deserialize, Serialize};

use crate::Unit;

/// A result on a day.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Observation {
    /// Days since 1970-01-01.
    pub day: i64,
    /// The result, in `unit`.
    pub value: f64,
    /// Its unit.
    pub unit: Unit,
    /// Whether it is only known as "at least" (injury, faulty sound, withdrawn).
    #[serde(default)]
    pub lower_bound: bool,
    /// Whether the ladder ended before the runner did.
    #[serde(default)]
    pub ceiling: bool,
    /// How often the person had done this test, this time included.
    #[serde(default)]
    pub trial_number: Option<u32>,
    /// Fingerprint of the ladder and rule settings.
    #[serde(default)]
    pub rules: Option<String>,
    /// Surface, one word.
    #[serde(default)]
    pub surface: Option<String>,
    /// Wet-bulb globe temperature, degrees C.
    #[serde(default)]
    pub wbgt_c: Option<f64>,
    /// Air temperature, degrees C.
    #[serde(default)]
    pub air_c: Option<f64>,
    /// Whether it was under a roof.
    #[serde(default)]
    pub indoor: Option<bool>,
    /// Footwear, one word.
    #[serde(default)]
    pub footwear: Option<String>,
    /// Start, minutes after midnight.
    #[serde(default)]
    pub time_of_day_min: Option<u32>,
    /// Measured length of the course, mm.
    #[serde(default)]
    pub course_length_mm: Option<u32>,
    /// Whether caffeine was taken.
    #[serde(default)]
    pub caffeine: Option<bool>,
    /// Sleep in the night before, h.
    #[serde(default)]
    pub sleep_h: Option<f64>,
    /// Whether the person was ill on the day.
    #[serde(default)]
    pub ill: Option<bool>,
    /// Whether a reason for stopping was recorded.
    #[serde(default)]
    pub reason_recorded: Option<bool>,
}

impl Observation {
    /// Makes an observation with nothing known but its day, value and unit.
    pub fn new(day: i64, value: f64, unit: Unit) -> Self {
        Self {
            day,
            value,
            unit,
            lower_bound: false,
            ceiling: false,
            trial_number: None,
            rules: None,
            surface: None,
            wbgt_c: None,
            air_c: None,
            indoor: None,
            footwear: None,
            time_of_day_min: None,
            course_length_mm: None,
            caffeine: None,
            sleep_h: None,
            ill: None,
            reason_recorded: None,
        }
    }

    /// Returns whether the runner could have done more: "at least" this value.
    pub(crate) fn is_open_above(&self) -> bool {
        self.lower_bound || self.ceiling
    }

    /// Returns hours from an earlier observation, at the least, when clock times are unknown.
    pub(crate) fn hours_since(&self, earlier: &Self) -> f64 {
        let days = self.day.saturating_sub(earlier.day) as f64;
        match (earlier.time_of_day_min, self.time_of_day_min) {
            (Some(a), Some(b)) => 24.0 * days + (f64::from(b) - f64::from(a)) / 60.0,
            // One day apart is under 48 h whatever the hour; from two days on it is not known.
            _ => 24.0 * days,
        }
    }
}

/// Returns whether two known things differ; unknown on either side is no difference.
pub(crate) fn differ<T: PartialEq>(a: Option<&T>, b: Option<&T>) -> bool {
    matches!((a, b), (Some(a), Some(b)) if a != b)
}
