//! Reads the table of a study: a row a person and a column a trial, or person, trial, value.
//! Which of the two, and whether cells are labels, is said in the notes; nothing is dropped unsaid.

use std::collections::BTreeMap;

use plimsoll_examine::{Cell, Sheet, read_table};
use plimsoll_interpret::data::TestScale;
use plimsoll_ladder::Test;
use plimsoll_measure::study::{LongRow, Trials};

use super::cells::{self, Content};
use super::error::{CellFault, StudyError};

/// Most people and trials of a sheet.
const MOST_TRIALS: usize = 200;

const PERSON: [&str; 13] = [
    "person",
    "name",
    "player",
    "athlete",
    "subject",
    "participant",
    "target",
    "id",
    "runner",
    "pupil",
    "student",
    "individual",
    "code",
];
const TRIAL: [&str; 13] = [
    "trial",
    "test",
    "occasion",
    "session",
    "day",
    "visit",
    "attempt",
    "judge",
    "rater",
    "date",
    "time point",
    "week",
    "repeat",
];
const VALUE: [&str; 12] = [
    "value",
    "score",
    "result",
    "distance",
    "metres",
    "meters",
    "speed",
    "label",
    "level",
    "shuttles",
    "time",
    "measurement",
];
const LABELS: [&str; 4] = ["label", "level", "stage", "level reached"];

/// The values of a study with the names of people and trials.
#[derive(Debug, Clone)]
pub struct StudyTable {
    /// Values; a person's mark is the index in `people`, a trial's number its place in `trials` from 1.
    pub values: Trials,
    /// Names of the people.
    pub people: Vec<String>,
    /// Names of the trials.
    pub trials: Vec<String>,
    /// Unit of the values; empty when not known.
    pub unit: String,
    /// Where the values come from and how they were read.
    pub notes: Vec<String>,
    /// Middle age of the people, years, where known.
    pub age: Option<f64>,
}

/// A cell with its place.
struct Placed<'a> {
    person: usize,
    trial: usize,
    row: u32,
    column: &'a str,
    cell: &'a Cell,
}

/// Reads a study from the bytes of a CSV, TSV, XLSX or ODS file.
///
/// # Errors
///
/// [`StudyError`] with row and column of what cannot be used.
pub fn read_study(
    name: &str,
    bytes: &[u8],
    wanted: Option<&str>,
    test: Option<(&Test, Option<&TestScale>)>,
) -> Result<StudyTable, StudyError> {
    let (_, sheet) = read_table(name, bytes, wanted)?;
    let mut notes: Vec<String> = sheet
        .notes()
        .iter()
        .map(|note| match note.row {
            Some(row) => format!("row {row}: {}", note.text),
            None => note.text.clone(),
        })
        .collect();
    let (people, trials, placed, shape) = match long_columns(&sheet) {
        Some(at) => long(name, &sheet, at)?,
        None => wide(name, &sheet)?,
    };
    notes.push(shape);
    let labels = as_labels(&sheet, &placed, test);
    if labels && test.is_none() {
        return Err(columns(
            name,
            &sheet,
            "values that can be compared: metres, seconds, shuttles, km/h",
            "labels are read against a ladder: say which with --test ID",
        ));
    }
    let mut rows = Vec::with_capacity(placed.len());
    let mut faults = Vec::new();
    for place in &placed {
        let content = match test {
            Some((test, scale)) if labels => cells::label(place.cell, test, scale),
            _ => cells::number(place.cell),
        };
        match content {
            Content::Missing => {}
            Content::Number(value) => rows.push(LongRow {
                person: place.person as u64,
                trial: place.trial as u32 + 1,
                value,
            }),
            Content::Fault(allowed) => faults.push(CellFault {
                row: place.row,
                column: place.column.to_owned(),
                found: place.cell.to_string().chars().take(40).collect(),
                allowed,
            }),
        }
    }
    if !faults.is_empty() {
        return Err(StudyError::Cells {
            file: name.to_owned(),
            faults,
        });
    }
    let empty = placed.len() - rows.len();
    if empty > 0 {
        notes.push(format!("{empty} cells are empty and count as missing"));
    }
    if let (true, Some((test, _))) = (labels, test) {
        notes.push(format!("cells were read as labels of {}", test.id()));
    }
    twice(name, &sheet, &placed, &people, &trials)?;
    let unit = test.map_or("", |(_, scale)| scale.map_or("m", |s| s.unit.as_str()));
    Ok(StudyTable {
        values: Trials::long(&rows)?,
        people,
        trials,
        unit: unit.to_owned(),
        notes,
        age: None,
    })
}

