//! Do more people stop as a stage begins than exhaustion alone would make?
//! A hint about the day, never a finding about a person. Formula: `measure::squad::heaping`.

use plimsoll_measure::level::Normal;
use plimsoll_measure::squad::{Strength, chance_above, heaping};
use plimsoll_report::format::{count, percent};
use serde::Serialize;

use super::Part;
use super::gather::{Runner, Seen, Squad};

/// Full results from which a day says something. Chosen, no source.
const FEWEST: usize = 6;

/// Stops on stage starts.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StageStarts {
    /// Runners counted.
    pub runners: usize,
    /// Who stopped with the next bout opening a stage.
    pub observed: usize,
    /// Expected from exhaustion.
    pub expected: f64,
    /// Chance of as many or more.
    pub chance: f64,
    /// `none`, `weak` or `strong`.
    pub strength: &'static str,
}

pub(super) const fn word(strength: Strength) -> &'static str {
    match strength {
        Strength::None => "none",
        Strength::Weak => "weak",
        Strength::Strong => "strong",
    }
}

/// The strength as a sentence about the day.
pub(super) const fn in_words(strength: Strength) -> &'static str {
    match strength {
        Strength::None => "Chance explains it: no hint",
        Strength::Weak => {
            "Chance seldom does that: a weak hint, about the day and not about anyone"
        }
        Strength::Strong => {
            "Chance hardly does that: a strong hint, about the day and not about anyone"
        }
    }
}

/// A runner with a full result in bouts and what was expected, the common gap taken out.
pub(super) struct Stop<'r> {
    pub(super) runner: &'r Runner,
    pub(super) bouts: u32,
    pub(super) expected: Normal,
    pub(super) own: bool,
}

/// Returns the stops of the squad that can be set against an expectation.
pub(super) fn stops<'r>(
    squad: &Squad<'_>,
    runners: impl Iterator<Item = &'r Runner>,
) -> Vec<Stop<'r>> {
    runners
        .filter(|r| matches!(r.seen, Seen::Full { .. }))
        .filter_map(|runner| {
            Some(Stop {
                bouts: runner.bouts?,
                expected: runner.expected.or(squad.newcomer)?,
                own: runner.expected.is_some(),
                runner,
            })
        })
        .collect()
}

const SETTLE: &str = "Ask the assessors what they saw at the change of speed, and give the same words of \
    encouragement through every stage next time.";
const BASIS: &str = "earlier results of each person, and which bouts open a stage";

pub(super) fn stage_starts(squad: &Squad<'_>) -> Part<StageStarts> {
    let steps = squad.steps.list();
    let refused = |why: String| Part::refused(why, BASIS, SETTLE);
    if !squad.steps.rise() {
        return refused(
            "This test has no ladder on which results rise bout by bout; stops on stage starts cannot be looked for."
                .to_owned(),
        );
    }
    let found = stops(squad, squad.runners.iter());
    if found.len() < FEWEST {
        return refused(format!(
            "{} can be set against earlier results; {FEWEST} are needed.",
            count(found.len(), "full result", "full results")
        ));
    }
    let gap = common_gap(&found);
    let opens = |bouts: u32| steps.iter().any(|s| s.bouts == bouts && s.opens_next);
    let on_start: Vec<bool> = found.iter().map(|s| opens(s.bouts)).collect();
    let chances: Vec<f64> = found
        .iter()
        .map(|stop| {
            let over = |value: f64| {
                let mean = stop.expected.mean + gap;
                chance_above(mean, stop.expected.sd, None, value.ln()).unwrap_or(0.0)
            };
            let all = steps.iter().zip(steps.iter().skip(1));
            all.filter(|(step, _)| step.opens_next)
                .map(|(step, next)| over(step.value) - over(next.value))
                .sum::<f64>()
                .clamp(0.0, 1.0)
        })
        .collect();
    match heaping(&on_start, &chances) {
        Ok(hint) if hint.expected > 0.9 * found.len() as f64 => refused(
            "Nearly every bout of this test near these results opens a stage; such stops say nothing.".to_owned(),
        ),
        Ok(hint) => {
            let answer = StageStarts {
                runners: found.len(),
                observed: hint.observed,
                expected: hint.expected,
                chance: hint.chance,
                strength: word(hint.strength),
            };
            Part {
                says: vec![format!(
                    "{} of {} stopped with the next bout opening a stage, {:.1} were expected (chance of as many or \
                     more {}). {}.",
                    hint.observed,
                    found.len(),
                    hint.expected,
                    percent(hint.chance),
                    in_words(hint.strength)
                )],
                basis: basis(&found),
                settle: SETTLE.to_owned(),
                answer: Some(answer),
            }
        }
        Err(fault) => refused(format!("No answer: {fault}.")),
    }
}

/// Median of result minus expectation, on ln: what course, weather and training did to all.
fn common_gap(stops: &[Stop<'_>]) -> f64 {
    let mut gaps: Vec<f64> = stops
        .iter()
        .filter(|stop| stop.own)
        .filter_map(|stop| match stop.runner.seen {
            Seen::Full { at, .. } => Some(at - stop.expected.mean),
            Seen::AtLeast | Seen::Other => None,
        })
        .collect();
    gaps.sort_by(f64::total_cmp);
    match gaps.len() {
        0 => 0.0,
        n if n % 2 == 1 => gaps[n / 2],
        n => f64::midpoint(gaps[n / 2 - 1], gaps[n / 2]),
    }
}

fn basis(found: &[Stop<'_>]) -> String {
    let new = found.iter().filter(|s| !s.own).count();
    let newcomers = match new {
        0 => String::new(),
        n => format!(
            " {n} without earlier results or without a typical error that fits are expected like a newcomer of the squad."
        ),
    };
    format!(
        "For each runner the chance that the bout after the last one opens a stage, from the earlier results, with \
         the day's common gap taken out. A faster stage also stops people who are truly spent, which this does not \
         take off. Weak below 5 %, strong below 0.5 % (common practice, no source).{newcomers}"
    )
}
