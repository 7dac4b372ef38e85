//! Test days: where, on what, in which conditions, with which test and settings.
//! Must not hold what follows from these; comparisons are another crate's business.

use jiff::civil::{Date, Time};
use serde_json::Value;

use super::Reading;
use crate::db::{Row, V};
use crate::error::ArchiveError;
use crate::id::DayId;
use crate::schema::TEST_DAY_VERSION;

/// What is known of a test day.
#[derive(Debug, Clone, PartialEq)]
pub struct DayFacts {
    /// The date.
    pub date: Date,
    /// What the day is called.
    pub name: Option<String>,
    /// The squad tested.
    pub squad: Option<String>,
    /// Id of the test definition planned for the day.
    pub ladder_id: Option<String>,
    /// Digest of that definition's ladder as it was then.
    pub ladder_fingerprint: Option<String>,
    /// The rule settings used.
    pub settings: Option<Value>,
    /// The place.
    pub venue: Option<String>,
    /// What was run on.
    pub surface: Option<String>,
    /// Whether under a roof.
    pub indoor: Option<bool>,
    /// The course as measured, line to line, in whole millimetres; nothing when not measured.
    pub course_length_mm: Option<u32>,
    /// Local time of the first start.
    pub start_time: Option<Time>,
    /// Air temperature, °C, −60 to 70.
    pub temperature_c: Option<f64>,
    /// Relative humidity, 0 to 100 %.
    pub humidity_percent: Option<f64>,
    /// Wind speed, m/s, 0 to 120.
    pub wind_m_s: Option<f64>,
    /// Wind along the lanes, m/s, −120 to 120, positive from the start line to the far line.
    pub wind_along_lane_m_s: Option<f64>,
    /// Wet-bulb globe temperature, °C, −60 to 70.
    pub wbgt_c: Option<f64>,
    /// What was not per definition.
    pub deviation: Option<String>,
    /// Remarks.
    pub notes: Option<String>,
}

impl DayFacts {
    /// Returns the facts of a day of which only the date is known.
    pub fn on(date: Date) -> Self {
        Self {
            date,
            name: None,
            squad: None,
            ladder_id: None,
            ladder_fingerprint: None,
            settings: None,
            venue: None,
            surface: None,
            indoor: None,
            course_length_mm: None,
            start_time: None,
            temperature_c: None,
            humidity_percent: None,
            wind_m_s: None,
            wind_along_lane_m_s: None,
            wbgt_c: None,
            deviation: None,
            notes: None,
        }
    }

    /// Returns the columns of a version from `on_date` to `notes`.
    pub(crate) fn to_values(&self) -> [V; 18] {
        [
            self.date.to_string().into(),
            self.name.clone().into(),
            self.squad.clone().into(),
            self.ladder_id.clone().into(),
            self.ladder_fingerprint.clone().into(),
            self.settings.as_ref().map(Value::to_string).into(),
            self.venue.clone().into(),
            self.surface.clone().into(),
            self.indoor.into(),
            self.course_length_mm.into(),
            self.start_time.map(|time| time.to_string()).into(),
            self.temperature_c.into(),
            self.humidity_percent.into(),
            self.wind_m_s.into(),
            self.wind_along_lane_m_s.into(),
            self.wbgt_c.into(),
            self.deviation.clone().into(),
            self.notes.clone().into(),
        ]
    }
}

/// A test day as the archive knows it now.
#[derive(Debug, Clone, PartialEq)]
pub struct TestDay {
    /// The test day.
    pub id: DayId,
    /// What is known of it.
    pub facts: DayFacts,
    /// The version in force.
    pub(crate) version: String,
}

impl TestDay {
    pub(crate) fn from_row(row: Row) -> Result<Self, ArchiveError> {
        let mut row = Reading::new(&TEST_DAY_VERSION, row);
        Ok(Self {
            version: row.text()?,
            id: row.id(DayId)?,
            facts: DayFacts {
                date: row.date()?,
                name: row.opt_text()?,
                squad: row.opt_text()?,
                ladder_id: row.opt_text()?,
                ladder_fingerprint: row.opt_text()?,
                settings: row.opt_json()?,
                venue: row.opt_text()?,
                surface: row.opt_text()?,
                indoor: row.opt_flag()?,
                course_length_mm: row.opt_int()?,
                start_time: row.opt_time()?,
                temperature_c: row.opt_real()?,
                humidity_percent: row.opt_real()?,
                wind_m_s: row.opt_real()?,
                wind_along_lane_m_s: row.opt_real()?,
                wbgt_c: row.opt_real()?,
                deviation: row.opt_text()?,
                notes: row.opt_text()?,
            },
        })
    }
}
