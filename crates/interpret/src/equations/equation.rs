//! A prediction equation as its file holds it.
//! Data only; `evaluate` works it out.
//! Sources: `references/equations`.

use serde::{Deserialize, Serialize};

use super::inputs::Input;
use crate::{Confidence, InterpretError, Sex, SexGroup};

/// A product of inputs and a coefficient; a constant when `of` is empty.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Term {
    /// The coefficient.
    pub coefficient: f64,
    /// The inputs multiplied with it.
    pub of: Vec<Input>,
}

/// The numbers an equation gives to the sexes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SexCode {
    /// For males.
    pub male: f64,
    /// For females.
    pub female: f64,
}

/// A limit of an input, beyond which the equation is refused.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limit {
    /// Which input.
    pub input: Input,
    /// Lowest value allowed.
    pub min: Option<f64>,
    /// Highest value allowed.
    pub max: Option<f64>,
    /// The sex it holds for; none: both.
    pub sex: Option<Sex>,
    /// Why, in words.
    pub why: String,
}

/// Formulas that are not a sum of terms; each is a function in `speeds`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CodeForm {
    /// `speeds::heart_rate_at`.
    HeartRateReserve,
    /// `speeds::critical_speed`.
    CriticalSpeedDistanceOnTime,
    /// `speeds::critical_speed_inverse_time`.
    CriticalSpeedSpeedOnInverseTime,
    /// `speeds::time_above_critical_speed`.
    TimeAboveCriticalSpeed,
    /// `speeds::critical_speed_3min`.
    #[serde(rename = "critical_speed_3min")]
    CriticalSpeed3Min,
    /// `speeds::SpeedReserve`.
    SpeedReserve,
    /// `speeds::all_out_speed`.
    AllOutSpeed,
    /// `speeds::layout_speed`.
    LayoutSpeed,
}

/// A prediction equation with its sample, error and source.
///
/// Its value is `(numerator / sum or sum) x scale / divide + offset`, where `sum` adds the terms.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Equation {
    /// Short id, unique.
    pub id: String,
    /// Ids of the tests it is for.
    pub tests: Vec<String>,
    /// What it predicts, such as `vo2max`.
    pub predicts: String,
    /// Unit of the prediction.
    pub unit: String,
    /// The formula as printed.
    pub formula: String,
    /// A function instead of terms.
    pub code: Option<CodeForm>,
    /// The terms that are added.
    #[serde(default)]
    pub terms: Vec<Term>,
    /// When given, the sum of the terms divides this.
    pub numerator: Option<f64>,
    /// Multiplies the result; 1 when not given.
    pub scale: Option<f64>,
    /// Divides the result; 1 when not given.
    pub divide: Option<f64>,
    /// Added last; 0 when not given.
    pub offset: Option<f64>,
    /// How sexes are coded, when sex is an input.
    pub sex_code: Option<SexCode>,
    /// Whether it needs the person only, no test.
    #[serde(default)]
    pub from_person: bool,
    /// Whether it is shown without being asked for.
    #[serde(default = "yes")]
    pub shown_by_default: bool,
    /// The inputs in words.
    pub inputs: Vec<String>,
    /// The development sample in words.
    pub population: String,
    /// Number of people in it, if known.
    pub n: Option<u32>,
    /// Correlation with the criterion, if known.
    pub r: Option<f64>,
    /// Standard error of estimate, in the unit of the prediction, if published.
    pub see: Option<f64>,
    /// How that error was seen.
    pub see_confidence: Option<Confidence>,
    /// Sex of the sample, if stated.
    pub sex: Option<SexGroup>,
    /// Lowest age of the sample, whole years.
    pub age_min: Option<f64>,
    /// Highest age of the sample, whole years (the year counts to its end).
    pub age_max: Option<f64>,
    /// How the ages were read, when not printed.
    pub age_note: Option<String>,
    /// Limits of inputs.
    #[serde(default)]
    pub limits: Vec<Limit>,
    /// Citation.
    pub source: String,
    /// Licence or copyright as far as known.
    pub licence: String,
    /// How the coefficients were seen.
    pub confidence: Confidence,
    /// What was checked.
    pub checks: Option<String>,
    /// What to tell the reader.
    pub cautions: Vec<String>,
}

const fn yes() -> bool {
    true
}

impl Equation {
    /// Checks what the types cannot: numbers are finite and every input can be coded.
    pub(crate) fn check(&self, file: &str) -> Result<(), InterpretError> {
        let fault = |field: &'static str, found: String, allowed: &str| {
            Err(InterpretError::HeaderField {
                file: format!("{file} ({})", self.id),
                field,
                found,
                allowed: allowed.to_owned(),
            })
        };
        if self.terms.is_empty() == self.code.is_none() {
            return fault(
                "terms",
                format!("{} terms", self.terms.len()),
                "terms or code, not both",
            );
        }
        if let Some(term) = self.terms.iter().find(|term| !term.coefficient.is_finite()) {
            return fault(
                "coefficient",
                term.coefficient.to_string(),
                "a finite number",
            );
        }
        let optional = [
            self.numerator,
            self.scale,
            self.divide,
            self.offset,
            self.see,
        ];
        if let Some(bad) = optional
            .into_iter()
            .flatten()
            .find(|value| !value.is_finite())
        {
            return fault("scale", bad.to_string(), "a finite number");
        }
        if self.divide == Some(0.0) {
            return fault("divide", "0".to_owned(), "any number but 0");
        }
        if self.see.is_some_and(|see| see <= 0.0) {
            return fault("see", format!("{:?}", self.see), "a number above 0");
        }
        let uses_sex = self
            .terms
            .iter()
            .any(|term| term.of.contains(&Input::SexCode));
        if uses_sex != self.sex_code.is_some() {
            return fault(
                "sex_code",
                format!("{:?}", self.sex_code),
                "given when sex is an input",
            );
        }
        Ok(())
    }
}
