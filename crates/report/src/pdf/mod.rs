//! Pages as PDF/A-2a and PDF/UA-1: the coach page and a card for each athlete.
//! Must never lose a report: what no font covers is replaced and listed, and a failed standard
//! is dropped with a warning. Templates are in `templates/`; user text reaches them as JSON only.

mod cards;
mod coach;
mod engine;
mod fonts;
mod screen;
mod sheets;
mod soften;
mod training;

use jiff::civil::DateTime;
use serde_json::{Value, json};

use crate::ReportError;
use crate::model::DayReport;
use fonts::FontSet;

pub use screen::Replaced;
pub use sheets::{SheetOptions, render_sheets_pdf};
pub use training::render_training_pdf;

/// Whose cards are printed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub enum Cards {
    /// Nobody's.
    None,
    /// Every athlete's, in alphabetical order.
    #[default]
    All,
    /// Those of the athletes with these ids.
    Only(Vec<String>),
}

/// What is printed and with what.
#[derive(Debug, Clone)]
pub struct RenderOptions<'a> {
    /// Moment written into the file, UTC. The same moment gives the same bytes.
    pub created: DateTime,
    /// Whether the coach page is printed.
    pub coach: bool,
    /// Whose cards are printed.
    pub cards: Cards,
    /// Font files (TTF, OTF, TTC) to fall back on after the bundled ones.
    pub extra_fonts: &'a [Vec<u8>],
}

impl RenderOptions<'_> {
    /// Returns options for the coach page and all cards with the bundled fonts.
    pub const fn new(created: DateTime) -> Self {
        Self {
            created,
            coach: true,
            cards: Cards::All,
            extra_fonts: &[],
        }
    }
}

/// Finished pages.
#[derive(Debug, Clone)]
pub struct RenderedPdf {
    /// The file.
    pub bytes: Vec<u8>,
    /// Pages in the file.
    pub pages: usize,
    /// Whether the file conforms to PDF/A-2a and PDF/UA-1 (the writer's own check).
    pub conforms: bool,
    /// Letters that no font covers, also listed on the pages.
    pub replaced: Vec<Replaced>,
    /// What else the caller should tell the user.
    pub warnings: Vec<String>,
}

/// Prints the coach page and the cards that `options` ask for.
///
/// # Errors
///
/// [`ReportError::NothingToPrint`] when nothing is asked for; [`ReportError::Layout`] and
/// [`ReportError::Export`] when the engine fails, which is a bug.
pub fn render_pdf(
    report: &DayReport,
    options: &RenderOptions<'_>,
) -> Result<RenderedPdf, ReportError> {
    let chosen = cards::choose(report, &options.cards);
    if !options.coach && chosen.is_empty() {
        return Err(ReportError::NothingToPrint {
            found: format!("no coach page and cards {:?}", options.cards),
            athletes: report.athletes.len(),
        });
    }
    let (fonts, mut warnings) = FontSet::new(options.extra_fonts);
    // Without the coach page, what other people wrote must not reach the list of letters either.
    let (printed, chosen) = if options.coach {
        (report.clone(), chosen)
    } else {
        cards::alone(report, &chosen)
    };
    let (clean, replaced) = screen::screen(&printed, &|letters| fonts.covers(letters));
    // Cards of several people are cut apart and handed out: a page that names them all may not lie
    // among them. The coach page lists the letters, and the caller gets them in any case.
    let listed: &[Replaced] = if options.coach || chosen.len() == 1 {
        &replaced
    } else {
        &[]
    };
    let data = page_data(&clean, options, &chosen, &fonts, listed);
    let written = engine::lay_out(engine::REPORT, &fonts, &data, options.created)?.write()?;
    warnings.extend(written.warning);
    Ok(RenderedPdf {
        bytes: written.bytes,
        pages: written.pages,
        conforms: written.conforms,
        replaced,
        warnings,
    })
}

/// Prints the cards alone.
///
/// # Errors
///
/// As [`render_pdf`].
pub fn render_cards_pdf(
    report: &DayReport,
    options: &RenderOptions<'_>,
) -> Result<RenderedPdf, ReportError> {
    let cards_only = RenderOptions {
        coach: false,
        ..options.clone()
    };
    render_pdf(report, &cards_only)
}

