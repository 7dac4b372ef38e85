//! A person's change: the level from all results first, the two tests alone, and growth.

use jiff::civil::Date;
use plimsoll_archive::{Archive, ArchiveError, Person};
use plimsoll_interpret::change::{ChangeReport, Pairwise, true_change_curve};
use plimsoll_interpret::data::Scale;
use plimsoll_interpret::reliability::ErrorAnswer;
use plimsoll_interpret::{Catalogue as Facts, InterpretError, Size};
use plimsoll_ladder::Test;
use serde_json::{Value, json};

use super::growth::Growth;
use super::values::{growth_value, too_small};
use crate::history::{Entry, day_number, entries};
use crate::level::{LevelChange, LevelPoint, SquadLevels, members};
use crate::meaning::{Choices, Question, meaning};

/// Why there is no answer about a person.
#[derive(Debug, thiserror::Error)]
pub enum ChangeError {
    /// The archive cannot be read.
    #[error(transparent)]
    Archive(#[from] ArchiveError),
    /// A number cannot be used.
    #[error(transparent)]
    Interpret(#[from] InterpretError),
    /// There is nothing to compare.
    #[error("{0}")]
    Nothing(String),
}

/// The change of the level.
#[derive(Debug, Clone)]
pub struct LevelAnswer {
    /// The level on the last date.
    pub now: LevelPoint,
    /// Changes from each earlier date to the last, oldest first.
    pub changes: Vec<LevelChange>,
    /// The change since the last date but one, and how likely it is.
    pub curve: Vec<(f64, f64)>,
    /// The changes that are too small to matter, from and to.
    pub zone: (f64, f64),
    /// Where the parameters come from.
    pub basis: String,
}

/// How likely each true change is, and the zone that is too small to matter.
#[derive(Debug, Clone, PartialEq)]
pub struct PairCurve {
    /// True change and its density.
    pub curve: Vec<(f64, f64)>,
    /// From and to.
    pub zone: (f64, f64),
}

/// A person's change in a test.
#[derive(Debug, Clone)]
pub struct PersonAnswer {
    /// As called.
    pub name: String,
    /// Id of the test.
    pub test: String,
    /// Unit of values.
    pub unit: String,
    /// Date of the last result.
    pub date: Date,
    /// The last result.
    pub now: f64,
    /// Whether it is only known as "at least".
    pub bound: bool,
    /// From all results, or why not.
    pub level: Result<LevelAnswer, String>,
    /// The two tests alone.
    pub report: ChangeReport,
    /// Curve and zone of the two tests alone; nothing where they cannot be compared.
    pub pair: Option<PairCurve>,
    /// What growth explains; nothing for grown people.
    pub growth: Option<Growth>,
}

/// Answers about a person's results in a test.
///
/// # Errors
///
/// [`ChangeError`] when the archive cannot be read or nothing can be compared.
pub fn of_person(
    archive: &Archive,
    facts: &Facts,
    test: &Test,
    person: &Person,
    choices: &Choices,
) -> Result<PersonAnswer, ChangeError> {
    let name = &person.facts.called_name;
    let scale = facts.scale(test.id());
    let own = entries(archive.history(person.id)?, test, scale);
    let question = Question {
        facts,
        test,
        person,
        entries: &own,
        squad_sd: None,
        own: None,
        choices,
    };
    let nothing =
        || ChangeError::Nothing(format!("the results of {name} have no value to compare"));
    let found = meaning(&question)?.ok_or_else(nothing)?;
    let report = found.change.ok_or_else(nothing)?;
    let last = own.last().ok_or_else(nothing)?;
    let (now, unit) = last.value.ok_or_else(nothing)?;
    let pair = report
        .previous
        .as_ref()
        .map(|p| curve_of(facts, test, p, now, &report.error))
        .transpose()?
        .flatten();
    Ok(PersonAnswer {
        name: name.clone(),
        test: test.id().to_owned(),
        unit: unit.as_str().to_owned(),
        date: last.date(),
        now,
        bound: last.is_lower_bound(),
        level: level_of(archive, facts, test, person, &own, choices)?,
        pair,
        report,
        growth: found.growth,
    })
}

fn curve_of(
    facts: &Facts,
    test: &Test,
    pair: &Pairwise,
    now: f64,
    error: &ErrorAnswer,
) -> Result<Option<PairCurve>, InterpretError> {
    let (Some(numbers), ErrorAnswer::Chosen(choice)) = (&pair.numbers, error) else {
        return Ok(None);
    };
    let scale = facts.scale(test.id());
    let logs =
        matches!(choice.size, Size::Percent(_)) && scale.is_none_or(|s| s.scale == Scale::Log);
    Ok(Some(PairCurve {
        curve: true_change_curve(scale, pair.value, now, choice)?,
        zone: too_small(pair.value, numbers.worthwhile, logs),
    }))
}

fn level_of(
    archive: &Archive,
    facts: &Facts,
    test: &Test,
    person: &Person,
    own: &[Entry],
    choices: &Choices,
) -> Result<Result<LevelAnswer, String>, ArchiveError> {
    let all = members(archive, facts, test, choices, None)?;
    let Some(last) = own.last() else {
        return Ok(Err("no result".to_owned()));
    };
    let squad = match SquadLevels::of(test, facts.scale(test.id()), &all) {
        Ok(squad) => squad,
        Err(why) => return Ok(Err(why.to_string())),
    };
    let squad = match (choices.worthwhile, last.value) {
        (Some(Size::Percent(percent)), _) => squad.judged_by(percent / 100.0),
        (Some(Size::InUnit(amount)), Some((value, _))) if value > 0.0 => {
            squad.judged_by(amount / value)
        }
        _ => squad,
    };
    let answer = squad.since_each(&person.id.to_string());
    Ok(answer
        .map(|since| LevelAnswer {
            zone: since.zone,
            now: since.now,
            changes: since.changes,
            curve: since.curve,
            basis: squad.basis().to_owned(),
        })
        .map_err(|why| why.to_string()))
}

/// One comparison for programs.
fn pair(p: &Pairwise, now: f64) -> Value {
    let n = p.numbers.as_ref();
    json!({
        "difference": whole(now - p.value),
        "p_up": n.map(|n| n.chances.up),
        "p_trivial": n.map(|n| n.chances.trivial),
        "p_down": n.map(|n| n.chances.down),
        "detectable": n.map(|n| whole(if n.difference >= 0.0 { n.detectable.up } else { n.detectable.down })),
        "interval_90": n.map(|n| n.interval_90),
        "verdict": p.words,
        "flags": p.flags.iter().map(|f| &f.words).collect::<Vec<_>>(),
    })
}

/// A number without a fraction it does not have.
fn whole(value: f64) -> Value {
    if value.fract() == 0.0 && value.abs() < 9e15 {
        json!(value as i64)
    } else {
        json!(value)
    }
}

impl PersonAnswer {
    /// Returns which error was used, in words.
    pub fn basis(&self) -> &str {
        match &self.report.error {
            ErrorAnswer::Chosen(choice) => &choice.basis,
            ErrorAnswer::NoAdequateError { words } => words,
        }
    }

    /// Returns the date of an earlier result by its day number.
    pub fn date_of(&self, day: i64) -> Option<Date> {
        Date::constant(1970, 1, 1)
            .checked_add(jiff::Span::new().try_days(day).ok()?)
            .ok()
    }

    /// Returns whether an earlier result is that of the last date but one of the level.
    pub fn is_last_but_one(&self, day: i64) -> bool {
        self.level
            .as_ref()
            .ok()
            .and_then(|l| l.changes.last())
            .is_some_and(|c| day_number(c.since) == day)
    }

    /// Returns the answer for programs.
    pub fn document(&self) -> Value {
        let mut document = self.report.previous.as_ref().map_or_else(
            || {
                json!({ "difference": null, "p_up": null, "p_trivial": null, "p_down": null, "detectable": null,
                    "verdict": "unclear: there is no earlier result" })
            },
            |p| pair(p, self.now),
        );
        document["basis"] = json!(self.basis());
        document["person"] = json!(self.name);
        document["test"] = json!(self.test);
        document["unit"] = json!(self.unit);
        document["date"] = json!(self.date.to_string());
        document["flags"] = json!(
            self.report
                .flags
                .iter()
                .map(|f| &f.words)
                .collect::<Vec<_>>()
        );
        document["best"] = self
            .report
            .best
            .as_ref()
            .map_or(Value::Null, |b| pair(b, self.now));
        document["level"] = match &self.level {
            Err(why) => json!({ "none": why }),
            Ok(level) => json!({
                "level": level.now.level, "lower": level.now.lower, "upper": level.now.upper,
                "since_each": level.changes,
                "too_small_to_matter": level.zone,
                "basis": level.basis,
            }),
        };
        document["growth"] = growth_value(self.growth.as_ref());
        document
    }
}