type Layout<'a> = (Vec<String>, Vec<String>, Vec<Placed<'a>>, String);

fn word(header: &str) -> String {
    let plain = header.split(['(', '[']).next().unwrap_or(header);
    plain.trim().to_lowercase().replace(['_', '-'], " ")
}

/// The columns of person, trial and value, when there are three with such headers.
fn long_columns(sheet: &Sheet) -> Option<(usize, usize, usize)> {
    let words: Vec<String> = sheet.columns().iter().map(|c| word(c.header())).collect();
    let find = |known: &[&str]| words.iter().position(|w| known.contains(&w.as_str()));
    let (person, trial) = (find(&PERSON)?, find(&TRIAL)?);
    let value = find(&VALUE)
        .filter(|v| ![person, trial].contains(v))
        .or_else(|| (words.len() == 3).then(|| (0..3).find(|i| ![person, trial].contains(i)))?)?;
    (person != trial).then_some((person, trial, value))
}

fn long<'a>(
    name: &str,
    sheet: &'a Sheet,
    (person, trial, value): (usize, usize, usize),
) -> Result<Layout<'a>, StudyError> {
    let columns_of = sheet.columns();
    let (mut people, mut trials) = (Vec::new(), Vec::new());
    let mut known: BTreeMap<String, usize> = BTreeMap::new();
    let mut seen: BTreeMap<String, ()> = BTreeMap::new();
    let mut placed = Vec::new();
    let mut faults = Vec::new();
    for row in 0..sheet.rows() {
        let texts = [person, trial].map(|c| columns_of[c].cell(row).to_string());
        if let Some(at) = texts.iter().position(String::is_empty) {
            faults.push(CellFault {
                row: sheet.number(row),
                column: columns_of[[person, trial][at]].header().to_owned(),
                found: String::new(),
                allowed: "a name or number in every row".to_owned(),
            });
            continue;
        }
        let who = *known.entry(texts[0].clone()).or_insert_with(|| {
            people.push(texts[0].clone());
            people.len() - 1
        });
        if seen.insert(texts[1].clone(), ()).is_none() {
            trials.push(texts[1].clone());
        }
        placed.push((who, texts[1].clone(), row));
    }
    if !faults.is_empty() {
        return Err(StudyError::Cells {
            file: name.to_owned(),
            faults,
        });
    }
    if trials.len() > MOST_TRIALS {
        return Err(columns(
            name,
            sheet,
            "at most 200 trials",
            "is the column of trials the right one?",
        ));
    }
    in_order(&mut trials);
    let place = |text: &str| trials.iter().position(|t| t == text).unwrap_or(0);
    let placed = placed
        .into_iter()
        .map(|(person, text, row)| Placed {
            person,
            trial: place(&text),
            row: sheet.number(row),
            column: columns_of[value].header(),
            cell: columns_of[value].cell(row),
        })
        .collect();
    let shape = format!(
        "read as one value a row: person from `{}`, trial from `{}`, value from `{}`",
        columns_of[person].header(),
        columns_of[trial].header(),
        columns_of[value].header()
    );
    Ok((people, trials, placed, shape))
}

/// Numbers by size, dates by day, other names in the order in which they came.
fn in_order(trials: &mut [String]) {
    let last_number = |t: &str| {
        let digits: String = t.chars().rev().take_while(char::is_ascii_digit).collect();
        digits.chars().rev().collect::<String>().parse::<u64>().ok()
    };
    if trials
        .iter()
        .all(|t| t.parse::<jiff::civil::Date>().is_ok())
    {
        trials.sort_by_key(|t| t.parse::<jiff::civil::Date>().ok());
    } else if trials.iter().all(|t| t.parse::<f64>().is_ok()) {
        let key = |t: &String| t.parse::<f64>().unwrap_or(f64::NAN);
        trials.sort_by(|a, b| key(a).total_cmp(&key(b)));
    } else if trials.iter().all(|t| last_number(t).is_some()) {
        trials.sort_by_key(|t| last_number(t));
    }
}

