//! Results out of a sheet: examine, match people, apply the lead's rulings, record.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use jiff::civil::Date;
use plimsoll_archive::{
    DayFacts, Encouragement, ImportFile, ImportKind, NewResult, ResultFacts, WhichDay, Word, Writer,
};
use plimsoll_examine::{Examination, Options, ResultRow, RowVerdict};
use plimsoll_judge::{Amount, Outcome, StopReason};
use plimsoll_ladder::{Catalogue, Test};

use super::held::{HeldLine, Written, findings, lines};
use super::matching::Directory;
use super::people::new_person;
use super::{Common, ImportError, confounders, examine, known};
use crate::day_card::{DayCard, plain_day};

/// The lead's ruling on a row: take this label, whatever the examination said.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ruling {
    /// The row a spreadsheet shows.
    pub row: u32,
    /// The label of the last completed bout.
    pub label: String,
}

/// What to import and how.
#[derive(Debug, Clone)]
pub struct ResultsOrder<'a> {
    /// The test that was run.
    pub test: &'a Test,
    /// The day of the test, for rows that do not say one.
    pub on: Option<Date>,
    /// Today, for dates in the future.
    pub today: Date,
    /// What is known of the day beside the sheet.
    pub card: Option<DayCard>,
    /// Records people the archive does not know as new.
    pub add_people: bool,
    /// Takes only rows that an earlier import of the same file held back.
    pub held_only: bool,
    /// Takes the file although the same content was imported before.
    pub force: bool,
    /// The lead's rulings.
    pub rulings: Vec<Ruling>,
}

/// What an import of results came to.
#[derive(Debug, Clone)]
pub struct ResultsImport {
    /// What every import gives back.
    pub common: Common,
    /// People recorded as new.
    pub new_people: usize,
    /// Rows that say there is no result.
    pub absent: usize,
}

