//! Who has results of a test in the archive, and the typical error that holds for each.

use std::collections::BTreeMap;

use jiff::civil::Date;
use plimsoll_archive::{Archive, ArchiveError, ResultFilter};
use plimsoll_interpret::reliability::{ErrorAnswer, ErrorRequest, choose_error};
use plimsoll_interpret::{Catalogue as Facts, Size};
use plimsoll_ladder::Test;

use super::Member;
use crate::history::{Entry, entries};
use crate::meaning::{Choices, person_on};

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
        });
    }
    Ok(found)
}

fn error_of(answer: Option<ErrorAnswer>) -> Option<Size> {
    match answer {
        Some(ErrorAnswer::Chosen(choice)) => Some(choice.size),
        _ => None,
    }
}
