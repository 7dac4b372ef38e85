//! Why an equation gives no number for a person, in words.
//! A refusal is an answer, not an error.

use std::fmt;

use serde::Serialize;

use crate::words;

/// A reason for giving no estimate.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "code", rename_all = "snake_case")]
pub enum Refusal {
    /// The person is under 18 and estimates were not asked for.
    Child,
    /// The age is not known, so the rule for children cannot be applied.
    AgeUnknown,
    /// The age lies outside the development sample.
    AgeOutside {
        /// Age of the person, years.
        age: f64,
        /// Ages of the sample in words.
        sample: String,
    },
    /// The sample's ages are not reported, so it says nothing about a child.
    SampleAgesUnknown,
    /// The sample holds the other sex only.
    SexOutside {
        /// Whom the sample holds.
        sample: &'static str,
    },
    /// Sex is needed and not known.
    SexUnknown,
    /// An input is missing.
    Missing {
        /// Which, with its unit.
        input: &'static str,
    },
    /// An input cannot be right.
    Implausible {
        /// Which, with its unit.
        input: &'static str,
        /// What was found.
        found: f64,
        /// Lowest value allowed.
        lowest: f64,
        /// Highest value allowed.
        highest: f64,
    },
    /// An input lies outside the limits of the equation.
    Outside {
        /// Which, with its unit.
        input: &'static str,
        /// What was found.
        found: f64,
        /// Why there is a limit.
        why: String,
    },
    /// The formula has no usable value.
    NoValue,
    /// The formula is a function of its own, not a sum of terms.
    OwnFunction,
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Child => f.write_str("estimates are off for children unless asked for"),
            Self::AgeUnknown => f.write_str(
                "the age is not known, and estimates are off for children unless asked for; \
                 enter the date of birth or ask for estimates of children too",
            ),
            Self::AgeOutside { age, sample } => write!(
                f,
                "age {} is outside the people the equation was made on ({sample})",
                words::number(*age, 1)
            ),
            Self::SampleAgesUnknown => f.write_str(
                "the ages of the people the equation was made on are not reported, so it is not \
                 used for a child",
            ),
            Self::SexOutside { sample } => {
                write!(f, "the equation was made on {sample} only")
            }
            Self::SexUnknown => f.write_str("sex is needed and not known"),
            Self::Missing { input } => write!(f, "{input} is needed and not known"),
            Self::Implausible {
                input,
                found,
                lowest,
                highest,
            } => write!(
                f,
                "{input} is {found}, which cannot be right ({lowest} to {highest} is allowed); \
                 correct it"
            ),
            Self::Outside { input, found, why } => {
                write!(f, "{input} is {}: {why}", words::number(*found, 1))
            }
            Self::NoValue => f.write_str("the formula has no value for these numbers"),
            Self::OwnFunction => f.write_str("this formula needs inputs that a test does not give"),
        }
    }
}
