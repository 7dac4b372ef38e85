//! When to test again: the week in which an expected gain passes what two tests can detect.
//! Adds what the trade says about the shortest useful gap; the lead decides.

use plimsoll_interpret::{Catalogue as Facts, Person, Size};
use plimsoll_ladder::Test;
use plimsoll_measure::planning::{RetestPlan, chance_seen, retest};
use plimsoll_measure::squad::{
    people_for_error_width, people_for_mean_change, trials_for_change_se,
};
use serde::Serialize;

use super::detect::LEVEL;
use super::{PlanningError, noise, words::digits};
use crate::meaning::Choices;

/// The shortest useful gap between maximal tests, weeks: 4 to 8 (from memory).
const SHORTEST: (f64, f64) = (4.0, 8.0);
/// Weeks for which the chance is told.
const TOLD: [f64; 4] = [4.0, 6.0, 8.0, 12.0];

/// What is asked.
#[derive(Debug, Clone)]
pub struct RetestAsked<'a> {
    /// The test.
    pub test: &'a Test,
    /// For whom the error is chosen.
    pub person: Person,
    /// The result from which it starts, in the unit of the test.
    pub from: Option<f64>,
    /// Expected gain per week.
    pub weekly_gain: Option<Size>,
    /// Trials averaged on each occasion, 1 or more.
    pub trials: u64,
    /// Wanted chance of seeing the gain, such as 0.80.
    pub chance: f64,
}

/// When to test again.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RetestAnswer {
    /// Id of the test.
    pub test: String,
    /// Detectable change (95 %), in `unit`.
    pub detectable: Option<f64>,
    /// `%` or the unit of the test.
    pub unit: String,
    /// Weeks until the expected gain equals it: detectable change over weekly gain.
    pub weeks_even: Option<f64>,
    /// Weeks until it is seen with the wanted chance.
    pub weeks_likely: Option<f64>,
    /// The wanted chance.
    pub chance: f64,
    /// Weeks, and the chance that the gain is then seen.
    pub chances: Vec<(f64, f64)>,
    /// Weekly gain that equals the detectable change after four and after eight weeks.
    pub gain_needed: Option<(f64, f64)>,
    /// In sentences.
    pub words: Vec<String>,
    /// Which typical error, with source and tag.
    pub basis: String,
}

