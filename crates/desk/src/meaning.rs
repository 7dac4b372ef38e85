//! What a result means for its person: change, estimates, references, each with its source.

use jiff::civil::Date;
use plimsoll_archive::{Person as Recorded, Sex as RecordedSex};
use plimsoll_interpret::change::{ChangeContext, ChangeReport, Observation, assess_change};
use plimsoll_interpret::equations::{Estimate, EstimateOptions, estimates_with};
use plimsoll_interpret::reference::{ReferenceAnswer, ReferenceQuery, find_references};
use plimsoll_interpret::reliability::OwnPairs;
use plimsoll_interpret::{Catalogue, InterpretError, Level, Performance, Person, Sex, Size};
use plimsoll_ladder::Test;

use crate::change::{Growth, youth};
use crate::history::Entry;
use crate::score::Score;

/// Choices of the user that hold for a whole report.
#[derive(Debug, Clone, Default)]
pub struct Choices {
    /// A typical error set by hand.
    pub error: Option<Size>,
    /// A smallest worthwhile change set by hand.
    pub worthwhile: Option<Size>,
    /// How trained the squad is.
    pub level: Option<Level>,
    /// Sport or standard for references, free words.
    pub standard: Option<String>,
    /// Estimates for under-18s too.
    pub estimates_for_children: bool,
    /// Facts that are only known from memory too, with their tag.
    pub from_memory: bool,
}

/// Everything said about one result.
#[derive(Debug, Clone)]
pub struct Meaning {
    /// The change, when there is a value to compare.
    pub change: Option<ChangeReport>,
    /// Estimates and refusals.
    pub estimates: Vec<Estimate>,
    /// References, or that there is none.
    pub reference: Option<ReferenceAnswer>,
    /// What expected growth explains of the change of somebody under 20.
    pub growth: Option<Growth>,
}

/// What is asked about one result.
pub struct Question<'a> {
    /// The facts of the trade.
    pub facts: &'a Catalogue,
    /// The test.
    pub test: &'a Test,
    /// The person.
    pub person: &'a Recorded,
    /// The person's results of the test up to and with the one asked about, oldest first.
    pub entries: &'a [Entry],
    /// SD between the people of the squad, in the unit of the test.
    pub squad_sd: Option<f64>,
    /// The squad's own repeat pairs.
    pub own: Option<&'a OwnPairs>,
    /// The user's choices.
    pub choices: &'a Choices,
}

/// Returns the person as the interpreter knows people, on a day.
pub fn person_on(person: &Recorded, day: Date, mass_kg: Option<f64>) -> Person {
    Person {
        sex: person.facts.sex.map(|s| match s {
            RecordedSex::Female => Sex::Female,
            RecordedSex::Male => Sex::Male,
        }),
        age_years: person.facts.birth_date.map(|born| age(born, day)),
        mass_kg,
        bmi: None,
    }
}

/// Returns the age in years with decimals.
pub fn age(born: Date, day: Date) -> f64 {
    /// Mean length of a year, days.
    const YEAR: f64 = 365.25;
    day.duration_since(born).as_hours() as f64 / 24.0 / YEAR
}

/// Returns a score as the interpreter knows performances.
pub fn performance(test: &Test, score: &Score) -> Performance {
    Performance {
        test: test.id().to_owned(),
        distance_m: score.distance_m,
        final_speed_kmh: score.final_speed_kmh,
        shuttles: score.shuttles,
        stage: score.stage,
        level_decimal: score.level_decimal,
        time_s: score.time_s,
    }
}

/// Answers a question about the last of the entries.
///
/// # Errors
///
/// [`InterpretError`] when a number cannot be used.
pub fn meaning(question: &Question<'_>) -> Result<Option<Meaning>, InterpretError> {
    let Question {
        facts,
        test,
        choices,
        ..
    } = question;
    let Some(now) = question.entries.last() else {
        return Ok(None);
    };
    let mass = now.entry.result.facts.mass_kg;
    let person = person_on(question.person, now.date(), mass);
    let change = match now.observation(test) {
        None => None,
        Some(observed) => {
            let before: Vec<Observation> = question
                .entries
                .iter()
                .take(question.entries.len() - 1)
                .filter_map(|e| e.observation(test))
                .collect();
            let context = ChangeContext {
                level: choices.level,
                error: choices.error,
                own: question.own,
                squad_sd: question.squad_sd,
                worthwhile: choices.worthwhile,
                from_memory: choices.from_memory,
                ..ChangeContext::new(test.id(), &person)
            };
            Some(assess_change(facts, &before, &observed, &context)?)
        }
    };
    let options = EstimateOptions {
        allow_children: choices.estimates_for_children,
        ..EstimateOptions::default()
    };
    // A run cut short says nothing about a maximum.
    let estimates = if now.is_lower_bound() {
        Vec::new()
    } else {
        estimates_with(facts, &performance(test, &now.score), &person, options)
    };
    let reference = match now.value {
        Some((value, unit)) if !now.is_lower_bound() => Some(find_references(
            facts,
            &ReferenceQuery {
                test: test.id().to_owned(),
                metric: unit.quantity().to_owned(),
                sex: person.sex,
                age_years: person.age_years,
                standard: choices.standard.clone(),
                value: Some(value),
                from_memory: choices.from_memory,
                is_estimate: false,
            },
        )?),
        _ => None,
    };
    let growth = change
        .as_ref()
        .and_then(|c| youth(facts, test, question.person, question.entries, choices, c));
    Ok(Some(Meaning {
        change,
        estimates,
        reference,
        growth,
    }))
}

/// Repeat pairs are at most this far apart, days. Common practice, no source.
const REPEAT_WITHIN: i64 = 14;

/// Returns the squad's own repeat pairs: two scores of one person under the same rules, two to
/// fourteen days apart, the first not the person's first ever.
pub fn own_pairs(histories: &[Vec<Observation>]) -> OwnPairs {
    let mut pairs = OwnPairs {
        first: Vec::new(),
        second: Vec::new(),
    };
    for history in histories {
        for pair in history.windows(2) {
            let [a, b] = pair else { continue };
            let apart = b.day - a.day;
            let fine = (2..=REPEAT_WITHIN).contains(&apart)
                && !a.lower_bound
                && !b.lower_bound
                && a.trial_number != Some(1)
                && a.rules == b.rules
                && a.course_length_mm == b.course_length_mm;
            if fine {
                pairs.first.push(a.value);
                pairs.second.push(b.value);
            }
        }
    }
    pairs
}
