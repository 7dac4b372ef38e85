//! The two shapes of a study's table: a row a person and a column a trial, or person, trial, value.

use std::collections::BTreeMap;

use plimsoll_examine::{Cell, Sheet};

use super::columns;
use crate::study::error::{CellFault, StudyError};

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
/// A cell with its place.
pub(super) struct Placed<'a> {
    pub person: usize,
    pub trial: usize,
    pub row: u32,
    pub column: &'a str,
    pub cell: &'a Cell,
}

/// People, trials, the cells with their places, and how the table was read.
pub(super) type Layout<'a> = (Vec<String>, Vec<String>, Vec<Placed<'a>>, String);

/// Returns a header as it is compared: no unit, small letters, spaces.
pub(super) fn word(header: &str) -> String {
    let plain = header.split(['(', '[']).next().unwrap_or(header);
    plain.trim().to_lowercase().replace(['_', '-'], " ")
}

/// The columns of person, trial and value, when there are three with such headers.
pub(super) fn long_columns(sheet: &Sheet) -> Option<(usize, usize, usize)> {
    let words: Vec<String> = sheet.columns().iter().map(|c| word(c.header())).collect();
    let find = |known: &[&str]| words.iter().position(|w| known.contains(&w.as_str()));
    let (person, trial) = (find(&PERSON)?, find(&TRIAL)?);
    let value = find(&VALUE)
        .filter(|v| ![person, trial].contains(v))
        .or_else(|| (words.len() == 3).then(|| (0..3).find(|i| ![person, trial].contains(i)))?)?;
    (person != trial).then_some((person, trial, value))
}

pub(super) fn long<'a>(
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

pub(super) fn wide<'a>(name: &str, sheet: &'a Sheet) -> Result<Layout<'a>, StudyError> {
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
