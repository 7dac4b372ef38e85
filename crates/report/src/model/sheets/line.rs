//! What the sheets at the line hold: lanes, ladder strips, staff of a wave.
//! Must not hold a free text beside a participation code: a reason has no place to go.

use serde::{Deserialize, Serialize};

/// In which form a person takes part. Only the form: why is nobody's business at the line.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Participation {
    /// The whole test.
    #[default]
    Full,
    /// A changed form, agreed beforehand.
    Modified,
    /// A part of the test below the limit.
    Submaximal {
        /// Minutes from the first start signal after which the person stops.
        stop_at_min: u16,
    },
    /// Does not run today.
    NotToday,
}

impl Participation {
    /// Returns the words that stand on the sheets.
    pub fn words(self) -> String {
        match self {
            Self::Full => "full".to_owned(),
            Self::Modified => "modified".to_owned(),
            Self::Submaximal { stop_at_min } => {
                format!("submaximal: stop at {stop_at_min}\u{A0}min")
            }
            Self::NotToday => "not today".to_owned(),
        }
    }
}

/// One bout of a ladder strip.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StripBout {
    /// Label as announced; a text, since 14.10 is not 14.1.
    pub label: String,
    /// Distance completed at the end of the bout, m.
    #[serde(deserialize_with = "crate::model::number_or_nan")]
    pub distance_m: f64,
    /// Speed of the bout, km/h.
    #[serde(deserialize_with = "crate::model::number_or_nan")]
    pub speed_kmh: f64,
    /// End of the bout, s from the first start signal.
    #[serde(deserialize_with = "crate::model::number_or_nan")]
    pub finish_s: f64,
}

/// A ladder as the assessors need it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LadderStrip {
    /// Id of the test definition, e.g. "ir1".
    pub id: String,
    /// Name of the test.
    pub test_name: String,
    /// Fingerprint of the ladder; its first eight letters are printed.
    pub fingerprint: String,
    /// Misses that end a run; 0 when the test has no miss rule.
    pub miss_limit: u8,
    /// Every bout in running order; empty for a test without pace.
    pub bouts: Vec<StripBout>,
}

/// A person in a lane of one assessor.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Runner {
    /// Lane at the line.
    pub lane: u16,
    /// Number on the bib; empty without bibs.
    pub bib: String,
    /// Name as called on the pitch.
    pub name: String,
    /// Form of participation.
    pub participation: Participation,
}

/// The sheet of one assessor for one wave.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct AssessorSheet {
    /// Name of the wave, e.g. "2".
    pub wave: String,
    /// Name of the assessor.
    pub assessor: String,
    /// Id of the ladder, one of [`super::DaySheets::ladders`].
    pub ladder: String,
    /// Where the assessor stands, e.g. "far line, sun at your back".
    pub side: String,
    /// Scheduled start, time of day as printed, e.g. "17:40".
    pub start: String,
    /// Lanes in the order in which this assessor sees them.
    pub runners: Vec<Runner>,
}

/// A lane on the lead's wave sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct WaveRunner {
    /// Lane at the line.
    pub lane: u16,
    /// Number on the bib; empty without bibs.
    pub bib: String,
    /// Name as called on the pitch.
    pub name: String,
    /// Form of participation.
    pub participation: Participation,
    /// Name of the assessor who watches the lane.
    pub assessor: String,
}

/// An assessor on the lead's wave sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct WaveStaff {
    /// Name.
    pub name: String,
    /// Lanes and place in words, e.g. "lanes 1 to 8, far line".
    pub lanes: String,
}

/// The lead's sheet for one wave.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct WaveSheet {
    /// Name of the wave, e.g. "2".
    pub wave: String,
    /// Name of the lead; empty leaves a line.
    pub lead: String,
    /// Id of the ladder, one of [`super::DaySheets::ladders`].
    pub ladder: String,
    /// Scheduled start, time of day as printed, e.g. "17:40".
    pub start: String,
    /// The course as checked before, e.g. "20.02 m, taped twice"; empty leaves fields only.
    pub course: String,
    /// Assessors with their lanes.
    pub staff: Vec<WaveStaff>,
    /// All lanes of the wave, from the first to the last.
    pub runners: Vec<WaveRunner>,
}
