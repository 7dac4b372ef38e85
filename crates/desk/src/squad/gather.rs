//! The squad of a day: each runner's result, what was expected of it, and the waves with their events.
//! Must not let the day's own results into what is expected of them.

use std::collections::BTreeMap;

use plimsoll_archive::{Archive, ArchiveError, Person, SourceId, TestDay, Wave};
use plimsoll_interpret::data::TestScale;
use plimsoll_interpret::reliability::{ErrorAnswer, ErrorRequest, choose_error};
use plimsoll_interpret::{Catalogue as Facts, Unit};
use plimsoll_judge::{Event, StopReason};
use plimsoll_ladder::{Catalogue, Test};
use plimsoll_measure::level::{Normal, Outcome};

use super::SquadError;
use super::steps::Steps;
use crate::history::Entry;
use crate::level::{Member, NoLevel, SquadLevels, ln_error, members, outcome};
use crate::meaning::{Choices, person_on};

/// What a result says of a performance, on ln of the unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Seen {
    /// A full result: middle and width of what it allows; width 0 where it is exact.
    Full {
        /// Middle.
        at: f64,
        /// Width.
        width: f64,
    },
    /// Only "at least": cut short, or at the end of the test.
    AtLeast,
    /// Nothing that has a place on ln, such as no bout completed.
    Other,
}

/// One runner of the day.
#[derive(Debug, Clone)]
pub struct Runner {
    /// Id of the person.
    pub id: String,
    /// The name called.
    pub name: String,
    /// The result, in the unit of the test.
    pub result: f64,
    /// Its label.
    pub label: Option<String>,
    /// Completed bouts.
    pub bouts: Option<u32>,
    /// What it says.
    pub seen: Seen,
    /// What earlier results of this person lead to expect, on ln; nothing without any.
    pub expected: Option<Normal>,
    /// Typical error that holds for this person, on ln.
    pub error: Option<f64>,
    /// Peak heart rate of the day, beats a minute.
    pub peak: Option<u32>,
    /// Best peak of earlier full results of this test, and how many have one.
    pub earlier_peaks: Option<(u32, u32)>,
    /// Why the run ended.
    pub reason: StopReason,
    /// The row of a file it came from.
    pub source: Option<SourceId>,
}

/// The squad of a day.
pub struct Squad<'t> {
    /// The day.
    pub day: TestDay,
    /// The test.
    pub test: &'t Test,
    /// Unit of results.
    pub unit: Unit,
    /// Results bout by bout.
    pub steps: Steps,
    /// Who ran, by name.
    pub runners: Vec<Runner>,
    /// Everybody with results of the test up to the day, the day included.
    members: Vec<Member>,
    scale: Option<TestScale>,
    /// What somebody without earlier results is expected to run, from the earlier days alone.
    pub newcomer: Option<Normal>,
    /// Where the typical error comes from, in words; or why nobody has one.
    pub error: Result<String, String>,
}

/// A wave of the day with its events.
pub struct Logged {
    /// The wave.
    pub wave: Wave,
    /// Its events.
    pub events: Vec<Event>,
}

/// Returns the waves of a day; events that cannot be read are left out.
pub fn waves(archive: &Archive, day: &TestDay) -> Result<Vec<Logged>, ArchiveError> {
    let mut found = Vec::new();
    for wave in archive.waves(day.id)? {
        let stored = archive.wave_events(wave.id, 0)?;
        let events = stored
            .iter()
            .filter_map(|stored| Event::read(&stored.body).ok())
            .collect();
        found.push(Logged { wave, events });
    }
    Ok(found)
}

