//! Who has results of a test in the archive, and the typical error that holds for each.

use std::collections::BTreeMap;

use jiff::civil::Date;
use plimsoll_archive::{Archive, ArchiveError, ResultFilter};
use plimsoll_interpret::reliability::{ErrorAnswer, ErrorRequest, choose_error};
use plimsoll_interpret::{Catalogue as Facts, Size};
use plimsoll_ladder::Test;

use super::Member;
use super::conditions::{Usual, of_entry};
use crate::history::{Entry, entries};
use crate::meaning::{Choices, person_on};
use crate::sound_check::playback_error;

/// Returns everybody with results of a test up to a date, all of it when none is given.
///
/// # Errors
///
/// [`ArchiveError`] when the archive cannot be read.
pub fn members(
    archive: &Archive,
    facts: &Facts,
    test: &Test,
    choices: &Choices,
    until: Option<Date>,
) -> Result<Vec<Member>, ArchiveError> {
    let filter = ResultFilter {
        ladder: Some(test.id().to_owned()),
        ..ResultFilter::default()
    };
    let people: BTreeMap<_, ()> = archive
        .results(&filter)?
        .into_iter()
        .map(|result| (result.person, ()))
        .collect();
    let mut found = Vec::new();
    for id in people.into_keys() {
        let Some(person) = archive.person(id)? else {
            continue;
        };
        let mut own: Vec<Entry> = entries(archive.history(id)?, test, facts.scale(test.id()));
        own.retain(|entry| until.is_none_or(|until| entry.date() <= until));
        let Some(last) = own.last() else {
            continue;
        };
        let known = person_on(&person, last.date(), last.entry.result.facts.mass_kg);
        let request = ErrorRequest {
            test: test.id(),
            quantity: None,
            person: &known,
            level: choices.level,
            by_hand: choices.error,
            own: None,
            from_memory: choices.from_memory,
        };
        found.push(Member {
            id: id.to_string(),
            error: error_of(choose_error(facts, &request).ok()),
            entries: own,
            days: Vec::new(),
        });
    }
    add_days(archive, facts, test, &mut found)?;
    Ok(found)
}

/// Adds what the day of each result does to it, against the group's usual day.
fn add_days(
    archive: &Archive,
    facts: &Facts,
    test: &Test,
    members: &mut [Member],
) -> Result<(), ArchiveError> {
    let mut days = BTreeMap::new();
    for entry in members.iter().flat_map(|m| &m.entries) {
        days.entry(entry.entry.day.id)
            .or_insert_with(|| entry.entry.day.facts.clone());
    }
    let usual = Usual::of(days.values());
    let mut tracks = BTreeMap::new();
    for day in days.keys() {
        tracks.insert(
            *day,
            playback_error(&archive.sound_checks(*day)?, test.id()),
        );
    }
    for member in members {
        member.days = member
            .entries
            .iter()
            .map(|entry| {
                let track = tracks.get(&entry.entry.day.id).copied().flatten();
                of_entry(test, facts.scale(test.id()), entry, &usual, track)
            })
            .collect();
    }
    Ok(())
}

fn error_of(answer: Option<ErrorAnswer>) -> Option<Size> {
    match answer {
        Some(ErrorAnswer::Chosen(choice)) => Some(choice.size),
        _ => None,
    }
}
