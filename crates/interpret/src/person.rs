//! What is handed in: a performance, a person, and the small words for both.
//! Holds no rule: what is missing is `None`, and callers are told what that costs.

use serde::{Deserialize, Serialize};

/// Sex as references split it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Sex {
    /// Male.
    #[serde(rename = "M")]
    Male,
    /// Female.
    #[serde(rename = "F")]
    Female,
}

/// Whom a study or reference holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum SexGroup {
    /// Men or boys only.
    #[serde(rename = "M")]
    Male,
    /// Women or girls only.
    #[serde(rename = "F")]
    Female,
    /// Both together.
    #[serde(rename = "M+F")]
    Both,
    /// Not stated.
    #[serde(rename = "")]
    Unknown,
}

impl SexGroup {
    /// Returns the group for a cell of a data file, if it is one.
    pub fn parse(text: &str) -> Option<Self> {
        match text {
            "M" => Some(Self::Male),
            "F" => Some(Self::Female),
            "M+F" => Some(Self::Both),
            "" => Some(Self::Unknown),
            _ => None,
        }
    }

    /// Returns whether a person of this sex belongs to the group.
    pub fn holds(self, sex: Sex) -> bool {
        match self {
            Self::Male => sex == Sex::Male,
            Self::Female => sex == Sex::Female,
            Self::Both => true,
            Self::Unknown => false,
        }
    }

    /// Returns the group in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Male => "men or boys",
            Self::Female => "women or girls",
            Self::Both => "both sexes together",
            Self::Unknown => "sex not stated",
        }
    }
}

/// How trained a group or person is, least first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Level {
    /// No regular sport.
    Untrained,
    /// Active for recreation.
    Recreational,
    /// Trains and competes.
    Trained,
    /// Competes at a high standard for the age.
    Elite,
}

impl Level {
    /// Returns the level for a cell of a data file, if it is one.
    pub fn parse(text: &str) -> Option<Self> {
        match text {
            "untrained" => Some(Self::Untrained),
            "recreational" => Some(Self::Recreational),
            "trained" => Some(Self::Trained),
            "elite" => Some(Self::Elite),
            _ => None,
        }
    }

    /// Returns the level in one word.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Untrained => "untrained",
            Self::Recreational => "recreational",
            Self::Trained => "trained",
            Self::Elite => "elite",
        }
    }

    /// Returns how many steps two levels are apart.
    pub fn apart(self, other: Self) -> u8 {
        (self as u8).abs_diff(other as u8)
    }
}

/// A result of a test, in whatever forms are known.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Performance {
    /// Id of the test definition, such as `ir1`.
    pub test: String,
    /// Distance completed, m.
    pub distance_m: Option<f64>,
    /// Speed of the last completed stage, km/h.
    pub final_speed_kmh: Option<f64>,
    /// Shuttles completed.
    pub shuttles: Option<u32>,
    /// Number of the last completed stage.
    pub stage: Option<f64>,
    /// Level being run plus the share of its shuttles done: 9.36 is 4 of 11 shuttles of level 9,
    /// so that 8.36 stages are complete.
    pub level_decimal: Option<f64>,
    /// Time taken, s.
    pub time_s: Option<f64>,
}

/// What is known of the person on the day of the test.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Person {
    /// Sex.
    pub sex: Option<Sex>,
    /// Age on the test day, years with decimals.
    pub age_years: Option<f64>,
    /// Body mass, kg.
    pub mass_kg: Option<f64>,
    /// Body mass index, kg/m2.
    pub bmi: Option<f64>,
}

/// A size given in the unit of the test or in percent of the value.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Size {
    /// In the unit of the value.
    InUnit(f64),
    /// In percent of the value.
    Percent(f64),
}

/// The unit of an observed value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Unit {
    /// Metres.
    #[serde(rename = "m")]
    Metres,
    /// Kilometres per hour.
    #[serde(rename = "km/h")]
    KmPerHour,
    /// Metres per second.
    #[serde(rename = "m/s")]
    MetresPerSecond,
    /// Shuttles completed.
    #[serde(rename = "shuttles")]
    Shuttles,
    /// Seconds.
    #[serde(rename = "s")]
    Seconds,
    /// Heart beats per minute.
    #[serde(rename = "bpm")]
    BeatsPerMinute,
    /// Millilitres of oxygen per kilogram and minute.
    #[serde(rename = "ml/kg/min")]
    MlPerKgMin,
}

impl Unit {
    /// Returns the unit as it is written.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Metres => "m",
            Self::KmPerHour => "km/h",
            Self::MetresPerSecond => "m/s",
            Self::Shuttles => "shuttles",
            Self::Seconds => "s",
            Self::BeatsPerMinute => "bpm",
            Self::MlPerKgMin => "ml/kg/min",
        }
    }

    /// Returns the unit for a cell of a data file, if it is one.
    pub fn parse(text: &str) -> Option<Self> {
        [
            Self::Metres,
            Self::KmPerHour,
            Self::MetresPerSecond,
            Self::Shuttles,
            Self::Seconds,
            Self::BeatsPerMinute,
            Self::MlPerKgMin,
        ]
        .into_iter()
        .find(|unit| unit.as_str() == text)
    }

    /// Returns the name by which reliability rows call a value in this unit.
    pub const fn quantity(self) -> &'static str {
        match self {
            Self::Metres => "distance_m",
            Self::KmPerHour => "final_speed_kmh",
            Self::MetresPerSecond => "critical_speed",
            Self::Shuttles => "shuttles",
            Self::Seconds => "time_s",
            Self::BeatsPerMinute => "heart_rate",
            Self::MlPerKgMin => "vo2max",
        }
    }
}
