//! The report of one test day.
//! Must not format: every number stays a number until a page, sheet or table is written.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::{AthleteLine, Cautions, Move, SoundCertificate, Tag, WaveShift, number_or_nan};

/// What the results measure.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Quantity {
    /// Its name, e.g. "distance".
    pub name: String,
    /// Its unit, e.g. "m".
    pub unit: String,
}

impl Default for Quantity {
    fn default() -> Self {
        Self {
            name: "distance".to_owned(),
            unit: "m".to_owned(),
        }
    }
}

/// The day, the place and the test.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct DayFacts {
    /// Day of the test.
    pub date: Date,
    /// Where it was run.
    pub venue: String,
    /// What it was run on.
    pub surface: String,
    /// Weather or hall climate in words; empty when not recorded.
    #[serde(default)]
    pub conditions: String,
    /// Id of the test definition.
    pub test_id: String,
    /// Descriptive name of the test.
    pub test_name: String,
    /// How the test definition is known.
    pub test_status: Tag,
    /// Fingerprint of the ladder that was run.
    pub ladder_fingerprint: String,
    /// The course check in words.
    #[serde(default)]
    pub course: String,
    /// The sound check in words.
    #[serde(default)]
    pub sound: String,
}

/// How many runners ended up where.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Counts {
    /// Runners who started.
    pub ran: u32,
    /// Results that are scores.
    pub scored: u32,
    /// Results known only as "at least".
    pub lower_bounds: u32,
    /// Rows held back from use.
    pub held: u32,
    /// Listed but did not start.
    pub not_started: u32,
}

/// Something a person must decide before a result is used.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Decision {
    /// Whom it concerns.
    pub person: String,
    /// What happened.
    pub what: String,
    /// The ways on.
    pub choices: String,
}

/// The smallest change worth having.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SmallestWorthwhile {
    /// Its size in `unit`, zero or more.
    #[serde(deserialize_with = "number_or_nan")]
    pub value: f64,
    /// Its unit, the same as that of the changes.
    pub unit: String,
    /// How it was chosen, in words.
    pub source: String,
}

/// A row that was not used, and why.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct HeldRow {
    /// Row as the spreadsheet shows it, or the place in the day's log.
    pub row: String,
    /// Column or field.
    pub column: String,
    /// What stood there.
    pub found: String,
    /// Why it is held.
    pub why: String,
    /// What to do about it.
    pub suggestion: String,
}

/// A source that a number on the pages rests on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SourceLine {
    /// Short key used in the how lines.
    pub key: String,
    /// The citation.
    pub text: String,
    /// How it is known.
    pub tag: Tag,
}

/// Everything the pages, figures, sheets and tables of one test day are made from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DayReport {
    /// Heading, e.g. "Harbour Lane juniors: what changed since September".
    pub title: String,
    /// The day, the place and the test.
    pub day: DayFacts,
    /// What the results measure.
    #[serde(default)]
    pub quantity: Quantity,
    /// A paragraph to be read aloud; when empty, [`crate::lead_paragraph`] fills it.
    #[serde(default)]
    pub lead: String,
    /// How many runners ended up where.
    pub counts: Counts,
    /// What needs a decision, most urgent first.
    #[serde(default)]
    pub decisions: Vec<Decision>,
    /// One line per athlete, in the order in which the change figure shows them.
    pub athletes: Vec<AthleteLine>,
    /// Which way each athlete moved and what says so; counted in the lead, the title and every table.
    #[serde(default)]
    pub moves: Vec<Move>,
    /// The smallest change worth having.
    pub smallest_worthwhile: SmallestWorthwhile,
    /// Rows not used.
    #[serde(default)]
    pub held: Vec<HeldRow>,
    /// How sure the day's numbers are, in a paragraph.
    #[serde(default)]
    pub how_sure: String,
    /// What the wave says as a whole, and what explains it best; empty when nothing is the matter.
    #[serde(default)]
    pub wave: String,
    /// How far the wave as a whole is shifted; nothing when nothing is the matter.
    #[serde(default)]
    pub wave_shift: Option<WaveShift>,
    /// What was heard in the day's recordings; nothing when none is attached.
    #[serde(default)]
    pub sound: Option<SoundCertificate>,
    /// Sources behind the numbers.
    #[serde(default)]
    pub sources: Vec<SourceLine>,
    /// Safety text.
    #[serde(default)]
    pub cautions: Cautions,
}
