//! A reliability study out of a sheet or out of repeated results in the archive, and what it says.
//! Joins the table, the numbers of `measure` and the published default; prints nothing.
//! Formulas: docs/methods/reliability-study.md.

mod answer;
pub(crate) mod cells;
mod document;
mod error;
mod figures;
mod learning;
mod published;
mod repeats;
mod rows;
mod sheet;
mod words;

pub use answer::{Ask, OnScale, StudyAnswer, answer};
pub use document::document;
pub(crate) use error::cells as fault_words;
pub use error::{CellFault, StudyError};
pub use figures::{StudyFigures, figures};
pub use learning::practice;
pub use published::{PublishedError, published_error};
pub use repeats::{DEFAULT_WEEKS, repeats};
pub use rows::rows;
pub use sheet::{StudyTable, read_study};
pub use words::verdict;