/// Returns the squad of a day.
pub fn squad<'t>(
    archive: &Archive,
    catalogue: &'t Catalogue,
    facts: &Facts,
    day: &TestDay,
    choices: &Choices,
) -> Result<Squad<'t>, SquadError> {
    let id = day.facts.ladder_id.as_deref();
    let test = id
        .and_then(|id| catalogue.get(id))
        .ok_or_else(|| SquadError::Test {
            found: id.map_or_else(|| "no test".to_owned(), |id| format!("`{id}`")),
        })?;
    let scale = facts.scale(test.id());
    let on = day.facts.date;
    let all = members(archive, facts, test, choices, Some(on))?;
    let before: Vec<Member> = all.iter().filter_map(|m| earlier(m, day)).collect();
    let expecting = SquadLevels::of(test, scale, &before).ok();
    let people: BTreeMap<String, Person> = archive
        .people()?
        .into_iter()
        .map(|p| (p.id.to_string(), p))
        .collect();
    let mut runners: Vec<Runner> = all
        .iter()
        .filter_map(|member| {
            let own = member.entries.iter().rfind(|e| e.entry.day.id == day.id)?;
            let name = people
                .get(&member.id)
                .map_or("unknown", |p| &p.facts.called_name);
            let seen = outcome(test, scale, own).map_or(Seen::Other, seen);
            runner(member, own, name, day, seen, expecting.as_ref())
        })
        .collect();
    if runners.is_empty() {
        return Err(SquadError::Empty {
            test: format!("`{}`", test.id()),
            date: on.to_string(),
        });
    }
    runners.sort_by(|a, b| a.name.cmp(&b.name).then(a.id.cmp(&b.id)));
    // The error that is named is one that somebody of the day has, if anybody has one.
    let named = runners.iter().find(|r| r.error.is_some());
    let asked = named.or(runners.first()).and_then(|r| people.get(&r.id));
    Ok(Squad {
        day: day.clone(),
        test,
        unit: scale.map_or(Unit::Metres, |s| s.unit),
        steps: Steps::of(test, scale),
        error: error_words(facts, test, day, choices, asked),
        newcomer: expecting.as_ref().and_then(SquadLevels::newcomer),
        runners,
        members: all,
        scale: scale.cloned(),
    })
}

impl Squad<'_> {
    /// Works out the levels from all results up to the day, the day included.
    ///
    /// # Errors
    ///
    /// [`NoLevel`] in words.
    pub(super) fn levels(&self) -> Result<SquadLevels, NoLevel> {
        SquadLevels::of(self.test, self.scale.as_ref(), &self.members)
    }
}

impl Squad<'_> {
    /// Returns the typical error in words, with how many it does not fit.
    pub(super) fn error_basis(&self) -> String {
        let known = self.error.as_deref().unwrap_or("no typical error fits");
        let unfit = self.runners.iter().filter(|r| r.error.is_none()).count();
        match unfit {
            0 => known.to_owned(),
            n => format!(
                "{known}; no error fits {n} of {}, for whom that of the others stands in wherever the squad is taken \
                 as a whole",
                self.runners.len()
            ),
        }
    }
}

/// The member as known before the day; nothing without earlier results.
fn earlier(member: &Member, day: &TestDay) -> Option<Member> {
    let mut before = member.clone();
    before.entries.retain(|e| e.date() < day.facts.date);
    (!before.entries.is_empty()).then_some(before)
}

fn seen(outcome: Outcome) -> Seen {
    match outcome {
        Outcome::Exact(at) => Seen::Full { at, width: 0.0 },
        Outcome::Between { lower, upper } => Seen::Full {
            at: f64::midpoint(lower, upper),
            width: upper - lower,
        },
        Outcome::AtLeast(_) => Seen::AtLeast,
        Outcome::AtMost(_) => Seen::Other,
    }
}

fn runner(
    member: &Member,
    own: &Entry,
    name: &str,
    day: &TestDay,
    seen: Seen,
    expecting: Option<&SquadLevels>,
) -> Option<Runner> {
    let facts = &own.entry.result.facts;
    let peaks: Vec<u32> = member
        .entries
        .iter()
        .filter(|e| e.date() < day.facts.date && !e.is_lower_bound())
        .filter_map(|e| e.entry.result.facts.peak_hr_bpm)
        .collect();
    Some(Runner {
        id: member.id.clone(),
        name: name.to_owned(),
        result: own.value.map(|(value, _)| value)?,
        label: own.score.label.clone(),
        bouts: own.score.bouts,
        seen,
        expected: expecting.and_then(|levels| levels.expect(&member.id, day.facts.date)),
        error: ln_error(member),
        peak: facts.peak_hr_bpm.filter(|_| !own.is_lower_bound()),
        earlier_peaks: peaks
            .iter()
            .max()
            .map(|best| (*best, u32::try_from(peaks.len()).unwrap_or(u32::MAX))),
        reason: facts.outcome.reason,
        source: own.entry.result.source,
    })
}

/// The typical error of the squad in words, asked for one of its runners.
fn error_words(
    facts: &Facts,
    test: &Test,
    day: &TestDay,
    choices: &Choices,
    person: Option<&Person>,
) -> Result<String, String> {
    let known = person.map_or_else(plimsoll_interpret::Person::default, |p| {
        person_on(p, day.facts.date, None)
    });
    let request = ErrorRequest {
        test: test.id(),
        quantity: None,
        person: &known,
        level: choices.level,
        by_hand: choices.error,
        own: None,
        from_memory: choices.from_memory,
    };
    match choose_error(facts, &request) {
        Ok(ErrorAnswer::Chosen(choice)) => Ok(choice.basis),
        Ok(ErrorAnswer::NoAdequateError { words }) => Err(words),
        Err(fault) => Err(fault.to_string()),
    }
}
