//! Growth from a person's results in the archive: which earlier tests, at which ages.
//! Silent for people of 20 and over and where no date of birth is known.

use plimsoll_archive::{Person, Sex as Recorded};
use plimsoll_interpret::change::{ChangeReport, Observation};
use plimsoll_interpret::reliability::ErrorAnswer;
use plimsoll_interpret::{Catalogue as Facts, Sex};
use plimsoll_ladder::Test;

use super::growth::{AtAge, GROWN, Growth, GrowthAsk, alike, growth};
use crate::history::Entry;
use crate::meaning::{Choices, age};

/// Most earlier tests looked at.
const MOST: usize = 12;

/// Returns what is left of a young person's changes up to the last entry; nothing for grown people.
pub fn youth(
    facts: &Facts,
    test: &Test,
    person: &Person,
    entries: &[Entry],
    choices: &Choices,
    report: &ChangeReport,
) -> Option<Growth> {
    let born = person.facts.birth_date?;
    let (last, earlier) = entries.split_last()?;
    let last_age = age(born, last.date());
    if last_age >= GROWN || earlier.is_empty() {
        return None;
    }
    let now = last.observation(test)?;
    if open(&now) {
        return Some(Err(
            "expected growth is not taken off: the last result is only known as \"at least\""
                .to_owned(),
        ));
    }
    let at = |entry: &Entry, seen: &Observation| AtAge {
        date: Some(entry.date()),
        age: age(born, entry.date()),
        value: seen.value,
    };
    let before: Vec<AtAge> = earlier
        .iter()
        .rev()
        .filter(|e| e.date() < last.date())
        .filter_map(|e| Some((e, e.observation(test)?)))
        .filter(|(_, seen)| !open(seen) && seen.value > 0.0 && alike(seen, &now))
        .take(MOST)
        .map(|(e, seen)| at(e, &seen))
        .collect();
    if before.is_empty() || now.value <= 0.0 {
        return Some(Err(
            "expected growth is not taken off: no earlier result can be compared".to_owned(),
        ));
    }
    let ErrorAnswer::Chosen(error) = &report.error else {
        return Some(Err(
            "expected growth is not taken off: no typical error fits this person".to_owned(),
        ));
    };
    let least = [&report.previous, &report.best]
        .into_iter()
        .find_map(|pair| pair.as_ref()?.worthwhile.as_ref());
    let Some(least) = least else {
        return Some(Err(
            "expected growth is not taken off: no smallest worthwhile change is known".to_owned(),
        ));
    };
    let ask = GrowthAsk {
        facts,
        test: test.id(),
        sex: person.facts.sex.map(|s| match s {
            Recorded::Female => Sex::Female,
            Recorded::Male => Sex::Male,
        }),
        standard: choices.standard.clone(),
        from_memory: choices.from_memory,
        error,
        worthwhile: least.size,
    };
    Some(growth(&ask, &before, at(last, &now)))
}

fn open(seen: &Observation) -> bool {
    seen.lower_bound || seen.ceiling
}
