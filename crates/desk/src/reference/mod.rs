//! Reference curves fitted to a sheet, written as files the catalogue loads; and where a value stands.
//! Joins the sheet, the fit of `measure` and the facts of `interpret`; prints nothing, writes no file.
//! Formulas: docs/methods/growth-references.md.

mod document;
mod figures;
mod fitted;
mod sample;
mod shown;
mod write;
mod z;

pub use document::{curve_rows, document, verdict};
pub use figures::{ReferenceFigures, figures};
pub use fitted::{CENTILES, FitAsk, Fitted, fit_reference};
/// The shape of the curves that are fitted.
pub use plimsoll_measure::growth::Model as FitModel;
pub use sample::{Columns, ReferenceSample, read_sample};
pub use shown::{ShownReference, metric_words, shown};
pub use write::{About, ReferenceFiles, files};
pub use z::{Standing, standing_in, standing_of_lms};
