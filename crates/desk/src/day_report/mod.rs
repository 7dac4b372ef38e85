//! One test day out of the archive as the plain model that pages, workbook and tables are made of.
//! Computes no statistics of its own beyond the squad's spread; every number brings its origin.

mod athlete;
mod decisions;
mod sources;
mod words;

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use plimsoll_archive::{
    Archive, ArchiveError, DayId, HistoryEntry, ImportKind, Person, PersonId, ResultFilter, TestDay,
};
use plimsoll_interpret::data::TestScale;
use plimsoll_interpret::{Catalogue as Facts, InterpretError, Size};
use plimsoll_ladder::{Catalogue, Test};
use plimsoll_report::{
    AthleteLine, Cautions, Counts, DayFacts, DayReport, HeldRow, Quantity, SmallestWorthwhile,
    SoundCertificate,
};

pub(crate) use sources::{ladder_tag, tag as fact_tag};

use crate::history::{Entry as Past, entries};
use crate::level::{SquadLevels, members, wave_finding};
use crate::meaning::{Choices, Meaning, Question, meaning, own_pairs};
use crate::sound_check::{certificate, sound_words};

/// Why a day cannot be reported.
#[derive(Debug, thiserror::Error)]
pub enum DayReportError {
    /// The archive refused.
    #[error(transparent)]
    Archive(#[from] ArchiveError),
    /// A number cannot be used.
    #[error(transparent)]
    Interpret(#[from] InterpretError),
    /// The day's test is not in the catalogue.
    #[error(
        "the test day of {date} was run with `{id}`, which is not a known test; put its definition \
         into the archive's `definitions` folder"
    )]
    UnknownTest {
        /// The day.
        date: String,
        /// The id.
        id: String,
    },
    /// The day has no results.
    #[error("the test day of {date} has no results in force; import them first")]
    Empty {
        /// The day.
        date: String,
    },
}

/// One person's part of the day.
pub(crate) struct Runner {
    /// Who.
    pub person: Person,
    /// Results of the test up to and with today's, oldest first.
    pub entries: Vec<Past>,
    /// What today's result means.
    pub meaning: Meaning,
}

impl Runner {
    /// Returns today's result.
    pub fn now(&self) -> Option<&Past> {
        self.entries.last()
    }
}

/// Everything the parts of a report are made from.
pub(crate) struct Material<'a> {
    pub test: &'a Test,
    pub scale: Option<&'a TestScale>,
    pub day: &'a TestDay,
    pub runners: Vec<Runner>,
    pub held: Vec<HeldRow>,
    pub sound: Option<SoundCertificate>,
    /// Levels of everybody with results of the test up to the day; nothing where there is none.
    pub levels: Option<SquadLevels>,
}

/// Returns the report of a test day.
///
/// # Errors
///
/// [`DayReportError`].
pub fn day_report(
    archive: &Archive,
    catalogue: &Catalogue,
    facts: &Facts,
    day: &TestDay,
    choices: &Choices,
) -> Result<DayReport, DayReportError> {
    let date = day.facts.date.to_string();
    let id = day.facts.ladder_id.clone().unwrap_or_default();
    let test = catalogue
        .get(&id)
        .ok_or_else(|| DayReportError::UnknownTest {
            date: date.clone(),
            id: id.clone(),
        })?;
    let scale = facts.scale(test.id());
    let filter = ResultFilter {
        day: Some(day.id),
        ..ResultFilter::default()
    };
    let results: Vec<_> = archive
        .results(&filter)?
        .into_iter()
        .filter(|r| !r.withdrawn)
        .collect();
    if results.is_empty() {
        return Err(DayReportError::Empty { date });
    }
    let mut histories: BTreeMap<PersonId, Vec<Past>> = BTreeMap::new();
    for result in &results {
        if let Entry::Vacant(place) = histories.entry(result.person) {
            let all = archive.history(result.person)?;
            place.insert(entries(up_to(all, day), test, scale));
        }
    }
    let mut tests: Vec<String> = vec![id];
    tests.extend(results.iter().map(|r| r.facts.outcome.ladder.clone()));
    tests.sort();
    tests.dedup();
    let sound = certificate(&archive.sound_checks(day.id)?, &tests);
    let squad_sd = spread(histories.values(), day.id);
    let observed: Vec<_> = histories
        .values()
        .map(|h| {
            h.iter()
                .filter_map(|e| e.observation(test))
                .collect::<Vec<_>>()
        })
        .collect();
    let own = own_pairs(&observed);
    let mut runners = Vec::new();
    for (person, entries) in histories {
        let Some(person) = archive.person(person)? else {
            continue;
        };
        let question = Question {
            facts,
            test,
            person: &person,
            entries: &entries,
            squad_sd,
            own: Some(&own),
            choices,
        };
        if let Some(meaning) = meaning(&question)? {
            runners.push(Runner {
                person,
                entries,
                meaning,
            });
        }
    }
    let held = held_rows(archive, day)?;
    let until = Some(day.facts.date);
    let all = members(archive, facts, test, choices, until)?;
    let levels = SquadLevels::of(test, scale, &all).ok();
    let material = Material {
        test,
        scale,
        day,
        runners,
        held,
        sound,
        levels,
    };
    Ok(put_together(&material, facts))
}

