//! Who is to run, with earlier results in completed bouts.
//! Results known only as "at least" are left out and counted, not taken for scores.

use std::collections::BTreeMap;

use jiff::civil::Date;
use plimsoll_archive::{Archive, ResultFilter, Sex as RecordedSex};
use plimsoll_interpret::Sex;
use plimsoll_judge::Amount;

use super::PlanningError;
use crate::history::day_number;
use crate::meaning::age;

/// An earlier result, or what is expected of a runner.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Earlier {
    /// Id of the test.
    pub test: String,
    /// Completed bouts.
    pub bouts: u32,
    /// Days since 1970-01-01; nothing for an expectation.
    pub day: Option<i64>,
}

/// One of the roster.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Athlete {
    /// The name called.
    pub name: String,
    /// The person's id, for people of the archive.
    pub person: Option<String>,
    /// Sex, where known.
    pub sex: Option<Sex>,
    /// Age in years, where known.
    pub age: Option<f64>,
    /// Earlier results, oldest first.
    pub earlier: Vec<Earlier>,
    /// Results left out because they are only known as "at least".
    pub lower_bounds: usize,
}

impl Athlete {
    /// Returns a key that does not depend on the order of the roster.
    pub fn key(&self) -> &str {
        self.person.as_deref().unwrap_or(&self.name)
    }
}

/// A roster.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Roster {
    /// Who is to run.
    pub athletes: Vec<Athlete>,
    /// Where it comes from, in words.
    pub source: String,
}

/// Returns the people of the archive, or those of one squad on a day, with their earlier results.
///
/// # Errors
///
/// [`PlanningError`] when the archive refuses or nobody is found.
pub fn archive_roster(
    archive: &Archive,
    squad: Option<&str>,
    on: Date,
) -> Result<Roster, PlanningError> {
    let days: BTreeMap<_, _> = archive
        .days()?
        .into_iter()
        .map(|d| (d.id, d.facts.date))
        .collect();
    let mut earlier: BTreeMap<String, (Vec<Earlier>, usize)> = BTreeMap::new();
    for result in archive.results(&ResultFilter::default())? {
        let outcome = &result.facts.outcome;
        let (false, Amount::Bouts(bouts), Some(date)) =
            (result.withdrawn, outcome.amount, days.get(&result.day))
        else {
            continue;
        };
        if *date > on {
            continue;
        }
        let own = earlier.entry(result.person.to_string()).or_default();
        if outcome.is_lower_bound() {
            own.1 += 1;
            continue;
        }
        own.0.push(Earlier {
            test: outcome.ladder.clone(),
            bouts,
            day: Some(day_number(*date)),
        });
    }
    let mut athletes = Vec::new();
    let mut squads: Vec<String> = Vec::new();
    for person in archive.people()? {
        let own = person.memberships.iter().map(|m| &m.membership);
        squads.extend(own.clone().map(|m| m.squad.clone()));
        let belongs = squad.is_none_or(|wanted| {
            own.clone().any(|m| {
                m.squad.trim().to_lowercase() == wanted.trim().to_lowercase()
                    && m.from.is_none_or(|from| from <= on)
                    && m.to.is_none_or(|to| to >= on)
            })
        });
        if !belongs {
            continue;
        }
        let key = person.id.to_string();
        let (mut results, lower_bounds) = earlier.remove(&key).unwrap_or_default();
        results.sort_by_key(|e| e.day);
        athletes.push(Athlete {
            name: person.facts.called_name.clone(),
            person: Some(key),
            sex: person.facts.sex.map(|s| match s {
                RecordedSex::Female => Sex::Female,
                RecordedSex::Male => Sex::Male,
            }),
            age: person.facts.birth_date.map(|born| age(born, on)),
            earlier: results,
            lower_bounds,
        });
    }
    squads.sort();
    squads.dedup();
    if athletes.is_empty() {
        return Err(PlanningError::Roster {
            place: "the archive".to_owned(),
            found: squad.map_or("nobody".to_owned(), |s| {
                format!("nobody in the squad `{s}` on {on}")
            }),
            allowed: if squads.is_empty() {
                "people with results".to_owned()
            } else {
                format!("one of the squads {}", squads.join(", "))
            },
            next: "import a roster first, or name another squad".to_owned(),
        });
    }
    Ok(Roster {
        source: squad.map_or("everyone in the archive".to_owned(), |s| {
            format!("the squad {s} in the archive")
        }),
        athletes,
    })
}
