//! The results of a test in the archive as rows of a mixed model.
//! Results that cannot be compared are left out and counted.

use std::collections::BTreeMap;

use jiff::civil::Date;
use plimsoll_archive::{Archive, PaperKind};
use plimsoll_examine::Cell;
use plimsoll_interpret::change::Observation;
use plimsoll_interpret::data::TestScale;
use plimsoll_judge::Censoring;
use plimsoll_ladder::Test;

use super::error::MixedError;
use super::table::{MixedTable, TableColumn};
use crate::history::{Entry, entries};
use crate::test_day::Plan;

/// The columns of the archive's rows.
const COLUMNS: [&str; 11] = [
    "athlete",
    "day",
    "days",
    "weeks",
    "trial",
    "value",
    "surface",
    "temperature",
    "wind",
    "wave",
    "assessor",
];

/// The rows of a test in the archive.
#[derive(Debug, Clone)]
pub struct ArchiveTable {
    /// The rows; columns athlete, day, days and weeks since the athlete's first result here, trial
    /// (number in life), value, surface, temperature (°C), wind (m/s), wave, assessor.
    pub table: MixedTable,
    /// Athletes with two results or more.
    pub repeated: usize,
    /// Results of the test in all.
    pub results: usize,
}

/// A result that can be used.
struct Usable {
    who: String,
    person: String,
    first: Date,
    entry: Entry,
    seen: Observation,
}

/// Returns the rows of a test.
///
/// # Errors
///
/// [`MixedError`] when the archive cannot be read.
pub fn archive_table(
    archive: &Archive,
    test: &Test,
    scale: Option<&TestScale>,
) -> Result<ArchiveTable, MixedError> {
    let (mut all, results) = gather(archive, test, scale)?;
    let mut notes = Vec::new();
    if all.len() < results {
        notes.push(format!(
            "{} results are lower bounds, ended at the top of the ladder or have no value, and are left out",
            results - all.len()
        ));
    }
    let before = all.len();
    let rules = commonest(all.iter().map(|u| u.seen.rules.clone()));
    all.retain(|u| u.seen.rules.is_none() || u.seen.rules == rules);
    let course = commonest(all.iter().map(|u| u.seen.course_length_mm));
    all.retain(|u| u.seen.course_length_mm.is_none() || u.seen.course_length_mm == course);
    if all.len() < before {
        notes.push(format!(
            "{} results were run under other rules or on another course than most, and are left out",
            before - all.len()
        ));
    }
    notes.insert(
        0,
        format!(
            "from the archive: results of {}, {} of {results} used",
            test.id(),
            all.len()
        ),
    );
    notes.push(
        "what is left over holds the error of the test and every true change that no column explains"
            .to_owned(),
    );
    let mut per: BTreeMap<&str, usize> = BTreeMap::new();
    for one in &all {
        *per.entry(&one.person).or_default() += 1;
    }
    let repeated = per.values().filter(|n| **n >= 2).count();
    let places = places(archive, &all)?;
    let unit = scale.map_or("m", |s| s.unit.as_str()).to_owned();
    Ok(ArchiveTable {
        repeated,
        results,
        table: MixedTable {
            name: format!("results of {}", test.id()),
            place: format!("the archive, results of {}", test.id()),
            columns: columns(&all, &places),
            rows: (1..).take(all.len()).collect(),
            names: all
                .iter()
                .map(|u| format!("{}, {}", u.who, u.entry.date()))
                .collect(),
            notes,
            unit,
        },
    })
}

/// Returns the results that have an exact value, and how many there are in all.
fn gather(
    archive: &Archive,
    test: &Test,
    scale: Option<&TestScale>,
) -> Result<(Vec<Usable>, usize), MixedError> {
    let (mut all, mut results) = (Vec::new(), 0);
    let mut names: BTreeMap<String, u32> = BTreeMap::new();
    for person in archive.people()? {
        let history = entries(archive.history(person.id)?, test, scale);
        results += history.len();
        let nth = names.entry(person.facts.called_name.clone()).or_default();
        *nth += u32::from(!history.is_empty());
        let who = match *nth {
            0 | 1 => person.facts.called_name.clone(),
            nth => format!("{} ({nth})", person.facts.called_name),
        };
        let found = history.into_iter().filter_map(|entry| {
            let exact = entry.entry.result.facts.outcome.censoring() == Censoring::Score;
            let seen = entry.observation(test)?;
            (exact && !entry.is_lower_bound()).then_some((entry, seen))
        });
        let found: Vec<_> = found.collect();
        let Some(first) = found.first().map(|(entry, _)| entry.date()) else {
            continue;
        };
        all.extend(found.into_iter().map(|(entry, seen)| Usable {
            who: who.clone(),
            person: person.id.to_string(),
            first,
            entry,
            seen,
        }));
    }
    Ok((all, results))
}

/// Returns the value that most have; of equals the first in order.
fn commonest<T: Ord + Clone>(all: impl Iterator<Item = Option<T>>) -> Option<T> {
    let mut counts: BTreeMap<T, usize> = BTreeMap::new();
    for one in all.flatten() {
        *counts.entry(one).or_default() += 1;
    }
    let most = counts.values().max().copied()?;
    counts.into_iter().find(|(_, n)| *n == most).map(|(v, _)| v)
}

/// Wave and assessor of a person on a day, as the day's plan has them.
type Places = BTreeMap<(String, Date), (String, Option<String>)>;

fn places(archive: &Archive, all: &[Usable]) -> Result<Places, MixedError> {
    let mut places = Places::new();
    let days: BTreeMap<_, _> = all
        .iter()
        .map(|u| (u.entry.date(), u.entry.entry.day.id))
        .collect();
    for (date, day) in days {
        let plan = archive.paper(day, PaperKind::Plan, None)?;
        let plan = plan.and_then(|p| serde_json::from_value::<Plan>(p.document).ok());
        for wave in plan.into_iter().flat_map(|p| p.waves) {
            for runner in &wave.runners {
                let watches = |lane: u16| {
                    let mut all = wave.assessors.iter();
                    all.find(|a| a.lanes.contains(&lane))
                };
                let assessor = watches(runner.lane).map(|a| a.name.clone());
                let name = format!("{date} {}", wave.name);
                places.insert((runner.person.clone(), date), (name, assessor));
            }
        }
    }
    Ok(places)
}

fn columns(all: &[Usable], places: &Places) -> Vec<TableColumn> {
    let text = |t: Option<&str>| t.map_or(Cell::Empty, Cell::text);
    let number = |n: Option<f64>| n.map_or(Cell::Empty, Cell::number);
    let cell = |u: &Usable, column: &str| {
        let date = u.entry.date();
        let day = &u.entry.entry.day.facts;
        let since = f64::from((date - u.first).get_days());
        let place = places.get(&(u.person.clone(), date));
        match column {
            "athlete" => Cell::text(&u.who),
            "day" => Cell::text(&date.to_string()),
            "days" => Cell::number(since),
            "weeks" => Cell::number(since / 7.0),
            "trial" => number(u.seen.trial_number.map(f64::from)),
            "value" => Cell::number(u.seen.value),
            "surface" => text(u.seen.surface.as_deref()),
            "temperature" => number(day.temperature_c),
            "wind" => number(day.wind_m_s),
            "wave" => text(place.map(|p| p.0.as_str())),
            _ => text(place.and_then(|p| p.1.as_deref())),
        }
    };
    COLUMNS
        .iter()
        .map(|column| TableColumn {
            header: (*column).to_owned(),
            cells: all.iter().map(|u| cell(u, column)).collect(),
        })
        .collect()
}
