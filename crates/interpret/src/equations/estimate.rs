//! Estimates for a performance: every equation of the test, with a value or a refusal.
//! The result itself comes first; an estimate never replaces it.
//! Interval: value plus and minus 1.96 SEE, only where an SEE is published.

use serde::{Deserialize, Serialize};

use super::equation::Equation;
use super::inputs::Inputs;
use super::refusal::Refusal;
use crate::{Catalogue, Confidence, Performance, Person, words};

/// From this age on a person is not a child here. Common practice, no source.
const ADULT_FROM: f64 = 18.0;

/// Which speed the child equation of the 20 m shuttle run takes.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ChildSpeed {
    /// The last completed stage, as later tables do.
    #[default]
    LastCompleted,
    /// The last announced stage, as the abstract of 1988 says: that of the level being run.
    LastAnnounced,
}

/// What the reader asked for.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct EstimateOptions {
    /// Whether to estimate for under-18s and for people of unknown age.
    pub allow_children: bool,
    /// Which speed the child equation takes.
    pub child_speed: ChildSpeed,
}

/// A value with its interval, or why there is none.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "result", rename_all = "snake_case")]
pub enum EstimateResult {
    /// A value in the unit of the estimate.
    Value {
        /// The value.
        value: f64,
        /// Lower and upper end of the 95 % interval, where an error is published.
        interval_95: Option<(f64, f64)>,
        /// Where the interval comes from, or why there is none.
        interval_words: String,
    },
    /// No value.
    Refused {
        /// Why, as a code with details.
        refusal: Refusal,
        /// Why, in words.
        words: String,
    },
}

/// One equation's answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Estimate {
    /// Id of the equation. Never compare values of two equations.
    pub equation: String,
    /// What is predicted, such as `vo2max`.
    pub predicts: String,
    /// Unit of the value.
    pub unit: String,
    /// The formula as printed.
    pub formula: String,
    /// The answer.
    #[serde(flatten)]
    pub result: EstimateResult,
    /// Whether to show it without being asked.
    pub shown_by_default: bool,
    /// The development sample in words.
    pub sample: String,
    /// Citation.
    pub source: String,
    /// How the coefficients were seen.
    pub confidence: Confidence,
    /// What to tell the reader.
    pub cautions: Vec<String>,
}

impl Estimate {
    /// Returns the value, if there is one.
    pub fn value(&self) -> Option<f64> {
        match self.result {
            EstimateResult::Value { value, .. } => Some(value),
            EstimateResult::Refused { .. } => None,
        }
    }
}

/// Returns the answers of every equation for a performance, with the default options.
pub fn estimates(
    catalogue: &Catalogue,
    performance: &Performance,
    person: &Person,
    allow_children: bool,
) -> Vec<Estimate> {
    let options = EstimateOptions {
        allow_children,
        ..EstimateOptions::default()
    };
    estimates_with(catalogue, performance, person, options)
}

/// Returns the answers of every equation for a performance: those of its test, and those that
/// need the person only (maximal heart rate) when the age is known.
pub fn estimates_with(
    catalogue: &Catalogue,
    performance: &Performance,
    person: &Person,
    options: EstimateOptions,
) -> Vec<Estimate> {
    catalogue
        .equations
        .iter()
        .filter(|equation| {
            equation.tests.contains(&performance.test)
                || (equation.from_person && person.age_years.is_some())
        })
        .map(|equation| answer(equation, performance, person, options))
        .collect()
}

fn answer(
    equation: &Equation,
    performance: &Performance,
    person: &Person,
    options: EstimateOptions,
) -> Estimate {
    let mut inputs = Inputs::of(performance, person);
    let mut cautions = equation.cautions.clone();
    if takes_announced_speed(equation) {
        cautions.push(child_speed(&mut inputs, performance, options.child_speed));
    }
    if let Some(note) = &equation.age_note {
        cautions.push(format!("Ages of the sample: {note}."));
    } else if equation.age_min.is_none() && equation.age_max.is_none() {
        cautions.push("The ages of the sample are not reported.".to_owned());
    }
    let value = children_rule(equation, person, options).and_then(|()| equation.evaluate(&inputs));
    Estimate {
        equation: equation.id.clone(),
        predicts: equation.predicts.clone(),
        unit: equation.unit.clone(),
        formula: equation.formula.clone(),
        result: match value {
            Ok(value) => with_interval(equation, value),
            Err(refusal) => EstimateResult::Refused {
                words: refusal.to_string(),
                refusal,
            },
        },
        shown_by_default: equation.shown_by_default,
        sample: format!("{} ({})", equation.population, equation.sample_ages()),
        source: equation.source.clone(),
        confidence: equation.confidence,
        cautions,
    }
}

fn children_rule(
    equation: &Equation,
    person: &Person,
    options: EstimateOptions,
) -> Result<(), Refusal> {
    let child = match person.age_years {
        // An age that is not a number is refused as implausible by the equation.
        Some(age) => age < ADULT_FROM,
        None if options.allow_children => return Ok(()),
        None => return Err(Refusal::AgeUnknown),
    };
    match (child, options.allow_children) {
        (true, false) => Err(Refusal::Child),
        (true, true) if equation.age_min.is_none() && equation.age_max.is_none() => {
            Err(Refusal::SampleAgesUnknown)
        }
        _ => Ok(()),
    }
}

fn with_interval(equation: &Equation, value: f64) -> EstimateResult {
    let Some(see) = equation.see else {
        return EstimateResult::Value {
            value,
            interval_95: None,
            interval_words: "no standard error of estimate is published, so no interval is given"
                .to_owned(),
        };
    };
    let half = 1.96 * see;
    let tag = equation.see_confidence.unwrap_or(equation.confidence);
    EstimateResult::Value {
        value,
        interval_95: Some((value - half, value + half)),
        interval_words: format!(
            "95 %: plus and minus 1.96 x SEE {} ({tag})",
            words::number(see, 2)
        ),
    }
}

/// The child equation of 1988 is the one whose abstract names the announced stage.
fn takes_announced_speed(equation: &Equation) -> bool {
    equation.id == "msr20_leger1988_child"
}

fn child_speed(inputs: &mut Inputs, performance: &Performance, choice: ChildSpeed) -> String {
    let announced = performance
        .level_decimal
        .map(|level| 8.0 + 0.5 * level.floor());
    match (choice, announced) {
        (ChildSpeed::LastAnnounced, Some(speed)) => {
            inputs.final_speed_kmh = Some(speed);
            "Speed taken: the last stage announced, 8 + 0.5 x stage km/h, as the abstract says."
                .to_owned()
        }
        (ChildSpeed::LastAnnounced, None) => {
            "Speed taken: the last stage completed, because the level being run is not known."
                .to_owned()
        }
        (ChildSpeed::LastCompleted, _) => {
            "Speed taken: the last stage completed, as later tables do; the abstract says the last \
             stage announced, up to 0.5 km/h more."
                .to_owned()
        }
    }
}
