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
    Anchor, CHANGE_ROWS, FONT_FAMILIES, Figure, Label, SOUND_STRETCHES, figure_change,
    figure_change_in_parts, figure_distribution, figure_history, figure_sound,
};
pub use model::{
    AthleteLine, Bound, Cautions, ChangeLine, Counts, DayFacts, DayReport, Decision, EstimateLine,
    HeldRow, HistoryPoint, Quantity, ReferenceLine, SmallestWorthwhile, SoundCertificate, SoundCue,
    SoundRecording, SoundSpan, SoundUnread, SourceLine, Tag,
};
#[cfg(feature = "pdf")]
pub use pdf::{Cards, RenderOptions, RenderedPdf, Replaced, render_cards_pdf, render_pdf};
pub use tidy::{CsvOptions, TidyCsv, render_csv};
pub use wording::{
    SOUND_DEVIATION, chances_sentence, change_words, clock, interval_sentence, lead_paragraph,
    result_sentence, sound_facts,
};
pub use workbook::render_xlsx;
