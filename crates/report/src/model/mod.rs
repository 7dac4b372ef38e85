//! The whole input of this crate: plain owned data, filled by the caller.
//! Must not compute results, read an archive or know a domain type; numbers arrive as numbers.
//! Sources and confidence tags come with the data; the cautions text is in `cautions.rs`.

use serde::{Deserialize, Deserializer};

mod athlete;
mod cautions;
mod day;
mod moved;
mod sheets;
mod sound;
mod tag;
mod training;

pub use athlete::{
    AthleteLine, Bound, ChangeLine, EstimateLine, HistoryPoint, LevelLine, ReferenceLine,
};
pub use cautions::Cautions;
pub use day::{
    Counts, DayFacts, DayReport, Decision, HeldRow, Quantity, SmallestWorthwhile, SourceLine,
};
pub use moved::{Basis, Move, Tally, WaveShift, Way};
pub use sheets::{
    ArrivalCheck, ArrivalPerson, AssessorSheet, Briefing, DaySheets, EmergencyPlan, JoinCode,
    LadderStrip, Participation, RuleCard, RuleLine, Runner, SettingLine, Sheet, Sheets,
    StopCriteria, StopLetter, StripBout, WaveRunner, WaveSheet, WaveStaff,
};
pub use sound::{SoundCertificate, SoundCue, SoundRecording, SoundSpan, SoundUnread};
pub use tag::Tag;
pub use training::{TrainingCard, TrainingGroup, TrainingNote, TrainingPerson};

/// Reads a number; JSON writes one that is not finite as null, which reads as "not a number".
fn number_or_nan<'de, D: Deserializer<'de>>(source: D) -> Result<f64, D::Error> {
    Ok(Option::<f64>::deserialize(source)?.unwrap_or(f64::NAN))
}
