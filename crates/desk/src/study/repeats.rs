//! Repeated results in the archive as the trials of a study.
//! Results that cannot be compared (lower bounds, ceilings, other rules or course) are left out and counted.

use jiff::civil::Date;
use plimsoll_archive::Archive;
use plimsoll_interpret::data::TestScale;
use plimsoll_judge::Censoring;
use plimsoll_ladder::Test;
use plimsoll_measure::study::{LongRow, Trials};

use super::error::{StudyError, weeks_words};
use super::sheet::StudyTable;
use crate::history::{Entry, entries};

/// Longest time between two tests that repeat each other, weeks. Common practice, no source.
pub const DEFAULT_WEEKS: u32 = 4;

/// A usable result: day, value, rules and course.
struct Usable {
    day: Date,
    value: f64,
    rules: Option<String>,
    course: Option<u32>,
}

/// Returns the repeats of a test: results of one person, each at most `weeks` after the one before.
///
/// # Errors
///
/// [`StudyError`] when fewer than two people have a repeat.
pub fn repeats(
    archive: &Archive,
    test: &Test,
    scale: Option<&TestScale>,
    weeks: u32,
) -> Result<StudyTable, StudyError> {
    let (mut rows, mut people, mut ages) = (Vec::new(), Vec::new(), Vec::new());
    let (mut results, mut left_out, mut apart, mut most) = (0_usize, 0_usize, 0_usize, 0_usize);
    let mut again = 0_usize;
    for person in archive.people()? {
        let all = entries(archive.history(person.id)?, test, scale);
        results += all.len();
        let usable: Vec<Usable> = all.iter().filter_map(|e| usable(e, test)).collect();
        left_out += all.len() - usable.len();
        let mut series = 0_usize;
        for chain in chains(&usable, weeks) {
            if chain.len() < 2 {
                apart += chain.len();
                continue;
            }
            series += 1;
            let mut name = person.facts.called_name.clone();
            if series > 1 || people.contains(&name) {
                name = format!("{name} ({})", chain[0].day);
            }
            if series == 2 {
                again += 1;
            }
            if let Some(born) = person.facts.birth_date {
                ages.push(f64::from((chain[0].day - born).get_days().max(0)) / 365.25);
            }
            most = most.max(chain.len());
            for (trial, one) in chain.iter().enumerate() {
                rows.push(LongRow {
                    person: people.len() as u64,
                    trial: trial as u32 + 1,
                    value: one.value,
                });
            }
            people.push(name);
        }
    }
    if people.len() < 2 {
        return Err(StudyError::NoRepeats {
            test: test.id().to_owned(),
            people: people.len(),
            results,
            weeks,
        });
    }
    ages.sort_by(f64::total_cmp);
    let mut notes = vec![format!(
        "from the archive: results of {} at most {} apart, {} of {results} used",
        test.id(),
        weeks_words(weeks),
        rows.len()
    )];
    if left_out > 0 {
        notes.push(format!(
            "{left_out} results are lower bounds, ended at the top of the ladder or have no value, and are left out"
        ));
    }
    if apart > 0 {
        notes.push(format!(
            "{apart} results have no repeat within {} under the same rules and course",
            weeks_words(weeks)
        ));
    }
    if again > 0 {
        notes.push(format!(
            "{again} people are in with more than one series; each series is a row"
        ));
    }
    notes.push("fitness may truly change between test days, which counts as error here".to_owned());
    Ok(StudyTable {
        values: Trials::long(&rows)?,
        people,
        trials: (1..=most).map(|n| format!("test {n}")).collect(),
        unit: scale.map_or("m", |s| s.unit.as_str()).to_owned(),
        notes,
        age: ages.get(ages.len() / 2).copied(),
    })
}

fn usable(entry: &Entry, test: &Test) -> Option<Usable> {
    let outcome = &entry.entry.result.facts.outcome;
    if entry.is_lower_bound() || outcome.censoring() != Censoring::Score {
        return None;
    }
    let seen = entry.observation(test)?;
    Some(Usable {
        day: entry.date(),
        value: seen.value,
        rules: seen.rules,
        course: seen.course_length_mm,
    })
}

/// Cuts a person's results, oldest first, where the next is too late or not under the same rules.
/// Of several on one day the first counts.
fn chains(usable: &[Usable], weeks: u32) -> Vec<Vec<&Usable>> {
    let mut found: Vec<Vec<&Usable>> = Vec::new();
    for one in usable {
        let Some(last) = found.last_mut().and_then(|c| c.last().copied()) else {
            found.push(vec![one]);
            continue;
        };
        let days = (one.day - last.day).get_days();
        if days <= 0 {
            continue;
        }
        let near = i64::from(days) <= 7 * i64::from(weeks)
            && (last.rules.is_none() || one.rules.is_none() || last.rules == one.rules)
            && (last.course.is_none() || one.course.is_none() || last.course == one.course);
        match found.last_mut() {
            Some(chain) if near => chain.push(one),
            _ => found.push(vec![one]),
        }
    }
    found
}
