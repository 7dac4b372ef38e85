//! Asking for results: those in force, every version of one, a person's history.
//! Merges are followed in every answer.

use std::collections::BTreeMap;

use super::missing;
use crate::days::{self, existing_day};
use crate::db::Tx;
use crate::error::ArchiveError;
use crate::id::{DayId, PersonId, ResultId};
use crate::model::{HistoryEntry, ResultFilter, ResultRecord};
use crate::open::Archive;
use crate::people::Merges;
use crate::rows;
use crate::schema::RESULT;

impl Archive {
    /// Returns the results in force, without the withdrawn, in the order of their ids.
    pub fn results(&self, filter: &ResultFilter) -> Result<Vec<ResultRecord>, ArchiveError> {
        self.db.read(|tx| results(tx, filter))
    }

    /// Returns every version of a result, oldest first, undone and withdrawn ones too.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::NotFound`] when there is no such version.
    pub fn result_versions(&self, id: ResultId) -> Result<Vec<ResultRecord>, ArchiveError> {
        self.db.read(|tx| versions(tx, id))
    }

    /// Returns a person's results with their test days, oldest first, merged entries included.
    pub fn history(&self, person: PersonId) -> Result<Vec<HistoryEntry>, ArchiveError> {
        self.db.read(|tx| history(tx, person))
    }
}

fn results(tx: &Tx<'_>, filter: &ResultFilter) -> Result<Vec<ResultRecord>, ArchiveError> {
    let merges = Merges::load(tx)?;
    let mut found = Vec::new();
    if let Some(person) = filter.person {
        let root = merges.root(person);
        for entry in [root].into_iter().chain(merges.members(root)) {
            let stmt = rows::in_force(&RESULT, Some(("person_id", entry.into())));
            found.extend(rows::each(tx, &stmt, ResultRecord::from_row)?);
        }
    } else {
        let which = filter.day.map(|day| ("day_id", day.into()));
        let stmt = rows::in_force(&RESULT, which);
        found = rows::each(tx, &stmt, ResultRecord::from_row)?;
    }
    let ladder = filter.ladder.as_ref();
    found.retain(|result| {
        !result.withdrawn
            && filter.day.is_none_or(|day| result.day == day)
            && ladder.is_none_or(|ladder| result.facts.outcome.ladder == *ladder)
    });
    for result in &mut found {
        result.person = merges.root(result.recorded_person);
    }
    found.sort_by_key(|result| result.id);
    Ok(found)
}

fn versions(tx: &Tx<'_>, id: ResultId) -> Result<Vec<ResultRecord>, ArchiveError> {
    let merges = Merges::load(tx)?;
    let by_id = |id: ResultId| {
        let found = rows::one(
            tx,
            &rows::by_key(&RESULT, id.into()),
            ResultRecord::from_row,
        )?;
        found.ok_or_else(|| missing(id))
    };
    let mut first = by_id(id)?;
    while let Some(earlier) = first.supersedes {
        first = by_id(earlier)?;
    }
    let mut found = vec![first];
    let mut at = 0;
    while let Some(version) = found.get(at) {
        let later = rows::having(&RESULT, "supersedes", version.id);
        found.extend(rows::each(tx, &later, ResultRecord::from_row)?);
        at += 1;
    }
    for version in &mut found {
        version.person = merges.root(version.recorded_person);
    }
    found.sort_by_key(|version| version.change);
    Ok(found)
}

fn history(tx: &Tx<'_>, person: PersonId) -> Result<Vec<HistoryEntry>, ArchiveError> {
    let filter = ResultFilter {
        person: Some(person),
        ..ResultFilter::default()
    };
    let days: BTreeMap<DayId, _> = days::all(tx)?
        .into_iter()
        .map(|day| (day.id, day))
        .collect();
    let mut entries = Vec::new();
    for result in results(tx, &filter)? {
        let day = days.get(&result.day).cloned();
        let day = day.map_or_else(|| existing_day(tx, result.day), Ok)?;
        entries.push(HistoryEntry {
            day,
            result,
            nth: 0,
        });
    }
    entries.sort_by_key(|entry| {
        let facts = &entry.day.facts;
        let start = entry
            .result
            .facts
            .covariates
            .time_of_day
            .or(facts.start_time);
        (
            facts.date,
            start,
            entry.result.facts.attempt,
            entry.result.id,
        )
    });
    let mut counts: BTreeMap<String, u32> = BTreeMap::new();
    for entry in &mut entries {
        let ladder = entry.result.facts.outcome.ladder.clone();
        let count = counts.entry(ladder).or_default();
        *count += 1;
        entry.nth = *count;
    }
    Ok(entries)
}