/// Returns the results up to and with a day, today's last.
fn up_to(all: Vec<HistoryEntry>, day: &TestDay) -> Vec<HistoryEntry> {
    let mut list: Vec<HistoryEntry> = all
        .into_iter()
        .filter(|h| h.day.id == day.id || h.day.facts.date < day.facts.date)
        .collect();
    list.sort_by_key(|h| (h.day.id == day.id, h.day.facts.date));
    list
}

/// Fewer scores than this give no squad SD. Common practice, no source.
const FEWEST_FOR_SPREAD: usize = 8;

/// Returns the SD between the people of the day, scores only.
fn spread<'a>(histories: impl Iterator<Item = &'a Vec<Past>>, day: DayId) -> Option<f64> {
    let values: Vec<f64> = histories
        .filter_map(|h| h.last())
        .filter(|e| e.entry.day.id == day && !e.is_lower_bound())
        .filter_map(|e| e.value.map(|(v, _)| v))
        .collect();
    if values.len() < FEWEST_FOR_SPREAD {
        return None;
    }
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
    Some((squares / (values.len() - 1) as f64).sqrt())
}

/// Returns the rows of the day's imports that are still held, with the first finding about each.
fn held_rows(archive: &Archive, day: &TestDay) -> Result<Vec<HeldRow>, ArchiveError> {
    let mut out = Vec::new();
    let imports: Vec<_> = archive
        .imports()?
        .into_iter()
        .filter(|i| i.kind == ImportKind::Results && !i.undone)
        .filter(|i| i.on_date == Some(day.facts.date) && i.ladder == day.facts.ladder_id)
        .collect();
    let all = archive.held_rows()?;
    for import in imports {
        let findings = archive.findings(import.id)?;
        for row in all
            .iter()
            .filter(|h| h.import == import.id && h.settled.is_none())
        {
            let about = findings.iter().find(|f| f.row == row.source.row);
            let text = |t: Option<&String>| t.cloned().unwrap_or_default();
            let printed = |t: String| words::for_print(&t);
            out.push(HeldRow {
                row: row.source.row.to_string(),
                column: text(about.and_then(|f| f.column.as_ref())),
                found: printed(
                    about
                        .and_then(|f| f.found.clone())
                        .unwrap_or_else(|| written(&row.source.as_written)),
                ),
                why: printed(about.map_or_else(
                    || "one of several rows with the same fault".to_owned(),
                    |f| words::reason(&f.code, f.allowed.as_deref()),
                )),
                suggestion: printed(text(about.and_then(|f| f.suggestion.as_ref()))),
            });
        }
    }
    Ok(out)
}

/// Returns a row's cells in one line.
fn written(cells: &serde_json::Value) -> String {
    let Some(cells) = cells.as_object() else {
        return String::new();
    };
    let parts: Vec<&str> = cells
        .values()
        .filter_map(serde_json::Value::as_str)
        .collect();
    parts.join(", ")
}

