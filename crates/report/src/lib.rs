//! Reports of one test day: figures as SVG, pages as PDF, a workbook, tidy tables.
//! Must not compute results, read a clock or print: [`DayReport`] holds all it needs.
//! Formats: `docs/formats/report.md`.

mod error;
mod figure;
pub mod format;
mod model;
mod order;
#[cfg(feature = "pdf")]
mod pdf;
mod tidy;
mod wording;
mod workbook;

pub use error::ReportError;
pub use figure::{
    Anchor, CHANGE_ROWS, FONT_FAMILIES, Figure, Label, figure_change, figure_change_in_parts,
    figure_distribution, figure_history,
};
pub use model::{
    AthleteLine, Bound, Cautions, ChangeLine, Counts, DayFacts, DayReport, Decision, EstimateLine,
    HeldRow, HistoryPoint, Quantity, ReferenceLine, SmallestWorthwhile, SourceLine, Tag,
};
#[cfg(feature = "pdf")]
pub use pdf::{Cards, RenderOptions, RenderedPdf, Replaced, render_cards_pdf, render_pdf};
pub use tidy::{CsvOptions, TidyCsv, render_csv};
pub use wording::{
    chances_sentence, change_words, interval_sentence, lead_paragraph, result_sentence,
};
pub use workbook::render_xlsx;