/// Builds what the templates read.
fn page_data(
    report: &DayReport,
    options: &RenderOptions<'_>,
    chosen: &[usize],
    fonts: &FontSet,
    replaced: &[Replaced],
) -> Value {
    let title = if screen::is_blank(&report.title) {
        "Test day report"
    } else {
        report.title.trim()
    };
    let coach = options
        .coach
        .then(|| soften::all(coach::data(report, title)));
    let cards: Vec<Value> = chosen
        .iter()
        .map(|&i| soften::all(cards::data(report, &report.athletes[i])))
        .collect();
    let replaced = soften::all(Value::Array(screen::list(replaced)));
    json!({
        "title": title,
        "fonts": families(fonts),
        "short": report.cautions.short,
        "coach": coach,
        "cards": cards,
        "replaced": replaced,
    })
}

/// Returns the fonts as the templates read them.
fn families(fonts: &FontSet) -> Vec<Value> {
    fonts
        .families()
        .into_iter()
        .map(|(name, claim)| json!({ "name": name, "claim": claim }))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn when_the_standards_cannot_be_kept_the_pages_are_written_without_them() {
        let mut report: DayReport = serde_json::from_value(json!({
            "title": "Day",
            "day": {
                "date": "2026-11-25", "venue": "", "surface": "", "test_id": "t",
                "test_name": "Test", "test_status": "derived", "ladder_fingerprint": "f",
            },
            "counts": {},
            "athletes": [],
            "smallest_worthwhile": { "value": 70.0, "unit": "m", "source": "" },
        }))
        .expect("a report without athletes is a report");
        let (fonts, _) = FontSet::new(&[]);
        let created = report.day.date.at(20, 0, 0, 0);
        let write = |report: &DayReport| {
            // Not screened on purpose: a letter without a glyph reaches the writer.
            let data = page_data(report, &RenderOptions::new(created), &[], &fonts, &[]);
            engine::lay_out(engine::REPORT, &fonts, &data, created)
                .expect("it is laid out")
                .write()
                .expect("it is written")
        };
        assert!(write(&report).conforms);
        report.how_sure = "\u{12000}".to_owned();
        let written = write(&report);
        assert!(!written.conforms && written.bytes.starts_with(b"%PDF-"));
        let warning = written.warning.expect("the user is told");
        assert!(warning.contains("could not be displayed"), "{warning}");
        assert!(warning.contains("was written without them"), "{warning}");
    }

    #[cfg(feature = "world-fonts")]
    #[test]
    fn a_cluster_comes_whole_from_one_font() {
        let (fonts, _) = FontSet::new(&[]);
        let created = jiff::civil::date(2026, 11, 25).at(20, 0, 0, 0);
        let runner = "\u{1F3C3}\u{1F3FD}\u{200D}\u{2640}\u{FE0F}";
        let keycap = "1\u{FE0F}\u{20E3}";
        let data = json!({
            "title": format!("Zoë {runner} {keycap} 李 김 अर्जुन ليلى ♀"),
            "fonts": fonts.families().into_iter()
                .map(|(name, claim)| json!({ "name": name, "claim": claim }))
                .collect::<Vec<_>>(),
            "short": "", "coach": null, "replaced": [{ "place": "", "codes": "" }],
            "cards": [],
        });
        let pages = engine::lay_out_title(&fonts, &data, created).expect("it is laid out");
        let drawn = pages.drawn();
        let font_of = |part: &str| -> Vec<&str> {
            let hits = drawn.iter().filter(|(text, _)| text.contains(part));
            hits.map(|(_, family)| family.as_str()).collect()
        };
        for (part, family) in [
            ("ë", "Noto Sans"),
            ("\u{1F3C3}", "Noto Emoji"),
            ("\u{20E3}", "Noto Emoji"),
            ("李", "Noto Sans CJK SC"),
            ("김", "Noto Sans CJK SC"),
            ("अ", "Noto Sans Devanagari"),
            ("ي", "DejaVu Sans"),
        ] {
            let found = font_of(part);
            assert!(
                !found.is_empty() && found.iter().all(|f| *f == family),
                "{part}: {found:?}"
            );
        }
    }
}