/// Imports the results of a sheet: rows without a fault that holds them, and rows ruled on.
///
/// # Errors
///
/// [`ImportError`]; nothing is written then.
pub fn import_results(
    archive: &mut Writer,
    catalogue: &Catalogue,
    path: &Path,
    order: &ResultsOrder<'_>,
    adjust: impl FnOnce(&mut Options<'_>),
) -> Result<ResultsImport, ImportError> {
    let mut options = Options::new(catalogue).with_test(order.test.id());
    options.context = known(archive, Some(order.test.id()), order.today, order.on)?;
    adjust(&mut options);
    let examination = examine(path, &options)?;
    let mut rows = examination.results().collect();
    apply_rulings(&mut rows, &examination, order)?;
    let report = examination.report.clone();
    let sheet_name = report.file.sheet.clone();
    let written = Written::of(examination.sheet(), sheet_name.clone());
    if order.held_only {
        let open = held_before(archive, &report.file.sha256)?;
        if open.is_empty() {
            return Err(ImportError::NothingHeld {
                file: report.file.name,
            });
        }
        rows.retain(|r| open.contains(&r.row));
    }
    let mut ours: Vec<HeldLine> = Vec::new();
    let new_people = if order.add_people {
        add_unknown(archive, &rows, &examination, &written)?
    } else {
        0
    };
    let directory = Directory::of(archive)?;
    let mut days: BTreeMap<(Date, String), Vec<NewResult>> = BTreeMap::new();
    for row in &rows {
        match taken(&directory, row, order, &written) {
            Ok((key, result)) => days.entry(key).or_default().push(result),
            Err(line) => ours.push(*line),
        }
    }
    let taken_rows: BTreeSet<u32> = days
        .values()
        .flatten()
        .map(|result| result.source.row)
        .collect();
    let ruled: BTreeSet<u32> = order.rulings.iter().map(|r| r.row).collect();
    let mut held: Vec<HeldLine> = lines(&report, &examination.rows)
        .into_iter()
        .filter(|line| !ruled.contains(&line.row))
        .chain(ours.iter().cloned())
        .collect();
    held.sort_by_key(|line| line.row);
    if order.held_only {
        let open = held_before(archive, &report.file.sha256)?;
        held.retain(|line| open.contains(&line.row));
    }
    let absent = examination
        .rows
        .iter()
        .filter(|(_, v)| *v == RowVerdict::Absent)
        .count();
    let mut change = None;
    if !taken_rows.is_empty() || !held.is_empty() {
        let file = ImportFile {
            file_name: report.file.name.clone(),
            sha256: report.file.sha256.clone(),
            rows_seen: u32::try_from(report.rows).unwrap_or(u32::MAX),
            options: Some(settings(order)),
            force: order.force || order.held_only,
            held: held.iter().map(|h| written.row(h.row)).collect(),
            findings: findings(&report, sheet_name.as_deref(), &ours),
        };
        let mut whole: Vec<(WhichDay, Vec<NewResult>)> = Vec::new();
        for ((on, test), results) in days {
            whole.push((which_day(archive, catalogue, order, on, &test)?, results));
        }
        if let (true, Some(on)) = (whole.is_empty(), order.on) {
            // Nothing was taken: what is held belongs to the day all the same.
            whole.push((
                which_day(archive, catalogue, order, on, order.test.id())?,
                Vec::new(),
            ));
        }
        let parts: Vec<(&WhichDay, &[NewResult])> = whole
            .iter()
            .map(|(day, new)| (day, new.as_slice()))
            .collect();
        change = Some(archive.import_results_of_days(&file, &parts)?.change);
        if order.held_only {
            settle(archive, &report.file.sha256, &taken_rows)?;
        }
    }
    let common = Common {
        report,
        accepted: taken_rows.len(),
        held,
        change,
    };
    Ok(ResultsImport {
        common,
        new_people,
        absent,
    })
}

/// Returns the archive's form of a row with its day and test, or why it is held.
fn taken(
    directory: &Directory,
    row: &ResultRow,
    order: &ResultsOrder<'_>,
    written: &Written<'_>,
) -> Result<((Date, String), NewResult), Box<HeldLine>> {
    if row.at_least && row.reason == StopReason::NotRecorded {
        return Err(Box::new(at_least_without_reason(row)));
    }
    let Some(amount) = row.amount else {
        return Err(Box::new(no_amount(row)));
    };
    let Some(on) = row.date.or(order.on) else {
        return Err(Box::new(no_date(row)));
    };
    let person = directory.person(row)?;
    let test = row
        .test
        .clone()
        .unwrap_or_else(|| order.test.id().to_owned());
    let mut facts = ResultFacts::of(Outcome {
        ladder: test.clone(),
        amount,
        reason: row.reason,
    });
    facts.bib.clone_from(&row.bib);
    facts.attempt = row.attempt;
    facts.notes.clone_from(&row.notes);
    confounders::fill(&mut facts, row);
    if order.on == Some(on) {
        from_card(&mut facts, order.card.as_ref());
    }
    let result = NewResult {
        person,
        facts,
        supersedes: None,
        source: written.row(row.row),
    };
    Ok(((on, test), result))
}

/// Returns a day of the import: the archive's own when it has that date and test already.
fn which_day(
    archive: &Writer,
    catalogue: &Catalogue,
    order: &ResultsOrder<'_>,
    on: Date,
    test: &str,
) -> Result<WhichDay, ImportError> {
    let card = order
        .card
        .as_ref()
        .filter(|_| order.on == Some(on) && order.test.id() == test);
    let test = catalogue.get(test).unwrap_or(order.test);
    let facts: DayFacts = card.map_or_else(|| plain_day(on, test), |c| c.facts.clone());
    let same = archive.days()?.into_iter().find(|d| {
        d.facts.date == on
            && d.facts.ladder_id.as_deref() == Some(test.id())
            && (facts.squad.is_none() || d.facts.squad == facts.squad)
    });
    Ok(same.map_or_else(
        || WhichDay::New(Box::new(facts)),
        |d| WhichDay::Existing(d.id),
    ))
}

/// Puts the lead's label in the place of what the row said.
fn apply_rulings(
    rows: &mut Vec<ResultRow>,
    examination: &Examination<'_>,
    order: &ResultsOrder<'_>,
) -> Result<(), ImportError> {
    for ruling in &order.rulings {
        let wrong = |why: String| ImportError::Ruling {
            row: ruling.row,
            label: ruling.label.clone(),
            why,
        };
        let ladder = order
            .test
            .ladder()
            .ok_or_else(|| wrong(format!("`{}` has no ladder", order.test.id())))?;
        let bout = ladder.by_label(&ruling.label).ok_or_else(|| {
            wrong(format!(
                "the label is not on the ladder of `{}`",
                order.test.id()
            ))
        })?;
        let row = examination
            .result_of_row(ruling.row)
            .ok_or_else(|| wrong("the sheet has no such row of data".to_owned()))?;
        rows.retain(|r| r.row != ruling.row);
        rows.push(ResultRow {
            amount: Some(Amount::Bouts(bout.number)),
            test: Some(order.test.id().to_owned()),
            ..row
        });
    }
    rows.sort_by_key(|r| r.row);
    Ok(())
}

/// Records the people of the sheet whom the archive does not know.
fn add_unknown(
    archive: &mut Writer,
    rows: &[ResultRow],
    examination: &Examination<'_>,
    written: &Written<'_>,
) -> Result<usize, ImportError> {
    let directory = Directory::of(archive)?;
    let mut unknown = BTreeSet::new();
    for row in rows {
        if directory
            .person(row)
            .is_err_and(|line| line.code == "person-unknown")
        {
            unknown.insert(row.row);
        }
    }
    let names: BTreeSet<&str> = rows
        .iter()
        .filter(|r| unknown.contains(&r.row))
        .filter_map(|r| r.name.as_deref())
        .collect();
    let people: Vec<_> = examination
        .people()
        .filter(|p| names.contains(p.name.as_str()))
        .map(|p| new_person(&p, written))
        .collect();
    if people.is_empty() {
        return Ok(0);
    }
    let report = &examination.report;
    let file = ImportFile {
        file_name: report.file.name.clone(),
        sha256: report.file.sha256.clone(),
        rows_seen: u32::try_from(report.rows).unwrap_or(u32::MAX),
        options: None,
        force: true,
        held: Vec::new(),
        findings: Vec::new(),
    };
    archive.import_people(&file, &people)?;
    Ok(people.len())
}

/// Returns the rows of a file that imports in force hold back.
fn held_before(archive: &Writer, sha256: &str) -> Result<BTreeSet<u32>, ImportError> {
    let imports: BTreeSet<_> = archive
        .imports()?
        .into_iter()
        .filter(|i| i.sha256 == sha256 && i.kind == ImportKind::Results && !i.undone)
        .map(|i| i.id)
        .collect();
    Ok(archive
        .held_rows()?
        .into_iter()
        .filter(|h| imports.contains(&h.import) && h.settled.is_none())
        .map(|h| h.source.row)
        .collect())
}

/// Marks the held rows that were taken now as dealt with.
fn settle(archive: &mut Writer, sha256: &str, taken: &BTreeSet<u32>) -> Result<(), ImportError> {
    let imports: BTreeSet<_> = archive
        .imports()?
        .into_iter()
        .filter(|i| i.sha256 == sha256)
        .map(|i| i.id)
        .collect();
    let open: Vec<_> = archive
        .held_rows()?
        .into_iter()
        .filter(|h| h.settled.is_none() && imports.contains(&h.import))
        .filter(|h| taken.contains(&h.source.row))
        .map(|h| h.id)
        .collect();
    for id in open {
        archive.settle_held_row(id, "taken by a later import of the same file")?;
    }
    Ok(())
}

/// What holds for every runner of the day, where the row does not say otherwise.
fn from_card(facts: &mut ResultFacts, card: Option<&DayCard>) {
    let Some(card) = card else { return };
    let c = &mut facts.covariates;
    if c.encouragement.is_none() {
        c.encouragement = card
            .encouragement
            .as_deref()
            .and_then(Encouragement::from_word);
    }
    if c.time_of_day.is_none() {
        c.time_of_day = card.facts.start_time;
    }
}

fn settings(order: &ResultsOrder<'_>) -> serde_json::Value {
    let rulings: Vec<String> = order
        .rulings
        .iter()
        .map(|r| format!("{}={}", r.row, r.label))
        .collect();
    serde_json::json!({
        "test": order.test.id(),
        "on": order.on.map(|d| d.to_string()),
        "held_only": order.held_only,
        "add_people": order.add_people,
        "rulings": rulings,
    })
}

fn at_least_without_reason(row: &ResultRow) -> HeldLine {
    HeldLine {
        row: row.row,
        column: "reason".to_owned(),
        code: "at-least-without-reason".to_owned(),
        found: "nothing".to_owned(),
        why: format!(
            "Row {}: the result is marked \"at least\" and no reason is given.",
            row.row
        ),
        suggestion: "write why the run ended: injury, medical, technical, discipline or withdrew"
            .to_owned(),
    }
}

fn no_date(row: &ResultRow) -> HeldLine {
    HeldLine {
        row: row.row,
        column: "date".to_owned(),
        code: "no-date".to_owned(),
        found: "nothing".to_owned(),
        why: format!("Row {}: the row has no date of the test.", row.row),
        suggestion: "add a date column to the sheet, or import with --on DATE".to_owned(),
    }
}

fn no_amount(row: &ResultRow) -> HeldLine {
    HeldLine {
        row: row.row,
        column: "result".to_owned(),
        code: "no-place-on-ladder".to_owned(),
        found: row
            .label
            .clone()
            .or_else(|| row.distance.clone())
            .unwrap_or_default(),
        why: format!(
            "Row {}: what is written names no single place on the ladder.",
            row.row
        ),
        suggestion: format!("rule on it with --settle {}=LABEL", row.row),
    }
}
