//! People, test days, outcomes and their provenance, on SQLite, in one folder.
//! Must not read the clock or print: a `World` supplies time, ids and who acts.

mod backup;
mod check;
mod days;
mod db;
mod digest;
mod error;
mod export;
mod files;
#[cfg(test)]
mod full_disk;
mod id;
mod imports;
mod journal;
mod model;
mod open;
mod pen;
mod people;
mod results;
mod rows;
pub mod schema;
mod sound_checks;
mod undo;
mod waves;
mod words;
mod world;

pub use check::CheckFinding;
pub use db::{DbCause, DbError};
pub use digest::{sha256_hex, sha256_of};
pub use error::{ArchiveError, ExportFault};
pub use id::{
    DayId, HealthNoteId, HeldId, ImportId, MembershipId, MergeId, PaperId, PersonId, ResultId,
    SoundCheckId, SourceId, WaveId,
};
pub use model::{
    Change, ChangeKind, Covariates, DayFacts, DayPaper, Encouragement, Familiarity, Finding,
    HealthNote, HeldRow, HistoryEntry, Illness, Import, ImportFile, ImportKind, ImportReport,
    Membership, Merge, MergeReport, NewEvent, NewPerson, NewResult, PaperKind, Person, PersonFacts,
    Provenance, RecordedMembership, ResultFacts, ResultFilter, ResultRecord, RpeScale, Sex,
    SoundCheck, SoundCheckFacts, SoundCheckKind, SourceRow, Stored, StoredEvent, TestDay, Wave,
    WaveOutcome, WhichDay,
};
pub use open::{Archive, Writer};
pub use words::Word;
pub use world::World;
