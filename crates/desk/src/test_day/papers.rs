//! The papers of a day as types; each is kept as a JSON object with `format` 1.
//! Must not let a health answer into a paper: those are health notes, which only the medic sees.

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// A paper that cannot be read.
#[derive(Debug, thiserror::Error)]
#[error("the paper `{kind}` cannot be read: {message}; enter it again")]
pub struct PaperFault {
    /// What it should be.
    pub kind: &'static str,
    /// What the reader complained of.
    pub message: String,
}

/// Reads a paper.
///
/// # Errors
///
/// [`PaperFault`] when it is not of this kind.
pub fn read_paper<T: DeserializeOwned>(
    kind: &'static str,
    document: &Value,
) -> Result<T, PaperFault> {
    let mut document = document.clone();
    if let Some(object) = document.as_object_mut() {
        object.remove("format");
    }
    serde_json::from_value(document).map_err(|error| PaperFault {
        kind,
        message: error.to_string(),
    })
}

/// Writes a paper as the archive keeps it.
pub fn write_paper<T: Serialize>(paper: &T) -> Value {
    let mut document = serde_json::json!({ "format": 1 });
    if let (Some(into), Ok(Value::Object(fields))) =
        (document.as_object_mut(), serde_json::to_value(paper))
    {
        into.extend(fields);
    }
    document
}

/// What a person may do today.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Code {
    /// The whole test.
    #[default]
    Full,
    /// The test with a change agreed with the medic.
    Modified,
    /// The submaximal form.
    Submaximal,
    /// Nothing today.
    NotToday,
}

impl Code {
    /// Every code.
    pub const ALL: [Self; 4] = [Self::Full, Self::Modified, Self::Submaximal, Self::NotToday];

    /// Returns the words a person reads.
    pub const fn in_words(self) -> &'static str {
        match self {
            Self::Full => "full",
            Self::Modified => "modified",
            Self::Submaximal => "submaximal",
            Self::NotToday => "not today",
        }
    }

    /// Returns the stored word.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Full => "full",
            Self::Modified => "modified",
            Self::Submaximal => "submaximal",
            Self::NotToday => "not_today",
        }
    }

    /// Returns the code of a stored word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|code| code.as_str() == word)
    }
}

/// The code of a person, set by the medic; the reason is a health note.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Participation {
    /// The code.
    pub code: Code,
}

/// What a person said on arrival. Nothing here concerns health.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Arrival {
    /// Hours slept, 0 to 24.
    pub sleep_h: Option<f64>,
    /// Hours since the last meal, 0 to 48.
    pub hours_since_meal: Option<f64>,
    /// What it was, in a word or two.
    pub meal: Option<String>,
    /// Whether caffeine was taken today.
    pub caffeine: Option<bool>,
    /// Whether the shoes are the usual ones.
    pub usual_footwear: Option<bool>,
    /// The shoes.
    pub footwear: Option<String>,
    /// Whether the person has run this test before.
    pub ran_before: Option<bool>,
}

/// What a person said on arrival that concerns health: for the medic only.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct HealthAnswers {
    /// Ill now or in the last days.
    pub ill: Option<bool>,
    /// Sore or in pain.
    pub sore: Option<bool>,
    /// Medication taken as usual.
    pub medication_as_usual: Option<bool>,
    /// What the person or the medic adds: the reason of a code, for one.
    pub words: Option<String>,
}

/// The course as taped.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CourseReadings {
    /// Length at the left edge, m.
    pub left_m: f64,
    /// Length at the right edge, m.
    pub right_m: f64,
    /// Diagonal from the near left to the far right corner, m.
    #[serde(default)]
    pub diagonal_a_m: Option<f64>,
    /// The other diagonal, m.
    #[serde(default)]
    pub diagonal_b_m: Option<f64>,
    /// Width at the start line, m.
    #[serde(default)]
    pub near_m: Option<f64>,
    /// Width at the far line, m.
    #[serde(default)]
    pub far_m: Option<f64>,
    /// Whether it was taped after the run.
    #[serde(default)]
    pub after: bool,
}

/// The conditions at pitch height at one moment.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Conditions {
    /// Air temperature, °C.
    pub temperature_c: Option<f64>,
    /// Relative humidity, %.
    pub humidity_percent: Option<f64>,
    /// Wind, m/s.
    pub wind_m_s: Option<f64>,
    /// Where the wind comes from, degrees from north, clockwise.
    pub wind_from_deg: Option<f64>,
    /// The lanes' bearing from the start line to the far line, degrees from north.
    pub lanes_deg: Option<f64>,
    /// Solar irradiance, W/m².
    pub solar_w_m2: Option<f64>,
    /// Globe temperature, °C, when there is a globe.
    pub globe_c: Option<f64>,
    /// Surface.
    pub surface: Option<String>,
    /// Wet-bulb globe temperature, °C, as computed or read.
    pub wbgt_c: Option<f64>,
    /// Whether that is an estimate without a globe reading.
    pub estimate: bool,
    /// Wind along the lanes, m/s, positive from the start line to the far line.
    pub wind_along_m_s: Option<f64>,
}

/// What the lead decided about the conditions.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Run as planned.
    Run,
    /// Run the easier form.
    Easier,
    /// Run later or on another day.
    Later,
    /// Run, though the default advice was not to; the lead's reason is on record.
    RunAnyway,
}

/// A decision with its grounds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Decision {
    /// What was decided.
    pub verdict: Verdict,
    /// What the default policy advised, in words.
    pub advice: String,
    /// Why, in the lead's words.
    #[serde(default)]
    pub words: Option<String>,
}

/// Who does what in an emergency at this venue.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct EmergencyCard {
    /// The venue.
    pub venue: String,
    /// Who leads.
    pub leads: String,
    /// Who calls.
    pub calls: String,
    /// The number to call.
    pub phone: String,
    /// Who fetches the defibrillator.
    pub fetches_aed: String,
    /// Where it is.
    pub aed_place: String,
    /// Seconds to walk there.
    pub aed_walk_s: Option<u16>,
    /// Who opens the gate.
    pub opens_gate: String,
    /// Who meets the ambulance.
    pub meets_ambulance: String,
    /// The address to say.
    pub address: String,
    /// Map reference.
    pub grid: String,
    /// Nearest hospital.
    pub hospital: String,
}

/// What the lead signed when a wave was closed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SignOff {
    /// The sentence read back.
    pub read_back: String,
    /// Who signed.
    pub by: String,
    /// Whether the course was taped again.
    pub course_checked: bool,
}
