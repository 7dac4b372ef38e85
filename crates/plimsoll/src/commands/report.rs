//! `plimsoll report --day DAY --out DIR`: pages, workbook, tables and figures of a test day.

use std::path::{Path, PathBuf};

use plimsoll_archive::{Archive, TestDay};
use plimsoll_desk::{Choices, day_report};
use plimsoll_interpret::Catalogue as Facts;
use plimsoll_ladder::Catalogue;
use plimsoll_report::{
    Basis, Cards, CsvOptions, DayReport, RenderOptions, Tally, figure_change, figure_distribution,
    lead_paragraph, render_csv, render_pdf, render_xlsx,
};
use serde_json::json;

use super::reading;
use crate::cli::Report;
use crate::failure::{Failure, Found};
use crate::places::{self, Session};
use crate::print;
use crate::world;

/// What a report left behind.
#[derive(Debug, Default)]
pub struct Written {
    /// The files, in the order in which a person would open them.
    pub files: Vec<PathBuf>,
    /// Pages of the coach's document.
    pub pages: usize,
    /// What the user should know.
    pub warnings: Vec<String>,
    /// The paragraph to read aloud.
    pub lead: String,
    /// How many moved which way by the level from all results.
    pub by_level: Tally,
    /// How many moved which way by the two tests alone, where there is no level.
    pub by_two_tests: Tally,
}

/// Writes the report of a day.
pub fn run(
    session: &Session,
    catalogue: &Catalogue,
    facts: &Facts,
    args: &Report,
) -> Result<Found, Failure> {
    let archive = session.read()?;
    let day = reading::the_day(&archive, &args.day)?;
    let judged = reading::judging(&args.judging)?;
    let choices = Choices {
        error: judged.error,
        worthwhile: judged.worthwhile,
        level: judged.level,
        standard: args.standard.clone(),
        estimates_for_children: args.estimates_for_children,
        from_memory: args.judging.from_memory,
    };
    let fonts = match &args.fonts {
        None => Vec::new(),
        Some(folder) => places::font_files(folder)?,
    };
    let written = write(
        &archive, catalogue, facts, &day, &choices, &args.out, &fonts,
    )?;
    if session.json {
        print::json(&json!({
            "lead": written.lead,
            "moved": { "level": written.by_level, "two_tests": written.by_two_tests },
            "pages": written.pages,
            "files": written.files.iter().map(|f| f.display().to_string()).collect::<Vec<_>>(),
            "warnings": written.warnings,
        }))?;
    } else {
        print::text(format!("{}\n", written.lead))?;
        for file in &written.files {
            print::text(file.display().to_string())?;
        }
        for warning in &written.warnings {
            print::text(format!("note: {warning}"))?;
        }
    }
    Ok(Found::Nothing)
}

/// Makes and writes everything of a day.
pub fn write(
    archive: &Archive,
    catalogue: &Catalogue,
    facts: &Facts,
    day: &TestDay,
    choices: &Choices,
    out: &Path,
    fonts: &[Vec<u8>],
) -> Result<Written, Failure> {
    let report: DayReport =
        day_report(archive, catalogue, facts, day, choices).map_err(Failure::new)?;
    let mut done = Written {
        lead: lead_paragraph(&report),
        by_level: report.tally_by(Basis::Level),
        by_two_tests: report.tally_by(Basis::TwoTests),
        ..Written::default()
    };
    places::make_folder(out)?;
    let name = format!(
        "{}-{}",
        day.facts.date,
        day.facts.ladder_id.as_deref().unwrap_or("day")
    );
    let mut put = |file: String, bytes: &[u8]| -> Result<(), Failure> {
        let path = out.join(file);
        places::write_whole(&path, bytes)?;
        done.files.push(path);
        Ok(())
    };
    let coach = RenderOptions {
        cards: Cards::None,
        extra_fonts: fonts,
        ..RenderOptions::new(world::now_utc())
    };
    let cards = RenderOptions {
        coach: false,
        cards: Cards::All,
        ..coach.clone()
    };
    let coach = render_pdf(&report, &coach).map_err(Failure::new)?;
    put(format!("{name}-coach.pdf"), &coach.bytes)?;
    // Cards carry one athlete's data each and are handed out: they are a file of their own.
    let cards = render_pdf(&report, &cards).map_err(Failure::new)?;
    put(format!("{name}-cards.pdf"), &cards.bytes)?;
    put(
        format!("{name}.xlsx"),
        &render_xlsx(&report).map_err(Failure::new)?,
    )?;
    let tidy = render_csv(&report, CsvOptions::default()).map_err(Failure::new)?;
    put(format!("{name}-results.csv"), tidy.rows.as_bytes())?;
    put(format!("{name}-history.csv"), tidy.history.as_bytes())?;
    put(
        format!("{name}-data-dictionary.csv"),
        tidy.dictionary.as_bytes(),
    )?;
    for (i, figure) in figure_change(&report).iter().enumerate() {
        put(
            format!("{name}-change-{}.svg", i + 1),
            figure.svg.as_bytes(),
        )?;
    }
    if let Some(figure) = figure_distribution(&report) {
        put(format!("{name}-squad.svg"), figure.svg.as_bytes())?;
    }
    done.pages = coach.pages;
    done.warnings = coach.warnings;
    done.warnings.extend(cards.warnings);
    let letters: Vec<String> = coach
        .replaced
        .iter()
        .map(|r| format!("{} in the {} of {}", r.codepoint, r.field, r.person))
        .collect();
    if !letters.is_empty() {
        done.warnings.push(format!(
            "letters that no font covers were replaced: {}; give fonts with --fonts DIR",
            letters.join("; ")
        ));
    }
    Ok(done)
}
