//! The inputs an equation may use, and where they come from.
//! Refuses numbers that cannot be right for a runner before any formula sees them.
//! Plausible ranges: common practice, no source; wide on purpose.

use serde::{Deserialize, Serialize};

use crate::{Performance, Person, Sex};

/// An input of an equation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Input {
    /// Distance, m.
    DistanceM,
    /// Speed of the last completed (or announced) stage, km/h.
    FinalSpeedKmh,
    /// Shuttles completed.
    Shuttles,
    /// Level with the share of its shuttles done.
    LevelDecimal,
    /// Last half stage completed.
    HalfStage,
    /// Time, s.
    TimeS,
    /// Time, min.
    TimeMin,
    /// Age with decimals, years.
    AgeYears,
    /// Age in completed years.
    AgeWholeYears,
    /// Sex as the equation codes it.
    SexCode,
    /// Body mass, kg.
    MassKg,
    /// Body mass index, kg/m2.
    Bmi,
    /// Heart rate, beats per minute.
    HeartRateBpm,
    /// Speed, m/min.
    SpeedMMin,
    /// Grade as a fraction.
    Grade,
}

impl Input {
    /// Returns the input in words, with its unit.
    pub const fn words(self) -> &'static str {
        match self {
            Self::DistanceM => "distance (m)",
            Self::FinalSpeedKmh => "final speed (km/h)",
            Self::Shuttles => "shuttles completed",
            Self::LevelDecimal => "level with decimals",
            Self::HalfStage => "last half stage completed",
            Self::TimeS => "time (s)",
            Self::TimeMin => "time (min)",
            Self::AgeYears | Self::AgeWholeYears => "age (years)",
            Self::SexCode => "sex",
            Self::MassKg => "body mass (kg)",
            Self::Bmi => "body mass index (kg/m2)",
            Self::HeartRateBpm => "heart rate (bpm)",
            Self::SpeedMMin => "speed (m/min)",
            Self::Grade => "grade (fraction)",
        }
    }

    /// Returns the lowest and highest value that can be right.
    pub const fn plausible(self) -> (f64, f64) {
        match self {
            Self::DistanceM => (0.0, 100_000.0),
            Self::FinalSpeedKmh => (3.0, 40.0),
            Self::Shuttles => (0.0, 1_000.0),
            Self::LevelDecimal | Self::HalfStage => (0.0, 60.0),
            Self::TimeS => (1.0, 36_000.0),
            Self::TimeMin => (0.01, 600.0),
            Self::AgeYears | Self::AgeWholeYears => (3.0, 110.0),
            Self::SexCode => (0.0, 2.0),
            Self::MassKg => (10.0, 250.0),
            Self::Bmi => (8.0, 80.0),
            Self::HeartRateBpm => (30.0, 250.0),
            Self::SpeedMMin => (0.0, 700.0),
            Self::Grade => (-0.5, 0.5),
        }
    }
}

/// Values for inputs; what is not known is `None`.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Inputs {
    /// Distance, m.
    pub distance_m: Option<f64>,
    /// Speed of the last stage, km/h.
    pub final_speed_kmh: Option<f64>,
    /// Shuttles completed.
    pub shuttles: Option<f64>,
    /// Level with the share of its shuttles done.
    pub level_decimal: Option<f64>,
    /// Last half stage completed.
    pub half_stage: Option<f64>,
    /// Time, s.
    pub time_s: Option<f64>,
    /// Age with decimals, years.
    pub age_years: Option<f64>,
    /// Sex.
    pub sex: Option<Sex>,
    /// Body mass, kg.
    pub mass_kg: Option<f64>,
    /// Body mass index, kg/m2.
    pub bmi: Option<f64>,
    /// Heart rate, beats per minute.
    pub heart_rate_bpm: Option<f64>,
    /// Speed, m/min.
    pub speed_m_min: Option<f64>,
    /// Grade as a fraction.
    pub grade: Option<f64>,
}

impl Inputs {
    /// Returns the inputs that a performance and a person give.
    ///
    /// The last half stage is worked out from the level (which counts the level being run) or,
    /// without it, is the last completed stage.
    pub fn of(performance: &Performance, person: &Person) -> Self {
        let half = |complete: f64| (2.0 * complete).floor() / 2.0;
        let half_stage = match (performance.level_decimal, performance.stage) {
            (Some(level), _) => Some(half(level - 1.0)),
            (None, stage) => stage.map(half),
        };
        Self {
            distance_m: performance.distance_m,
            final_speed_kmh: performance.final_speed_kmh,
            shuttles: performance.shuttles.map(f64::from),
            level_decimal: performance.level_decimal,
            half_stage,
            time_s: performance.time_s,
            age_years: person.age_years,
            sex: person.sex,
            mass_kg: person.mass_kg,
            bmi: person.bmi,
            heart_rate_bpm: None,
            speed_m_min: None,
            grade: None,
        }
    }

    /// Returns the value of an input other than sex, if known.
    pub fn get(&self, input: Input) -> Option<f64> {
        match input {
            Input::DistanceM => self.distance_m,
            Input::FinalSpeedKmh => self.final_speed_kmh,
            Input::Shuttles => self.shuttles,
            Input::LevelDecimal => self.level_decimal,
            Input::HalfStage => self.half_stage,
            Input::TimeS => self.time_s,
            Input::TimeMin => self.time_s.map(|s| s / 60.0),
            Input::AgeYears => self.age_years,
            Input::AgeWholeYears => self.age_years.map(f64::floor),
            Input::SexCode => None,
            Input::MassKg => self.mass_kg,
            Input::Bmi => self.bmi,
            Input::HeartRateBpm => self.heart_rate_bpm,
            Input::SpeedMMin => self.speed_m_min,
            Input::Grade => self.grade,
        }
    }
}
