//! The import doctor: reads messy sheets, finds faults, names the ladder that explains them.
//! Changes nothing and writes nothing; no clock, no environment. The caller passes in what it knows.
//! Sources of each rule are beside it; the faults follow the catalogue in `docs/import-faults.md`.

mod case;
mod cell;
mod diagnose;
mod error;
mod examine;
mod faults;
mod forensics;
mod header;
mod history;
mod identity;
pub mod limits;
mod options;
mod people;
mod readings;
mod records;
mod report;
mod rules;
mod rungs;
mod stats;
mod table;
mod verdict;

pub use cell::{DateOrder, Sex};
pub use error::ExamineError;
pub use examine::{Examination, examine_bytes, examine_path};
pub use faults::{Code, Correction, Finding, Severity};
pub use forensics::LadderVerdict;
pub use header::{ColumnMap, Field, HeartRole, Unit};
pub use options::{Context, KnownPerson, KnownResult, Options};
pub use records::{PersonRow, ResultRow};
pub use report::{GroupVerdict, LadderPosterior, Report};
pub use rules::Rule;
pub use table::{Cell, Column, FileFacts, Note, Num, RowSet, Sheet, read_table};
pub use verdict::{Held, RowVerdict, Verdicts};
