//! Works out an equation for given inputs.
//! Refuses outside the sample and the limits; the rule for children is in `estimate`.

use super::equation::Equation;
use super::inputs::{Input, Inputs};
use super::refusal::Refusal;
use crate::{Sex, SexGroup};

impl Equation {
    /// Returns the predicted value in the equation's unit, or why there is none.
    pub fn evaluate(&self, inputs: &Inputs) -> Result<f64, Refusal> {
        if self.code.is_some() {
            return Err(Refusal::OwnFunction);
        }
        self.check_sample(inputs)?;
        self.check_limits(inputs)?;
        let mut sum = 0.0;
        for term in &self.terms {
            let mut product = term.coefficient;
            for &input in &term.of {
                product *= self.value(inputs, input)?;
            }
            sum += product;
        }
        let value = self.numerator.map_or(sum, |numerator| numerator / sum);
        let value = value * self.scale.unwrap_or(1.0) / self.divide.unwrap_or(1.0);
        let value = value + self.offset.unwrap_or(0.0);
        if value.is_finite() && value > 0.0 {
            Ok(value)
        } else {
            Err(Refusal::NoValue)
        }
    }

    /// Refuses a person outside the development sample.
    fn check_sample(&self, inputs: &Inputs) -> Result<(), Refusal> {
        let group = self.sex.unwrap_or(SexGroup::Unknown);
        if matches!(group, SexGroup::Male | SexGroup::Female) {
            let sex = inputs.sex.ok_or(Refusal::SexUnknown)?;
            if !group.holds(sex) {
                return Err(Refusal::SexOutside {
                    sample: group.words(),
                });
            }
        }
        if self.age_min.is_none() && self.age_max.is_none() {
            return Ok(());
        }
        let age = self.value(inputs, Input::AgeYears)?;
        let years = age.floor();
        let low = self.age_min.is_some_and(|min| years < min);
        let high = self.age_max.is_some_and(|max| years > max);
        if low || high {
            return Err(Refusal::AgeOutside {
                age,
                sample: self.sample_ages(),
            });
        }
        Ok(())
    }

    fn check_limits(&self, inputs: &Inputs) -> Result<(), Refusal> {
        for limit in &self.limits {
            if limit.sex.is_some() && limit.sex != inputs.sex {
                continue;
            }
            let found = self.value(inputs, limit.input)?;
            let low = limit.min.is_some_and(|min| found < min);
            let high = limit.max.is_some_and(|max| found > max);
            if low || high {
                let (input, why) = (limit.input.words(), limit.why.clone());
                return Err(Refusal::Outside { input, found, why });
            }
        }
        Ok(())
    }

    /// Returns the ages of the sample in words.
    pub(crate) fn sample_ages(&self) -> String {
        match (self.age_min, self.age_max) {
            (Some(min), Some(max)) => format!("{min} to {max} y"),
            (Some(min), None) => format!("{min} y and older"),
            (None, Some(max)) => format!("up to {max} y"),
            (None, None) => "ages not reported".to_owned(),
        }
    }

    fn value(&self, inputs: &Inputs, input: Input) -> Result<f64, Refusal> {
        if input == Input::SexCode {
            let sex = inputs.sex.ok_or(Refusal::SexUnknown)?;
            let code = self.sex_code.ok_or(Refusal::OwnFunction)?;
            return Ok(if sex == Sex::Male {
                code.male
            } else {
                code.female
            });
        }
        let found = inputs.get(input).ok_or(Refusal::Missing {
            input: input.words(),
        })?;
        let (lowest, highest) = input.plausible();
        if found >= lowest && found <= highest {
            Ok(found)
        } else {
            Err(Refusal::Implausible {
                input: input.words(),
                found,
                lowest,
                highest,
            })
        }
    }
}