/// Returns when to test again.
///
/// # Errors
///
/// [`PlanningError`] when a number cannot be used.
pub fn retest_answer(
    facts: &Facts,
    asked: &RetestAsked<'_>,
    choices: &Choices,
) -> Result<RetestAnswer, PlanningError> {
    let noise = noise(facts, asked.test, &asked.person, None, choices)?;
    let mut answer = RetestAnswer {
        test: asked.test.id().to_owned(),
        detectable: None,
        unit: String::new(),
        weeks_even: None,
        weeks_likely: None,
        chance: asked.chance,
        chances: Vec::new(),
        gain_needed: None,
        words: Vec::new(),
        basis: noise.basis.clone(),
    };
    let Some(size) = noise.size else {
        answer
            .words
            .push(format!("No date can be given: {}.", noise.basis));
        return Ok(answer);
    };
    // Percentages are worked out on the ln scale, sizes in the unit of the test as they are.
    let (log, error) = match size {
        Size::Percent(p) => (true, (1.0 + p / 100.0).ln()),
        Size::InUnit(e) => (false, e),
    };
    let shown = |v: f64| if log { 100.0 * (v.exp() - 1.0) } else { v };
    let unit = if log { "%" } else { noise.unit };
    answer.unit = unit.to_owned();
    let gain = match (asked.weekly_gain, log) {
        (None, _) => None,
        (Some(Size::Percent(p)), true) => Some((1.0 + p / 100.0).ln()),
        (Some(Size::InUnit(g)), false) => Some(g),
        (Some(Size::InUnit(g)), true) => {
            let from = needs_from(
                asked,
                "a gain in the unit of the test, while the error of the test is a percentage",
            )?;
            Some((1.0 + g / from).ln())
        }
        (Some(Size::Percent(p)), false) => Some(
            p / 100.0
                * needs_from(
                    asked,
                    "a gain in percent, while the error is in the unit of the test",
                )?,
        ),
    };
    let plan = RetestPlan {
        typical_error: error,
        weekly_gain: gain.unwrap_or(1.0),
        trials: asked.trials,
        level: LEVEL,
        chance: asked.chance,
    };
    // With a gain so large that the weeks cannot fail, the detectable change alone is asked for.
    let wide = RetestPlan {
        weekly_gain: error,
        ..plan
    };
    let detectable = retest(&wide)?.detectable;
    answer.detectable = Some(shown(detectable));
    answer.gain_needed = Some((
        shown(detectable / SHORTEST.1),
        shown(detectable / SHORTEST.0),
    ));
    answer.words.push(format!(
        "Two occasions{} must differ by {} {unit} before chance is ruled out (95 %).",
        if asked.trials > 1 {
            format!(" of {} trials each", asked.trials)
        } else {
            String::new()
        },
        digits(shown(detectable), 1)
    ));
    if gain.is_none() {
        answer.words.push(format!(
            "To be seen after 8 weeks the true gain must be about {} {unit} a week, after 4 weeks \
             {} {unit}; say what you expect with --weekly-gain.",
            digits(shown(detectable / SHORTEST.1), 2),
            digits(shown(detectable / SHORTEST.0), 2)
        ));
        return Ok(answer);
    }
    let found = retest(&plan)?;
    answer.weeks_even = Some(found.weeks_even);
    answer.weeks_likely = Some(found.weeks_likely);
    for weeks in TOLD {
        answer.chances.push((weeks, chance_seen(&plan, weeks)?));
    }
    answer.words.push(format!(
        "At the expected gain that takes {} weeks, and then it is seen in half of the cases only; \
         with a chance of {:.0} % after {} weeks.",
        digits(found.weeks_even, 1),
        100.0 * asked.chance,
        digits(found.weeks_likely, 1)
    ));
    if found.weeks_likely < SHORTEST.0 {
        answer.words.push(
            "4 to 8 weeks is the shortest useful gap between maximal tests (from memory): do not \
             test sooner than that."
                .to_owned(),
        );
    } else if found.weeks_likely > 2.0 * SHORTEST.1 {
        answer.words.push(
            "That is long: average two trials on each occasion, look at the squad's mean, or use a \
             submaximal form in between."
                .to_owned(),
        );
    }
    Ok(answer)
}

fn needs_from(asked: &RetestAsked<'_>, what: &str) -> Result<f64, PlanningError> {
    asked
        .from
        .filter(|f| f.is_finite() && *f > 0.0)
        .ok_or_else(|| PlanningError::Roster {
            place: "weekly gain".to_owned(),
            found: format!("{what} (`{}`)", asked.test.id()),
            allowed: "both alike, or with the result from which the gain starts".to_owned(),
            next: "give the result now (--from), or the gain like the error".to_owned(),
        })
}

/// How many trials or people a wanted precision takes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Precision {
    /// Trials of one person to average on each occasion.
    pub trials_each: u64,
    /// People for the same precision of the squad's mean change, one trial on each occasion, with
    /// true changes that differ as much as the wanted precision.
    pub people: u64,
    /// People with two trials each for a typical error of one's own within a quarter either way.
    pub people_for_own_error: u64,
    /// In sentences.
    pub words: Vec<String>,
}

/// Returns what it takes for a standard error of `wanted`, in the unit of `error`; `unit` is for words.
///
/// # Errors
///
/// [`PlanningError`] when a number cannot be used.
pub fn precision(error: f64, wanted: f64, unit: &str) -> Result<Precision, PlanningError> {
    let trials_each = trials_for_change_se(error, wanted)?;
    let people = people_for_mean_change(error, wanted, 1, wanted)?;
    let people_for_own_error = people_for_error_width(2, 0.5, 0.90)?;
    let sure = format!("{} {unit}", digits(wanted, 2));
    Ok(Precision {
        trials_each,
        people,
        people_for_own_error,
        words: vec![
            format!(
                "For one runner's change with a standard error of {sure}: {trials_each} {} on each \
                 occasion.",
                if trials_each == 1 {
                    "trial"
                } else {
                    "trials averaged"
                }
            ),
            format!(
                "For the squad's mean change as sure: {people} people with one trial each time."
            ),
            format!(
                "For a typical error of your own within a quarter either way (90 %): \
                 {people_for_own_error} people with two trials each."
            ),
        ],
    })
}
