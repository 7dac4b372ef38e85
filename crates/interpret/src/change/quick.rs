//! Two values of a test, no history: the answer of the command line.
//! Takes the person as unknown unless told; says which error and worthwhile change were used.

use serde::Serialize;

use super::assess::ChangeContext;
use super::numbers::{Detectable, Numbers, error_in_unit, numbers};
use super::verdict::Verdict;
use super::worthwhile::worthwhile;
use crate::reliability::{ErrorAnswer, ErrorChoice, ErrorRequest, choose_error, higher_is_better};
use crate::{Catalogue, InterpretError};

/// Two values to compare, in the unit of the test.
#[derive(Debug, Clone, Copy)]
pub struct QuickRequest<'a> {
    /// Test, person and settings.
    pub context: ChangeContext<'a>,
    /// Earlier value, above 0.
    pub from: f64,
    /// Later value, above 0.
    pub to: f64,
}

/// The answer; chances and detectable change are missing when no error fits.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct QuickChange {
    /// Later minus earlier value, in the unit of the test.
    pub difference: f64,
    /// The same in percent of the earlier value.
    pub percent: f64,
    /// Unit of the values, if the test is known.
    pub unit: Option<&'static str>,
    /// Chance of a rise worth while.
    pub p_up: Option<f64>,
    /// Chance of no change worth while.
    pub p_trivial: Option<f64>,
    /// Chance of a fall worth while.
    pub p_down: Option<f64>,
    /// Detectable change in the direction seen, in the unit of the test, in whole steps where the
    /// score has steps.
    pub detectable: Option<f64>,
    /// The detectable change in full.
    pub detectable_change: Option<Detectable>,
    /// Lower and upper end of the 90 % interval of the true change.
    pub interval_90: Option<(f64, f64)>,
    /// The answer in words.
    pub verdict: String,
    /// Which error and worthwhile change were used, and why.
    pub basis: String,
    /// All numbers of the comparison, for pictures.
    #[serde(skip)]
    pub numbers: Option<Numbers>,
    /// The error used.
    #[serde(skip)]
    pub error: Option<ErrorChoice>,
}

/// Compares two values of a test.
///
/// # Errors
///
/// A value that is not a number above 0, or a setting that cannot be used.
pub fn quick_change(
    catalogue: &Catalogue,
    request: &QuickRequest<'_>,
) -> Result<QuickChange, InterpretError> {
    let QuickRequest { context, from, to } = *request;
    for (what, found) in [("earlier value", from), ("later value", to)] {
        if !found.is_finite() || found <= 0.0 {
            return Err(InterpretError::Value {
                what,
                found,
                allowed: "a number above 0",
            });
        }
    }
    let scale = catalogue.scale(context.test);
    let mut answer = QuickChange {
        difference: to - from,
        percent: 100.0 * (to - from) / from,
        unit: scale.map(|s| s.unit.as_str()),
        p_up: None,
        p_trivial: None,
        p_down: None,
        detectable: None,
        detectable_change: None,
        interval_90: None,
        verdict: String::new(),
        basis: String::new(),
        numbers: None,
        error: None,
    };
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
    let choice = match error {
        ErrorAnswer::Chosen(choice) => choice,
        ErrorAnswer::NoAdequateError { words } => {
            answer.verdict = Verdict::Unclear { why: words.clone() }.to_string();
            answer.basis = words;
            return Ok(answer);
        }
    };
    let in_unit = error_in_unit(&choice, from);
    let Some(least) = worthwhile(context.worthwhile, context.squad_sd, scale, in_unit)? else {
        let why = format!(
            "no smallest worthwhile change is known for {}; set one",
            context.test
        );
        answer.verdict = Verdict::Unclear { why }.to_string();
        answer.basis = choice.basis;
        return Ok(answer);
    };
    let (found, chance) = numbers(from, to, &choice, least.size, scale)?;
    let rose = found.difference >= 0.0;
    answer.p_up = Some(found.chances.up);
    answer.p_trivial = Some(found.chances.trivial);
    answer.p_down = Some(found.chances.down);
    answer.detectable = Some(if rose {
        found.detectable.up
    } else {
        found.detectable.down
    });
    answer.detectable_change = Some(found.detectable);
    answer.interval_90 = Some(found.interval_90);
    answer.verdict = Verdict::of(&chance, higher_is_better(scale)).to_string();
    answer.basis = format!("{}; {}", choice.basis, least.basis);
    answer.numbers = Some(found);
    answer.error = Some(choice);
    Ok(answer)
}
