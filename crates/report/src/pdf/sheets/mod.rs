//! The sheets of a test day for clipboards, walls and hands: black on white, A4 upright.
//! Must not compute a plan: waves, lanes and ladders arrive ready; texts reach templates as JSON.

mod hand;
mod line;
mod talk;

use jiff::civil::DateTime;
use serde_json::{Value, json};

use super::fonts::FontSet;
use super::{RenderedPdf, engine, families, screen, soften};
use crate::ReportError;
use crate::format::date;
use crate::model::{DaySheets, Sheets};

/// Which sheets are printed and with what.
#[derive(Debug, Clone)]
pub struct SheetOptions<'a> {
    /// Moment written into the file, UTC. The same moment gives the same bytes.
    pub created: DateTime,
    /// Which sheets are printed.
    pub sheets: Sheets,
    /// Font files (TTF, OTF, TTC) to fall back on after the bundled ones.
    pub extra_fonts: &'a [Vec<u8>],
}

impl SheetOptions<'_> {
    /// Returns options for the whole booklet with the bundled fonts.
    pub const fn new(created: DateTime) -> Self {
        Self {
            created,
            sheets: Sheets::All,
            extra_fonts: &[],
        }
    }
}

/// Prints the sheets that `options` ask for; each starts on a page of its own.
///
/// # Errors
///
/// [`ReportError::NoSheet`] when nothing matches, [`ReportError::UnknownLadder`] and
/// [`ReportError::JoinAddress`] for faults of the input; [`ReportError::Layout`] and
/// [`ReportError::Export`] when the engine fails, which is a bug.
pub fn render_sheets_pdf(
    day: &DaySheets,
    options: &SheetOptions<'_>,
) -> Result<RenderedPdf, ReportError> {
    // Chosen first: names of other sheets must not reach the list of letters.
    let mut part = day.chosen(&options.sheets);
    line::check(&part)?;
    line::keep_used(&mut part);
    let codes = hand::codes(&part)?;
    let (fonts, mut warnings) = FontSet::new(options.extra_fonts);
    let (clean, replaced) = screen::screen_any(&part, &|letters| fonts.covers(letters));
    let sheets = sheets(&clean, codes, &mut warnings);
    if sheets.is_empty() {
        let text = |a: &str, b: &str| format!("wave {a}, {b}");
        return Err(ReportError::NoSheet {
            found: format!("{:?}", options.sheets),
            waves: day.waves.iter().map(|w| w.wave.clone()).collect(),
            assessors: day
                .assessors
                .iter()
                .map(|a| text(&a.wave, &a.assessor))
                .collect(),
        });
    }
    let title = if screen::is_blank(&clean.title) {
        "Test day"
    } else {
        clean.title.trim()
    };
    let data = json!({
        "title": title,
        "fonts": families(&fonts),
        "foot": place(&clean),
        "sheets": soften::all(Value::Array(sheets)),
        "replaced": soften::all(Value::Array(screen::list(&replaced))),
    });
    let written = engine::lay_out(engine::SHEETS, &fonts, &data, options.created)?.write()?;
    warnings.extend(written.warning);
    Ok(RenderedPdf {
        bytes: written.bytes,
        pages: written.pages,
        conforms: written.conforms,
        replaced,
        warnings,
    })
}

/// Returns the data of every sheet in the order of [`crate::Sheet::ALL`], except that the sheets
/// of a wave stay together.
fn sheets(day: &DaySheets, codes: Vec<String>, warnings: &mut Vec<String>) -> Vec<Value> {
    let mut out = Vec::new();
    out.extend(hand::arrival(day));
    out.extend(talk::emergency(day));
    out.extend(talk::briefing(day, warnings));
    out.extend(day.rules.iter().map(talk::rules));
    for wave in &day.waves {
        out.push(line::wave(day, wave));
        let own = day.assessors.iter().filter(|a| a.wave == wave.wave);
        out.extend(own.map(|a| line::assessor(day, a)));
    }
    let known = |wave: &str| day.waves.iter().any(|w| w.wave == wave);
    let others = day.assessors.iter().filter(|a| !known(&a.wave));
    out.extend(others.map(|a| line::assessor(day, a)));
    out.extend(
        day.join
            .iter()
            .zip(codes)
            .map(|(j, svg)| hand::join(day, j, &svg)),
    );
    out
}

/// Returns day and venue in one line.
fn place(day: &DaySheets) -> String {
    let when = date(day.date);
    if screen::is_blank(&day.venue) {
        when
    } else {
        format!("{when} · {}", day.venue.trim())
    }
}

/// Returns a text, or an empty one when nothing of it can be seen.
fn shown(text: &str) -> &str {
    if screen::is_blank(text) {
        ""
    } else {
        text.trim()
    }
}
