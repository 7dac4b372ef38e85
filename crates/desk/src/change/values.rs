//! Two values of a test: the answer, its curve, and what growth explains where ages are given.

use plimsoll_interpret::change::{
    ChangeContext, QuickChange, QuickRequest, quick_change, true_change_curve,
};
use plimsoll_interpret::data::Scale;
use plimsoll_interpret::{Catalogue as Facts, InterpretError, Person, Sex, Size};
use serde_json::{Value, json};

use super::growth::{AtAge, GROWN, Growth, GrowthAsk, growth};
use crate::meaning::Choices;

/// Most years of an age.
const OLDEST: f64 = 120.0;

/// What is asked about two values.
#[derive(Debug, Clone, Default)]
pub struct ValuesAsk {
    /// Id of the test.
    pub test: String,
    /// Earlier value, in the unit of the test.
    pub from: f64,
    /// Later value.
    pub to: f64,
    /// Sex of the person, if known.
    pub sex: Option<Sex>,
    /// Age at the second test, years.
    pub age: Option<f64>,
    /// Age at the first test, years.
    pub age_from: Option<f64>,
    /// Error, worth, level and standard.
    pub choices: Choices,
}

/// The answer about two values.
#[derive(Debug, Clone)]
pub struct ValuesAnswer {
    /// What was asked.
    pub ask: ValuesAsk,
    /// The comparison.
    pub quick: QuickChange,
    /// The true change and how likely it is; empty when no error fits.
    pub curve: Vec<(f64, f64)>,
    /// The changes that are too small to matter, from and to.
    pub zone: Option<(f64, f64)>,
    /// What growth explains; nothing for grown people and where the age is not given.
    pub growth: Option<Growth>,
}

/// Answers about two values.
///
/// # Errors
///
/// [`InterpretError`] when a value or an age cannot be used.
pub fn of_values(facts: &Facts, ask: ValuesAsk) -> Result<ValuesAnswer, InterpretError> {
    check(&ask)?;
    let person = Person {
        sex: ask.sex,
        age_years: ask.age,
        ..Person::default()
    };
    let context = ChangeContext {
        level: ask.choices.level,
        error: ask.choices.error,
        worthwhile: ask.choices.worthwhile,
        from_memory: ask.choices.from_memory,
        ..ChangeContext::new(&ask.test, &person)
    };
    let request = QuickRequest {
        context,
        from: ask.from,
        to: ask.to,
    };
    let quick = quick_change(facts, &request)?;
    let scale = facts.scale(&ask.test);
    let (mut curve, mut zone) = (Vec::new(), None);
    if let (Some(error), Some(numbers)) = (&quick.error, &quick.numbers) {
        curve = true_change_curve(scale, ask.from, ask.to, error)?;
        let logs =
            matches!(error.size, Size::Percent(_)) && scale.is_none_or(|s| s.scale == Scale::Log);
        zone = Some(too_small(ask.from, numbers.worthwhile, logs));
    }
    let growth = of_growth(facts, &ask, &quick);
    Ok(ValuesAnswer {
        ask,
        quick,
        curve,
        zone,
        growth,
    })
}

/// Returns the zone that is too small to matter: the same ratio either way on logs.
pub(super) fn too_small(from: f64, worthwhile: f64, logs: bool) -> (f64, f64) {
    let down = if logs {
        from - from / (1.0 + worthwhile / from)
    } else {
        worthwhile
    };
    (-down, worthwhile)
}

fn check(ask: &ValuesAsk) -> Result<(), InterpretError> {
    for (what, found) in [
        ("age at the second test", ask.age),
        ("age at the first test", ask.age_from),
    ] {
        if let Some(found) = found.filter(|age| !(0.0..=OLDEST).contains(age)) {
            return Err(InterpretError::Value {
                what,
                found,
                allowed: "0 to 120 years",
            });
        }
    }
    if let (Some(to), Some(from)) = (ask.age, ask.age_from)
        && from > to
    {
        return Err(InterpretError::Value {
            what: "age at the first test",
            found: from,
            allowed: "at most the age at the second test",
        });
    }
    Ok(())
}

fn of_growth(facts: &Facts, ask: &ValuesAsk, quick: &QuickChange) -> Option<Growth> {
    let age = ask.age.or(ask.age_from).filter(|age| *age < GROWN)?;
    let (Some(to), Some(from)) = (ask.age, ask.age_from) else {
        return Some(Err(format!(
            "expected growth is not taken off: at {age} years growth may explain a part, and the age at both \
             tests is needed for it"
        )));
    };
    let (Some(error), Some(numbers)) = (&quick.error, &quick.numbers) else {
        return Some(Err(
            "expected growth is not taken off: no typical error or worthwhile change is known"
                .to_owned(),
        ));
    };
    let at = |age, value| AtAge {
        date: None,
        age,
        value,
    };
    let ask_growth = GrowthAsk {
        facts,
        test: &ask.test,
        sex: ask.sex,
        standard: ask.choices.standard.clone(),
        from_memory: ask.choices.from_memory,
        error,
        worthwhile: Size::InUnit(numbers.worthwhile),
    };
    Some(growth(&ask_growth, &[at(from, ask.from)], at(to, ask.to)))
}

/// Returns growth for programs: the answer, why there is none, or null.
pub(super) fn growth_value(growth: Option<&Growth>) -> Value {
    match growth {
        None => Value::Null,
        Some(Err(why)) => json!({ "none": why }),
        Some(Ok(found)) => {
            let mut whole = json!(found);
            whole["words"] = json!(found.line());
            whole["basis"] = json!(found.basis());
            whole
        }
    }
}

impl ValuesAnswer {
    /// Returns the answer for programs.
    pub fn document(&self) -> Value {
        let mut whole = json!(self.quick);
        whole["test"] = json!(self.ask.test);
        whole["too_small_to_matter"] = json!(self.zone);
        whole["growth"] = growth_value(self.growth.as_ref());
        whole
    }

    /// Returns the unit of the values, empty when not known.
    pub fn unit(&self) -> &'static str {
        self.quick.unit.unwrap_or("")
    }
}
