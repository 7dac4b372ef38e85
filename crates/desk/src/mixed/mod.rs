//! Mixed models of a sheet or of the archive: how much of the scatter is who, how much is when.
//! Joins the table, the fit of `measure` and words; chooses no terms by their p values, prints nothing.
//! Formulas: docs/methods/mixed-models.md.

mod answer;
mod archive;
mod ask;
mod coding;
mod document;
mod error;
mod figure;
mod guard;
mod lines;
mod pen;
mod predict;
mod resolve;
mod rows;
mod share;
mod table;
mod usual;
mod words;

pub use answer::{Effect, MixedAnswer, Part, answer};
pub use archive::{ArchiveTable, archive_table};
pub use ask::{Ask, GroupAsk};
pub use document::document;
pub use error::MixedError;
pub use figure::figure;
pub use lines::{fixed_rows, part_rows, record};
pub use predict::{PredictedRow, Predictions, predictions};
pub use share::{Share, share_words};
pub use table::{MixedTable, read_mixed};
pub use usual::archive_answer;
pub use words::verdict;
