//! A roster file: name, and what is expected of each as bouts, metres or a label of one test.
//! Every fault names row and column; nothing is guessed.

use std::collections::BTreeMap;

use plimsoll_interpret::Sex;
use plimsoll_ladder::Test;

use super::ladder::rungs;
use super::{Athlete, Earlier, PlanningError, Roster};

/// Most rows of a roster.
const MOST: usize = 1_000;
/// The names by which a column may go, lower case.
const COLUMNS: [(&str, &[&str]); 6] = [
    ("name", &["name", "player", "athlete", "runner"]),
    ("bouts", &["bouts", "expected bouts"]),
    (
        "metres",
        &["metres", "meters", "distance", "distance (m)", "m"],
    ),
    ("level", &["level", "label"]),
    ("sex", &["sex"]),
    ("age", &["age"]),
];

/// Reads a roster whose expectations are results of `test`.
///
/// # Errors
///
/// [`PlanningError::Roster`] with row and column of the first fault.
pub fn csv_roster(file: &str, text: &str, test: &Test) -> Result<Roster, PlanningError> {
    let ladder = rungs(test).ok_or_else(|| PlanningError::NotPaced {
        test: test.id().to_owned(),
    })?;
    let fault = |place: String, found: String, allowed: &str, next: &str| PlanningError::Roster {
        place,
        found,
        allowed: allowed.to_owned(),
        next: next.to_owned(),
    };
    let mut reader = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .flexible(false)
        .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let head = reader.headers().cloned().map_err(|e| {
        fault(
            format!("{file}, row 1"),
            e.to_string(),
            "a header row of a CSV file",
            "save the sheet as CSV in UTF-8",
        )
    })?;
    let columns: BTreeMap<&str, usize> = COLUMNS
        .iter()
        .filter_map(|(field, names)| {
            let at = head
                .iter()
                .position(|h| names.contains(&h.to_lowercase().as_str()))?;
            Some((*field, at))
        })
        .collect();
    if !columns.contains_key("name") {
        return Err(fault(
            format!("{file}, row 1"),
            head.iter().collect::<Vec<_>>().join(", "),
            "a column `name`, and one of `bouts`, `metres` or `level`",
            "name the columns in the first row",
        ));
    }
    let mut athletes = Vec::new();
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    for (record, row) in reader.records().zip(2..) {
        let record = record.map_err(|e| {
            fault(
                format!("{file}, row {row}"),
                e.to_string(),
                "as many cells as the header has",
                "correct the row",
            )
        })?;
        if athletes.len() == MOST {
            return Err(fault(
                format!("{file}, row {row}"),
                format!("more than {MOST} rows"),
                "a roster of one group",
                "split the file",
            ));
        }
        let cell = |field: &str| {
            let text = columns.get(field).and_then(|at| record.get(*at));
            text.filter(|t| !t.is_empty())
        };
        let place = |field: &str| format!("{file}, row {row}, column {field}");
        let Some(name) = cell("name") else {
            if record.iter().all(str::is_empty) {
                continue;
            }
            return Err(fault(
                place("name"),
                "nothing".to_owned(),
                "a name",
                "write one",
            ));
        };
        if let Some(first) = seen.insert(name.to_lowercase(), row) {
            return Err(fault(
                place("name"),
                format!("`{name}`, which is in row {first} too"),
                "each runner once",
                "take one row out, or tell the two apart by their names",
            ));
        }
        let given: Vec<&str> = ["bouts", "metres", "level"]
            .into_iter()
            .filter(|f| cell(f).is_some())
            .collect();
        if given.len() > 1 {
            return Err(fault(
                place(given[1]),
                format!("a value beside the one in {}", given[0]),
                "one of bouts, metres and level in a row",
                "keep one",
            ));
        }
        let number = |field: &str, most: f64| -> Result<Option<f64>, PlanningError> {
            let Some(text) = cell(field) else {
                return Ok(None);
            };
            let value = text.parse::<f64>().ok();
            match value.filter(|v| v.is_finite() && (0.0..=most).contains(v)) {
                Some(value) => Ok(Some(value)),
                None => Err(fault(
                    place(field),
                    format!("`{text}`"),
                    &format!("a number from 0 to {most}"),
                    &format!(
                        "correct it; expectations are read as results of `{}`",
                        test.id()
                    ),
                )),
            }
        };
        let all = ladder.bouts();
        let bouts = if let Some(label) = cell("level") {
            let bout = test.ladder().and_then(|l| l.by_label(label));
            let bout = bout.ok_or_else(|| {
                fault(
                    place("level"),
                    format!("`{label}`"),
                    &format!("a label of `{}`", test.id()),
                    "`plimsoll ladder ID` lists the labels; `plimsoll locate` finds the test",
                )
            })?;
            Some(bout.number)
        } else if let Some(bouts) = number("bouts", all as f64)? {
            if bouts.fract() != 0.0 {
                return Err(fault(
                    place("bouts"),
                    bouts.to_string(),
                    "a whole number",
                    "count completed bouts",
                ));
            }
            Some(bouts as u32)
        } else {
            number("metres", ladder.distance(all))?.map(|m| ladder.bouts_at(m) as u32)
        };
        let sex = match cell("sex").map(str::to_lowercase).as_deref() {
            None => None,
            Some("f" | "female") => Some(Sex::Female),
            Some("m" | "male") => Some(Sex::Male),
            Some(other) => {
                let allowed = "F, M or nothing";
                return Err(fault(
                    place("sex"),
                    format!("`{other}`"),
                    allowed,
                    "correct it",
                ));
            }
        };
        athletes.push(Athlete {
            name: name.to_owned(),
            sex,
            age: number("age", 120.0)?,
            earlier: bouts
                .map(|bouts| Earlier {
                    test: test.id().to_owned(),
                    bouts,
                    day: None,
                })
                .into_iter()
                .collect(),
            ..Athlete::default()
        });
    }
    if athletes.is_empty() {
        return Err(fault(
            file.to_owned(),
            "no runners".to_owned(),
            "a row for each runner",
            "add rows under the header",
        ));
    }
    Ok(Roster {
        athletes,
        source: format!("{file}, read as expected results of {}", test.id()),
    })
}
