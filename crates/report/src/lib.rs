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
    AgreementPlot, Anchor, CHANGE_ROWS, CUT_ROWS, CentileCurve, CentilePlot, CutMark, CutPlot,
    DeviationMark, ErrorBandPlot, ErrorByLevelPlot, FONT_FAMILIES, Figure, Label, LevelMark,
    LimitLine, MixedPlot, PairLinesPlot, SOUND_STRETCHES, STOP_STRIPS, SharePart, StopStrip,
    TrueChangePlot, TrueChangeRow, WormGroup, WormPlot, figure_agreement, figure_centiles,
    figure_change, figure_change_in_parts, figure_cut, figure_distribution, figure_error_by_level,
    figure_history, figure_level, figure_mixed, figure_pair_lines, figure_sound, figure_stops,
    figure_training, figure_true_change, figure_worm,
};
pub use model::{
    ArrivalCheck, ArrivalPerson, AssessorSheet, AthleteLine, Basis, Bound, Briefing, Cautions,
    ChangeLine, Counts, DayFacts, DayReport, DaySheets, Decision, EmergencyPlan, EstimateLine,
    HeldRow, HistoryPoint, JoinCode, LadderStrip, LevelLine, Move, Participation, Quantity,
    ReferenceLine, RuleCard, RuleLine, Runner, SettingLine, Sheet, Sheets, SmallestWorthwhile,
    SoundCertificate, SoundCue, SoundRecording, SoundSpan, SoundUnread, SourceLine, StopCriteria,
    StopLetter, StripBout, Tag, Tally, TrainingCard, TrainingGroup, TrainingNote, TrainingPerson,
    WaveRunner, WaveSheet, WaveShift, WaveStaff, Way,
};
#[cfg(feature = "pdf")]
pub use pdf::{
    Cards, RenderOptions, RenderedPdf, Replaced, SheetOptions, render_cards_pdf, render_pdf,
    render_sheets_pdf, render_training_pdf,
};
pub use tidy::{CsvOptions, TidyCsv, render_csv};
pub use wording::{
    SOUND_DEVIATION, chances_sentence, change_words, clock, interval_sentence, lead_paragraph,
    result_sentence, sound_facts, title_words,
};
pub use workbook::render_xlsx;
