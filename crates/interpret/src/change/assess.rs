//! Compares a result with the previous one and with the best comparable one.
//! "At least" on either side allows a one-sided statement only.
//! Rules: docs/methods/change.md.

use serde::Serialize;

use super::flags::{Flag, FlagCode, Flagger};
use super::numbers::{Numbers, error_in_unit, numbers};
use super::observation::{Observation, differ};
use super::verdict::{LIKELY, Verdict};
use super::worthwhile::{WorthwhileChoice, worthwhile};
use crate::data::TestScale;
use crate::reliability::{
    ErrorAnswer, ErrorChoice, ErrorRequest, OwnPairs, choose_error, higher_is_better,
};
use crate::{Catalogue, InterpretError, Level, Person, Size, Unit};

/// What is known beside the results.
#[derive(Debug, Clone, Copy)]
pub struct ChangeContext<'a> {
    /// Id of the test definition.
    pub test: &'a str,
    /// The person.
    pub person: &'a Person,
    /// How trained the person is, if known.
    pub level: Option<Level>,
    /// A typical error set by hand.
    pub error: Option<Size>,
    /// Own test-retest pairs.
    pub own: Option<&'a OwnPairs>,
    /// Observed SD between the people of the squad, in the unit of the test.
    pub squad_sd: Option<f64>,
    /// A smallest worthwhile change set by hand.
    pub worthwhile: Option<Size>,
    /// Whether errors from memory may be used.
    pub from_memory: bool,
}

impl<'a> ChangeContext<'a> {
    /// Makes a context with nothing set but test and person.
    pub const fn new(test: &'a str, person: &'a Person) -> Self {
        Self {
            test,
            person,
            level: None,
            error: None,
            own: None,
            squad_sd: None,
            worthwhile: None,
            from_memory: false,
        }
    }
}

/// A comparison with one earlier result.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Pairwise {
    /// Day of the earlier result, days since 1970-01-01.
    pub day: i64,
    /// The earlier value.
    pub value: f64,
    /// The numbers; none when no comparison can be made.
    pub numbers: Option<Numbers>,
    /// What it comes to.
    pub verdict: Verdict,
    /// The same in words.
    pub words: String,
    /// Reasons to doubt it.
    pub flags: Vec<Flag>,
    /// The worthwhile change used, and why.
    pub worthwhile: Option<WorthwhileChoice>,
}

/// What a result means beside the earlier ones.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChangeReport {
    /// Id of the test definition.
    pub test: String,
    /// Reasons to doubt the result itself.
    pub flags: Vec<Flag>,
    /// Against the latest earlier result.
    pub previous: Option<Pairwise>,
    /// Against the best comparable earlier result.
    pub best: Option<Pairwise>,
    /// The typical error used, or that there is none.
    pub error: ErrorAnswer,
}

/// Compares a result with those before it.
///
/// # Errors
///
/// A value that is not a number above or equal to 0, or a setting that cannot be used.
pub fn assess_change(
    catalogue: &Catalogue,
    before: &[Observation],
    now: &Observation,
    context: &ChangeContext<'_>,
) -> Result<ChangeReport, InterpretError> {
    for one in before.iter().chain([now]) {
        if !one.value.is_finite() || one.value < 0.0 {
            let allowed = "0 or a number above it";
            return Err(InterpretError::Value {
                what: "result",
                found: one.value,
                allowed,
            });
        }
    }
    let error = choose_error(
        catalogue,
        &ErrorRequest {
            test: context.test,
            quantity: None,
            person: context.person,
            level: context.level,
            by_hand: context.error,
            own: context.own,
            from_memory: context.from_memory,
        },
    )?;
    let scale = catalogue.scale(context.test);
    let flagger = Flagger {
        catalogue,
        test: context.test,
    };
    let when = |o: &Observation| (o.day, o.time_of_day_min.unwrap_or(0));
    let mut earlier: Vec<&Observation> = before.iter().filter(|o| when(o) <= when(now)).collect();
    earlier.sort_by_key(|o| when(o));
    let pair = |old: &Observation| pairwise(old, now, context, &error, scale, &flagger);
    let previous = earlier.last().map(|old| pair(old)).transpose()?;
    let comparable: Vec<&Observation> = earlier
        .iter()
        .copied()
        .filter(|old| is_comparable(old, now))
        .collect();
    let up = higher_is_better(scale);
    let best = comparable.iter().copied().reduce(|a, b| {
        let b_wins = if up {
            b.value >= a.value
        } else {
            b.value <= a.value
        };
        if b_wins { b } else { a }
    });
    let best = best
        .map(|old| {
            let mut found = pair(old)?;
            if comparable.len() > 1 {
                found.flags.push(Flagger::best_of(comparable.len()));
            }
            Ok::<_, InterpretError>(found)
        })
        .transpose()?;
    Ok(ChangeReport {
        test: context.test.to_owned(),
        flags: flagger.alone(now, !earlier.is_empty()),
        previous,
        best,
        error,
    })
}

