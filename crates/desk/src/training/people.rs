//! Who trains, with which reference speed, which typical error and which doubt.
//! Reads the archive; a first trial and an "at least" stay marked.

use plimsoll_archive::{Archive, ArchiveError, Person as Recorded, ResultFilter, TestDay};
use plimsoll_interpret::reliability::{ErrorAnswer, ErrorRequest, choose_error};
use plimsoll_interpret::training::{Doubt, TrainingRefusal};
use plimsoll_interpret::{Catalogue as Facts, InterpretError, Size};
use plimsoll_judge::Censoring;
use plimsoll_ladder::{Catalogue, Test};

use crate::history::{Entry, entries};
use crate::meaning::{Choices, person_on};

/// Why no training can be set.
#[derive(Debug, thiserror::Error)]
pub enum TrainingError {
    /// The archive refused.
    #[error(transparent)]
    Archive(#[from] ArchiveError),
    /// A number cannot be used.
    #[error(transparent)]
    Interpret(#[from] InterpretError),
    /// A rule does not hold.
    #[error(transparent)]
    Refused(#[from] TrainingRefusal),
    /// The test is not known.
    #[error(
        "{what} was run with `{id}`, which is not a known test; put its definition into the \
         archive's `definitions` folder"
    )]
    UnknownTest {
        /// Which day or person.
        what: String,
        /// The id.
        id: String,
    },
    /// There is nothing to train from.
    #[error("{what} has no results in force{of}; import them first, or choose another")]
    Empty {
        /// Which day or person.
        what: String,
        /// Of which test, in words.
        of: String,
    },
}

/// A person with a reference speed.
#[derive(Debug, Clone, PartialEq)]
pub struct Entrant {
    /// Name.
    pub name: String,
    /// Reference speed, km/h.
    pub reference_kmh: Option<f64>,
    /// Maximal sprint speed, km/h.
    pub sprint_kmh: Option<f64>,
    /// Typical error of the reference speed, km/h.
    pub error_kmh: Option<f64>,
    /// A doubt about the speed.
    pub doubt: Option<Doubt>,
    /// Where the error comes from, or that there is none.
    pub error_basis: String,
}

/// What the archive gave.
#[derive(Debug, Clone)]
pub struct FromArchive {
    /// Id of the test.
    pub test: String,
    /// Name of the test.
    pub test_name: String,
    /// Day of the results, or of the latest one.
    pub date: jiff::civil::Date,
    /// The people.
    pub people: Vec<Entrant>,
}

/// Returns everyone with a result of a day.
///
/// # Errors
///
/// [`TrainingError`] for an unknown test or a day without results.
pub fn entrants_of_day(
    archive: &Archive,
    catalogue: &Catalogue,
    facts: &Facts,
    day: &TestDay,
    choices: &Choices,
) -> Result<FromArchive, TrainingError> {
    let date = day.facts.date;
    let what = format!("the test day of {date}");
    let id = day.facts.ladder_id.clone().unwrap_or_default();
    let test = known(catalogue, &id, &what)?;
    let filter = ResultFilter {
        day: Some(day.id),
        ..ResultFilter::default()
    };
    let all = archive.people()?;
    let mut people = Vec::new();
    for result in archive.results(&filter)?.iter().filter(|r| !r.withdrawn) {
        let Some(person) = all.iter().find(|p| p.id == result.person) else {
            continue;
        };
        let past = entries(archive.history(person.id)?, test, facts.scale(test.id()));
        let Some(entry) = past.iter().find(|e| e.entry.result.id == result.id) else {
            continue;
        };
        people.push(entrant(facts, test, person, entry, choices)?);
    }
    if people.is_empty() {
        return Err(TrainingError::Empty {
            what,
            of: String::new(),
        });
    }
    Ok(FromArchive {
        test: test.id().to_owned(),
        test_name: test.name().to_owned(),
        date,
        people,
    })
}

/// Returns one person's latest result, of one test when it is named.
///
/// # Errors
///
/// [`TrainingError`] as for a day.
pub fn entrants_of_person(
    archive: &Archive,
    catalogue: &Catalogue,
    facts: &Facts,
    person: &Recorded,
    test: Option<&str>,
    choices: &Choices,
) -> Result<FromArchive, TrainingError> {
    let name = &person.facts.called_name;
    let history = archive.history(person.id)?;
    // Without a test named, the latest result that says something about a running speed.
    let wanted = |id: &str| test.map_or_else(|| facts.basis(id).is_some(), |t| t == id);
    let latest = history
        .iter()
        .rev()
        .filter(|h| !h.result.withdrawn)
        .map(|h| h.result.facts.outcome.ladder.clone())
        .find(|id| wanted(id));
    let id = latest.ok_or_else(|| TrainingError::Empty {
        what: name.clone(),
        of: test.map_or_else(
            || " of a test from which training can be set".to_owned(),
            |t| format!(" of `{t}`"),
        ),
    })?;
    let test = known(catalogue, &id, name)?;
    let past = entries(history, test, facts.scale(test.id()));
    let entry = past.last().ok_or_else(|| TrainingError::Empty {
        what: name.clone(),
        of: format!(" of `{id}`"),
    })?;
    Ok(FromArchive {
        test: test.id().to_owned(),
        test_name: test.name().to_owned(),
        date: entry.date(),
        people: vec![entrant(facts, test, person, entry, choices)?],
    })
}

fn known<'c>(catalogue: &'c Catalogue, id: &str, what: &str) -> Result<&'c Test, TrainingError> {
    catalogue.get(id).ok_or_else(|| TrainingError::UnknownTest {
        what: what.to_owned(),
        id: id.to_owned(),
    })
}

