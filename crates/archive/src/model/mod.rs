//! What the archive keeps, as types: people, test days, results, imports, changes.
//! Must not hold SQL; each type knows only its row's order of columns.

mod change;
mod covariates;
mod import;
mod person;
mod reading;
mod result;
mod sound_check;
mod test_day;
mod wave;

pub use change::{Change, ChangeKind};
pub use covariates::{Covariates, Encouragement, Familiarity, Illness};
pub use import::{Finding, HeldRow, Import, ImportFile, ImportKind, ImportReport, Provenance};
pub use import::{NewPerson, NewResult, SourceRow, WhichDay};
pub(crate) use person::PersonVersion;
pub use person::{Membership, Merge, MergeReport, Person, PersonFacts, RecordedMembership, Sex};
pub(crate) use reading::Reading;
pub(crate) use result::{AMOUNT_UNITS, CENSORING_WORDS, censoring_word};
pub use result::{HistoryEntry, ResultFacts, ResultFilter, ResultRecord, RpeScale};
pub use sound_check::{SoundCheck, SoundCheckFacts, SoundCheckKind};
pub use test_day::{DayFacts, TestDay};
pub use wave::{DayPaper, HealthNote, NewEvent, PaperKind, Stored, StoredEvent, Wave, WaveOutcome};