fn wide<'a>(name: &str, sheet: &'a Sheet) -> Result<Layout<'a>, StudyError> {
    let all = sheet.columns();
    let trials: Vec<String> = all.iter().skip(1).map(|c| c.header().to_owned()).collect();
    if trials.len() < 2 || trials.len() > MOST_TRIALS {
        return Err(columns(
            name,
            sheet,
            "a column of names and two or more columns of trials, or the columns person, trial, value",
            "a study needs the same people at least twice",
        ));
    }
    let mut people = Vec::with_capacity(sheet.rows());
    let mut placed = Vec::new();
    for row in 0..sheet.rows() {
        let who = all[0].cell(row).to_string();
        people.push(if who.is_empty() {
            format!("row {}", sheet.number(row))
        } else {
            who
        });
        for (trial, column) in all.iter().skip(1).enumerate() {
            placed.push(Placed {
                person: row,
                trial,
                row: sheet.number(row),
                column: column.header(),
                cell: column.cell(row),
            });
        }
    }
    let shape = format!(
        "read as a row a person (`{}`) and a column a trial: {}",
        all[0].header(),
        trials.join(", ")
    );
    Ok((people, trials, placed, shape))
}

/// Whether cells are labels: a header says so, or with a test all are labels and not all are values.
fn as_labels(
    sheet: &Sheet,
    placed: &[Placed<'_>],
    test: Option<(&Test, Option<&TestScale>)>,
) -> bool {
    let said = |p: &Placed<'_>| LABELS.contains(&word(p.column).as_str());
    if !placed.is_empty() && placed.iter().all(said) {
        return true;
    }
    let Some((test, scale)) = test else {
        return false;
    };
    let unit_said = sheet
        .columns()
        .iter()
        .any(|c| c.header().contains(['(', '[']));
    let filled = placed.iter().filter(|p| !p.cell.is_empty());
    let on_ladder = filled
        .filter(|p| {
            matches!(cells::label(p.cell, test, scale), Content::Number(_))
                && p.cell.to_string().contains(['.', ','])
        })
        .count();
    let filled = placed.iter().filter(|p| !p.cell.is_empty()).count();
    !unit_said && filled > 0 && on_ladder * 2 > filled
}

/// The same person and trial twice, by name.
fn twice(
    name: &str,
    sheet: &Sheet,
    placed: &[Placed<'_>],
    people: &[String],
    trials: &[String],
) -> Result<(), StudyError> {
    let mut seen: BTreeMap<(usize, usize), u32> = BTreeMap::new();
    let mut faults = Vec::new();
    for p in placed.iter().filter(|p| !p.cell.is_empty()) {
        if let Some(first) = seen.insert((p.person, p.trial), p.row) {
            faults.push(CellFault {
                row: p.row,
                column: p.column.to_owned(),
                found: p.cell.to_string(),
                allowed: format!(
                    "one value for {} in {} (row {first} has one)",
                    people.get(p.person).map_or("", String::as_str),
                    trials.get(p.trial).map_or("", String::as_str)
                ),
            });
        }
    }
    let mut names: BTreeMap<&str, usize> = BTreeMap::new();
    for (row, who) in people.iter().enumerate() {
        if let Some(first) = names.insert(who, row) {
            faults.push(CellFault {
                row: sheet.number(row),
                column: sheet.columns()[0].header().to_owned(),
                found: who.clone(),
                allowed: format!("each name once (row {} has it)", sheet.number(first)),
            });
        }
    }
    if faults.is_empty() {
        return Ok(());
    }
    Err(StudyError::Cells {
        file: name.to_owned(),
        faults,
    })
}

fn columns(name: &str, sheet: &Sheet, allowed: &'static str, next: &'static str) -> StudyError {
    let found: Vec<&str> = sheet
        .columns()
        .iter()
        .map(|c| c.header())
        .take(12)
        .collect();
    StudyError::Columns {
        file: name.to_owned(),
        row: sheet.header_row(),
        found: found.join(", "),
        allowed,
        next,
    }
}