/// The best result is sought among those run by the same rules on the same course and surface,
/// not ill, known in full, and not the person's first ever.
fn is_comparable(old: &Observation, now: &Observation) -> bool {
    old.unit == now.unit
        && !old.lower_bound
        && old.ill != Some(true)
        && old.trial_number != Some(1)
        && !differ(old.rules.as_ref(), now.rules.as_ref())
        && !differ(old.course_length_mm.as_ref(), now.course_length_mm.as_ref())
        && !differ(old.surface.as_ref(), now.surface.as_ref())
}

fn pairwise(
    old: &Observation,
    now: &Observation,
    context: &ChangeContext<'_>,
    error: &ErrorAnswer,
    scale: Option<&TestScale>,
    flagger: &Flagger<'_>,
) -> Result<Pairwise, InterpretError> {
    let flags = flagger.between(old, now);
    let mut found = Pairwise {
        day: old.day,
        value: old.value,
        numbers: None,
        verdict: Verdict::Unclear { why: String::new() },
        words: String::new(),
        flags,
        worthwhile: None,
    };
    found.verdict = match obstacle(old, now, error, scale) {
        Some(why) => Verdict::Unclear { why },
        None => match error {
            ErrorAnswer::Chosen(choice) => judge(old, now, context, choice, scale, &mut found)?,
            ErrorAnswer::NoAdequateError { words } => Verdict::Unclear { why: words.clone() },
        },
    };
    found.words = found.verdict.to_string();
    Ok(found)
}

/// What keeps two results from being compared at all, in words.
fn obstacle(
    old: &Observation,
    now: &Observation,
    error: &ErrorAnswer,
    scale: Option<&TestScale>,
) -> Option<String> {
    if let ErrorAnswer::NoAdequateError { words } = error {
        return Some(words.clone());
    }
    if old.unit != now.unit {
        return Some(format!(
            "one result is in {}, the other in {}",
            old.unit.as_str(),
            now.unit.as_str()
        ));
    }
    if let Some(scale) = scale.filter(|s| s.unit != now.unit) {
        return Some(format!(
            "results of {} are compared in {}, these are in {}; convert them first",
            scale.test,
            scale.unit.as_str(),
            now.unit.as_str()
        ));
    }
    if old.value <= 0.0 || now.value <= 0.0 {
        return Some("a result of 0 cannot be compared in percent".to_owned());
    }
    None
}

fn judge(
    old: &Observation,
    now: &Observation,
    context: &ChangeContext<'_>,
    choice: &ErrorChoice,
    scale: Option<&TestScale>,
    found: &mut Pairwise,
) -> Result<Verdict, InterpretError> {
    let error = error_in_unit(choice, old.value);
    let Some(least) = worthwhile(context.worthwhile, context.squad_sd, scale, error)? else {
        return Ok(Verdict::Unclear {
            why: format!(
                "no smallest worthwhile change is known for {}; set one",
                context.test
            ),
        });
    };
    let (numbers, chance) = numbers(old.value, now.value, choice, least.size, scale)?;
    let (open_before, open_now) = (old.is_open_above(), now.is_open_above());
    // Chances that a bound makes meaningless are not shown, whatever the verdict.
    found.numbers = (!open_before && !open_now).then_some(numbers);
    found.worthwhile = Some(least);
    let has = |code| found.flags.iter().any(|flag| flag.code == code);
    if has(FlagCode::RulesChanged) {
        return Ok(Verdict::Unclear {
            why: "ladder or rule settings differ".to_owned(),
        });
    }
    if has(FlagCode::CourseDiffers) {
        return Ok(Verdict::Unclear {
            why: "the courses differ in length".to_owned(),
        });
    }
    let up = higher_is_better(scale);
    if !open_before && !open_now {
        return Ok(Verdict::of(&chance, up));
    }
    let verdict = one_sided(
        &chance,
        open_before,
        open_now,
        up && now.unit != Unit::Seconds,
    );
    found.words = verdict.to_string();
    Ok(verdict)
}

/// An open end ("at least") on one side leaves one statement: the truth lies further that way.
fn one_sided(
    chance: &plimsoll_measure::change::Chance,
    open_before: bool,
    open_now: bool,
    up: bool,
) -> Verdict {
    let why = match (open_before, open_now) {
        _ if !up => "a run that was not finished gives no time to compare",
        (true, true) => "both results are only known as \"at least\"",
        (false, true) if chance.up >= LIKELY => {
            return Verdict::Better {
                chance: chance.up,
                at_least: true,
            };
        }
        (false, true) => {
            "this result is only known as \"at least\", and what is known of it shows no rise"
        }
        (true, false) if chance.down >= LIKELY => {
            return Verdict::Worse {
                chance: chance.down,
                at_least: true,
            };
        }
        _ => {
            "the earlier result is only known as \"at least\", and this one is not clearly below it"
        }
    };
    Verdict::Unclear {
        why: why.to_owned(),
    }
}
