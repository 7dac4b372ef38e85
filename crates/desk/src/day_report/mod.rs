//! One test day out of the archive as the plain model that pages, workbook and tables are made of.
//! Computes no statistics of its own beyond the squad's spread; every number brings its origin.

mod assemble;
mod athlete;
mod decisions;
mod gather;
mod moved;
mod next;
mod sources;
mod words;

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use plimsoll_archive::{Archive, ArchiveError, Person, PersonId, ResultFilter, TestDay};
use plimsoll_interpret::data::TestScale;
use plimsoll_interpret::{Catalogue as Facts, InterpretError};
use plimsoll_ladder::{Catalogue, Test};
use plimsoll_report::{DayReport, HeldRow, SoundCertificate};

pub(crate) use sources::{ladder_tag, tag as fact_tag};

use crate::history::{Entry as Past, entries};
use crate::level::{SquadLevels, members};
use crate::meaning::{Choices, Meaning, Question, meaning, own_pairs};
use crate::sound_check::certificate;
use assemble::put_together;
use gather::{held_rows, spread, up_to};

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
