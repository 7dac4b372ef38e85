//! Input of the printed sheets of a test day: plain owned data, filled by the caller.
//! Must not hold why a person takes part in a changed form: no field exists for it.
//! Paper formats and sheet list: `docs/formats/report.md`.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

mod hand;
mod line;
mod stop;
mod talk;

pub use hand::{ArrivalCheck, ArrivalPerson, JoinCode};
pub use line::{AssessorSheet, LadderStrip, Participation, StripBout, WaveSheet, WaveStaff};
pub use line::{Runner, WaveRunner};
pub use stop::{StopCriteria, StopLetter};
pub use talk::{Briefing, EmergencyPlan, RuleCard, RuleLine, SettingLine};

/// All that the sheets of one test day are made from; an empty list or `None` prints no sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DaySheets {
    /// Group and occasion, e.g. "Harbour Lane juniors, autumn test"; at the foot of every page.
    pub title: String,
    /// Day of the test.
    pub date: Date,
    /// Place, as the people on the day call it.
    pub venue: String,
    /// Ladders that the sheets refer to by id.
    #[serde(default)]
    pub ladders: Vec<LadderStrip>,
    /// One sheet a wave for the lead, in running order.
    #[serde(default)]
    pub waves: Vec<WaveSheet>,
    /// One sheet a wave and assessor.
    #[serde(default)]
    pub assessors: Vec<AssessorSheet>,
    /// One rule card a test definition.
    #[serde(default)]
    pub rules: Vec<RuleCard>,
    /// What is read to the group before the run.
    #[serde(default)]
    pub briefing: Option<Briefing>,
    /// Who does what in an emergency; empty fields become lines to write on.
    #[serde(default)]
    pub emergency: Option<EmergencyPlan>,
    /// People of the arrival check.
    #[serde(default)]
    pub arrival: Option<ArrivalCheck>,
    /// One page a code by which a phone joins.
    #[serde(default)]
    pub join: Vec<JoinCode>,
    /// Letters and meanings of the stop reasons on the assessors' sheets.
    #[serde(default = "StopLetter::usual")]
    pub stop_letters: Vec<StopLetter>,
    /// When to stop a runner or the whole test.
    #[serde(default)]
    pub stop_criteria: StopCriteria,
}

impl DaySheets {
    /// Returns a day without any sheet, with the project's own stop letters and criteria.
    pub fn new(title: impl Into<String>, date: Date, venue: impl Into<String>) -> Self {
        Self {
            title: title.into(),
            date,
            venue: venue.into(),
            ladders: Vec::new(),
            waves: Vec::new(),
            assessors: Vec::new(),
            rules: Vec::new(),
            briefing: None,
            emergency: None,
            arrival: None,
            join: Vec::new(),
            stop_letters: StopLetter::usual(),
            stop_criteria: StopCriteria::default(),
        }
    }
}

/// A kind of sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Sheet {
    /// The group's arrival check.
    ArrivalGroup,
    /// The individual health slips.
    ArrivalSlips,
    /// The emergency card.
    Emergency,
    /// The briefing script with the cautions.
    Briefing,
    /// The rule cards.
    Rules,
    /// The lead's wave sheets.
    Waves,
    /// The assessors' sheets with their ladder strips.
    Assessors,
    /// The pages by which a phone joins.
    Join,
}

impl Sheet {
    /// Every kind, in the order in which a booklet holds them.
    pub const ALL: [Self; 8] = [
        Self::ArrivalGroup,
        Self::ArrivalSlips,
        Self::Emergency,
        Self::Briefing,
        Self::Rules,
        Self::Waves,
        Self::Assessors,
        Self::Join,
    ];
}

/// Which sheets are printed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub enum Sheets {
    /// The whole booklet.
    #[default]
    All,
    /// Sheets of these kinds, of every wave.
    Kinds(Vec<Sheet>),
    /// The lead's sheet, the assessors' sheets and the join pages of one wave.
    Wave(String),
    /// One assessor's sheet of one wave.
    Assessor {
        /// Name of the wave, as on the sheet.
        wave: String,
        /// Name of the assessor, as on the sheet.
        assessor: String,
    },
}

#[cfg(feature = "pdf")]
impl DaySheets {
    /// Returns the part of the day that `sheets` asks for, and nothing of anybody else's.
    pub(crate) fn chosen(&self, sheets: &Sheets) -> Self {
        let kind = |sheet: Sheet| match sheets {
            Sheets::All => true,
            Sheets::Kinds(kinds) => kinds.contains(&sheet),
            Sheets::Wave(_) => matches!(sheet, Sheet::Waves | Sheet::Assessors | Sheet::Join),
            Sheets::Assessor { .. } => sheet == Sheet::Assessors,
        };
        let of_wave = |wave: &str| match sheets {
            Sheets::Wave(wanted) | Sheets::Assessor { wave: wanted, .. } => wave == wanted,
            Sheets::All | Sheets::Kinds(_) => true,
        };
        let of_assessor = |name: &str| match sheets {
            Sheets::Assessor { assessor, .. } => name == assessor,
            _ => true,
        };
        let mut part = self.clone();
        part.waves
            .retain(|w| kind(Sheet::Waves) && of_wave(&w.wave));
        part.assessors
            .retain(|a| kind(Sheet::Assessors) && of_wave(&a.wave) && of_assessor(&a.assessor));
        // A code for the whole day opens every wave.
        part.join
            .retain(|j| kind(Sheet::Join) && (j.wave.is_empty() || of_wave(&j.wave)));
        if !kind(Sheet::Rules) {
            part.rules.clear();
        }
        part.briefing = part.briefing.filter(|_| kind(Sheet::Briefing));
        part.emergency = part.emergency.filter(|_| kind(Sheet::Emergency));
        let arrival = kind(Sheet::ArrivalGroup) || kind(Sheet::ArrivalSlips);
        part.arrival = part.arrival.filter(|_| arrival).map(|mut check| {
            check.group = check.group && kind(Sheet::ArrivalGroup);
            check.slips = check.slips && kind(Sheet::ArrivalSlips);
            check
        });
        part
    }
}
