//! What is looked for.
//! Sex and age decide; the playing standard only grades the match.

use crate::{Sex, words};

/// A search for references.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ReferenceQuery {
    /// Id of the test definition, such as `ir1`, or `vo2max_treadmill`.
    pub test: String,
    /// What is measured, such as `distance_m`.
    pub metric: String,
    /// Sex of the person.
    pub sex: Option<Sex>,
    /// Age on the test day, years with decimals.
    pub age_years: Option<f64>,
    /// Sport or playing standard, free words; none: not compared.
    pub standard: Option<String>,
    /// The value to place, in the unit of the metric.
    pub value: Option<f64>,
    /// Whether to show rows from memory too.
    pub from_memory: bool,
    /// Whether the value is an estimate from a field test, set against measured values.
    pub is_estimate: bool,
}

impl ReferenceQuery {
    /// Returns what is looked for in words.
    pub fn described(&self) -> String {
        let sex = match self.sex {
            Some(Sex::Male) => "male",
            Some(Sex::Female) => "female",
            None => "sex not given",
        };
        let age = self.age_years.map_or("age not given".to_owned(), |age| {
            format!("{} y", words::number(age, 1))
        });
        let standard = self.standard.as_deref().unwrap_or("standard not given");
        format!("{} in {}, {sex}, {age}, {standard}", self.metric, self.test)
    }
}
