//! Do the results of a sheet stand on the right rows, or those of a wave on the right lanes?
//! Names what to look at and changes nothing. Formula: `measure::squad::row_slip`.

use std::collections::BTreeSet;

use plimsoll_archive::{Archive, ArchiveError, ResultFilter};
use plimsoll_interpret::Catalogue as Facts;
use plimsoll_ladder::Catalogue;
use plimsoll_measure::level::Normal;
use plimsoll_measure::squad::{Edit, SlipOptions, SlipReport, SlipRow, SlipVerdict, row_slip};
use serde::Serialize;

use super::gather::{Logged, Squad, squad, waves};
use super::lists::{Line, Listed, lanes, sheets};
use super::rows_words;
use super::spread::full;
use super::{Part, SquadError};
use crate::meaning::Choices;

/// Results with earlier ones of their person, from which a sheet can be read. Chosen, no source.
pub(super) const FEWEST: usize = 6;
/// An import of more days than this is a history; its days are looked at when asked.
const MOST_DAYS: usize = 3;

/// The likeliest thing that is wrong, in rows of the sheet or lanes of the wave.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RowEdit {
    /// `too_high`, `too_low` or `exchanged`.
    pub kind: &'static str,
    /// First row concerned.
    pub first: u32,
    /// Last row concerned.
    pub last: u32,
    /// By how many rows; 0 for an exchange.
    pub by: usize,
    /// Chance of exactly this.
    pub chance: f64,
}

/// One sheet or wave, read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SheetRead {
    /// Name of the file or the wave.
    pub name: String,
    /// `row` or `lane`.
    pub place: &'static str,
    /// Rows looked at, empty ones between included.
    pub rows: usize,
    /// Rows of the file that are held back and not looked at here.
    pub held: usize,
    /// Of the rows, results with earlier ones of their person.
    pub compared: usize,
    /// `as_written`, `slip`, `cannot_tell`, or `too_few`.
    pub verdict: &'static str,
    /// Chance that all stand where they should.
    pub as_written: Option<f64>,
    /// Chance of a shift from some row on.
    pub shift: Option<f64>,
    /// Chance that two rows are exchanged.
    pub exchange: Option<f64>,
    /// The likeliest thing wrong; nothing when the sheet stands as written.
    pub edit: Option<RowEdit>,
    /// In words.
    pub words: String,
}

impl SheetRead {
    /// Returns whether somebody must look at the paper.
    pub fn slipped(&self) -> bool {
        self.verdict == "slip"
    }
}

/// All sheets and waves of the day.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sheets {
    /// One entry each.
    pub sheets: Vec<SheetRead>,
}

pub(super) fn answer(
    archive: &Archive,
    squad: &Squad<'_>,
    logged: &[Logged],
) -> Result<Part<Sheets>, ArchiveError> {
    let mut lists = sheets(archive, squad)?;
    lists.extend(logged.iter().filter_map(|wave| lanes(squad, wave)));
    let read: Vec<SheetRead> = lists.iter().map(|list| read(squad, list)).collect();
    Ok(rows_words::part(read))
}

/// Returns what a person must look at after an import, by the number of its change; empty when nothing.
///
/// # Errors
///
/// [`SquadError`] when the archive cannot be read.
pub fn sheets_of_changes(
    archive: &Archive,
    catalogue: &Catalogue,
    facts: &Facts,
    change: i64,
) -> Result<Vec<SheetRead>, SquadError> {
    let days: BTreeSet<_> = archive
        .results(&ResultFilter::default())?
        .into_iter()
        .filter(|result| result.change == change)
        .map(|result| result.day)
        .collect();
    if days.len() > MOST_DAYS {
        return Ok(Vec::new());
    }
    let mut found = Vec::new();
    for day in archive.days()?.into_iter().filter(|d| days.contains(&d.id)) {
        let squad = match squad(archive, catalogue, facts, &day, &Choices::default()) {
            Ok(squad) => squad,
            Err(SquadError::Archive(fault)) => return Err(fault.into()),
            // A day without test or values has nothing to compare.
            Err(_) => continue,
        };
        let part = answer(archive, &squad, &waves(archive, &day)?)?;
        let sheets = part.answer.map_or_else(Vec::new, |a| a.sheets);
        found.extend(sheets.into_iter().filter(SheetRead::slipped));
    }
    Ok(found)
}

fn read(squad: &Squad<'_>, list: &Listed<'_>) -> SheetRead {
    let known = |line: &&Line<'_>| {
        line.runner
            .is_some_and(|r| r.expected.is_some() && full(r).is_some())
    };
    let compared = list.lines.iter().filter(known).count();
    let mut sheet = SheetRead {
        name: list.name.clone(),
        place: list.place,
        rows: list.lines.len(),
        held: list.held,
        compared,
        verdict: "too_few",
        as_written: None,
        shift: None,
        exchange: None,
        edit: None,
        words: String::new(),
    };
    let told = squad
        .newcomer
        .filter(|_| compared >= FEWEST)
        .map(|newcomer| row_slip(&rows(list, newcomer), &SlipOptions::default()));
    match told {
        Some(Ok(report)) => {
            sheet.as_written = Some(report.as_written);
            sheet.shift = Some(report.shift);
            sheet.exchange = Some(report.swap);
            sheet.verdict = match report.verdict {
                SlipVerdict::AsWritten => "as_written",
                SlipVerdict::Slip => "slip",
                SlipVerdict::CannotTell => "cannot_tell",
            };
            sheet.edit = edit(list, &report);
        }
        Some(Err(fault)) => {
            sheet.verdict = "cannot_tell";
            sheet.words = format!("{}: no answer: {fault}.", list.name);
            return sheet;
        }
        None => {}
    }
    let name = |place: u32| {
        let line = list.lines.iter().find(|line| line.place == place);
        line.and_then(|l| l.runner).map(|r| r.name.as_str())
    };
    sheet.words = rows_words::sheet(&sheet, &name);
    sheet
}

/// The rows as the formula wants them; a newcomer, and whoever a row without result belongs to, is one of the squad.
fn rows(list: &Listed<'_>, newcomer: Normal) -> Vec<SlipRow> {
    let mut widths: Vec<f64> = list
        .lines
        .iter()
        .filter_map(|line| full(line.runner?).map(|(_, width)| width))
        .collect();
    widths.sort_by(f64::total_cmp);
    let width = widths.get(widths.len() / 2).copied().unwrap_or(0.0);
    list.lines
        .iter()
        .map(|line| {
            let expected = line.runner.and_then(|r| r.expected).unwrap_or(newcomer);
            SlipRow {
                predicted: expected.mean,
                sd: (expected.sd.powi(2) + width * width / 12.0).sqrt(),
                observed: line.runner.and_then(full).map(|(at, _)| at),
            }
        })
        .collect()
}

/// The likeliest edit in rows of the sheet; nothing when it stands as written.
fn edit(list: &Listed<'_>, report: &SlipReport) -> Option<RowEdit> {
    if report.verdict == SlipVerdict::AsWritten {
        return None;
    }
    let place = |at: usize| list.lines.get(at).map(|line| line.place);
    let last = list.lines.last()?.place;
    let (kind, first, last, by) = match report.edit? {
        Edit::AsWritten => return None,
        Edit::TooHigh { from, by } => ("too_high", place(from)?, last, by),
        Edit::TooLow { from, by } => ("too_low", place(from)?, last, by),
        Edit::Swap { first, second } => ("exchanged", place(first)?, place(second)?, 0),
    };
    Some(RowEdit {
        kind,
        first,
        last,
        by,
        chance: report.edit_probability,
    })
}