fn entrant(
    facts: &Facts,
    test: &Test,
    person: &Recorded,
    entry: &Entry,
    choices: &Choices,
) -> Result<Entrant, TrainingError> {
    let result = &entry.entry.result.facts;
    let score = &entry.score;
    let reference_kmh = score
        .final_speed_kmh
        .or(score.average_speed_kmh)
        .filter(|v| *v > 0.0);
    let trial = result.trial_number.unwrap_or(entry.entry.nth);
    let doubt = if reference_kmh.is_none() {
        Some(Doubt::NoSpeed)
    } else if result.outcome.censoring() != Censoring::Score {
        Some(Doubt::AtLeast)
    } else {
        (trial <= 1).then_some(Doubt::FirstTrial)
    };
    let described = person_on(person, entry.date(), result.mass_kg);
    let answer = choose_error(
        facts,
        &ErrorRequest {
            test: test.id(),
            quantity: Some("final_speed_kmh"),
            person: &described,
            level: choices.level,
            by_hand: choices.error,
            own: None,
            from_memory: choices.from_memory,
        },
    )?;
    let (error_kmh, error_basis) = match answer {
        ErrorAnswer::Chosen(choice) => (in_kmh(choice.size, reference_kmh), choice.basis),
        ErrorAnswer::NoAdequateError { words } => (None, words),
    };
    Ok(Entrant {
        name: person.facts.called_name.clone(),
        reference_kmh,
        sprint_kmh: None,
        error_kmh,
        doubt,
        error_basis,
    })
}

/// Returns an error in km/h; a percentage is one of the speed.
pub(super) fn in_kmh(size: Size, speed: Option<f64>) -> Option<f64> {
    match size {
        Size::InUnit(value) => Some(value),
        Size::Percent(percent) => speed.map(|v| v * percent / 100.0),
    }
}

impl Entrant {
    /// Returns a person of a list without an archive, with an error set by hand if there is one.
    pub fn listed(
        name: &str,
        reference_kmh: f64,
        sprint_kmh: Option<f64>,
        error: Option<Size>,
        first_trial: bool,
    ) -> Self {
        Self {
            name: name.to_owned(),
            reference_kmh: Some(reference_kmh),
            sprint_kmh,
            error_kmh: error.and_then(|size| in_kmh(size, Some(reference_kmh))),
            doubt: first_trial.then_some(Doubt::FirstTrial),
            error_basis: String::new(),
        }
    }
}