/// Returns what the wave says as a whole.
fn wave(m: &Material<'_>) -> String {
    m.levels
        .as_ref()
        .and_then(|levels| wave_finding(levels, m.day.facts.date))
        .map(|finding| finding.words)
        .unwrap_or_default()
}

fn put_together(m: &Material<'_>, facts: &Facts) -> DayReport {
    let mut athletes: Vec<AthleteLine> = m.runners.iter().map(|r| athlete::line(m, r)).collect();
    // As the figure reads best: by change, largest first; those without a change by name.
    athletes.sort_by(|a, b| {
        let key = |line: &AthleteLine| line.change.as_ref().map(|c| c.difference);
        match (key(a), key(b)) {
            (Some(x), Some(y)) => y.total_cmp(&x).then_with(|| a.name.cmp(&b.name)),
            (Some(_), None) => std::cmp::Ordering::Less,
            (None, Some(_)) => std::cmp::Ordering::Greater,
            (None, None) => a.name.cmp(&b.name),
        }
    });
    let ran = u32::try_from(m.runners.len()).unwrap_or(u32::MAX);
    let bounds = m
        .runners
        .iter()
        .filter(|r| r.now().is_some_and(Past::is_lower_bound))
        .count();
    let bounds = u32::try_from(bounds).unwrap_or(u32::MAX);
    let held = u32::try_from(m.held.len()).unwrap_or(u32::MAX);
    let f = &m.day.facts;
    DayReport {
        title: words::title(m),
        day: DayFacts {
            date: f.date,
            venue: f
                .venue
                .clone()
                .unwrap_or_else(|| "place not recorded".to_owned()),
            surface: f
                .surface
                .clone()
                .unwrap_or_else(|| "surface not recorded".to_owned()),
            conditions: words::conditions(f),
            test_id: m.test.id().to_owned(),
            test_name: m.test.name().to_owned(),
            test_status: ladder_tag(m.test.status()),
            ladder_fingerprint: m
                .test
                .ladder()
                .map(|_| m.test.fingerprint())
                .unwrap_or_default(),
            course: words::course(m),
            sound: sound_words(m.sound.as_ref()),
        },
        quantity: quantity(m.scale),
        lead: String::new(),
        counts: Counts {
            ran,
            scored: ran - bounds,
            lower_bounds: bounds,
            held,
            not_started: 0,
        },
        decisions: decisions::list(m),
        smallest_worthwhile: smallest_worthwhile(m),
        held: m.held.clone(),
        how_sure: words::how_sure(m),
        wave: wave(m),
        sound: m.sound.clone(),
        sources: sources::list(m, facts),
        cautions: Cautions::default(),
        athletes,
    }
}

fn quantity(scale: Option<&TestScale>) -> Quantity {
    let unit = scale.map_or("m", |s| s.unit.as_str());
    let name = match unit {
        "km/h" | "m/s" => "speed",
        "s" => "time",
        "shuttles" => "shuttles",
        _ => "distance",
    };
    Quantity {
        name: name.to_owned(),
        unit: unit.to_owned(),
    }
}

/// Returns the band of the change figure: the worthwhile change used, at the squad's middle.
fn smallest_worthwhile(m: &Material<'_>) -> SmallestWorthwhile {
    let unit = m.scale.map_or("m", |s| s.unit.as_str()).to_owned();
    let mut values: Vec<f64> = m
        .runners
        .iter()
        .filter_map(|r| r.now()?.value.map(|(v, _)| v))
        .collect();
    values.sort_by(f64::total_cmp);
    let middle = values.get(values.len() / 2).copied().unwrap_or(0.0);
    let choice = m.runners.iter().find_map(|r| {
        r.meaning
            .change
            .as_ref()?
            .previous
            .as_ref()?
            .worthwhile
            .clone()
    });
    match choice {
        Some(choice) => SmallestWorthwhile {
            value: match choice.size {
                Size::InUnit(v) => v,
                Size::Percent(p) => p / 100.0 * middle,
            },
            unit,
            source: choice.basis,
        },
        None => SmallestWorthwhile {
            value: 0.0,
            unit,
            source: "no smallest worthwhile change was needed: nobody has an earlier result"
                .to_owned(),
        },
    }
}
