//! The test chooser: for each paced test, when a group would stop, and what the test would detect.
//! A test that cannot be predicted says so; nothing ranks the tests but the lead.

use plimsoll_interpret::{Catalogue as Facts, Person, Sex};
use plimsoll_ladder::{Catalogue, Test};
use plimsoll_measure::planning::{Rungs, Runner, count_of, last_stop, stops, within};
use serde::Serialize;

use super::detect::{Detectable, detectable};
use super::early::{EARLY_S, error_test, predictions_of, usable};
use super::ladder::rungs;
use super::population::{PopulationAsked, PopulationUsed, of_population};
use super::words::{count_words, minutes};
use super::{PlanningError, Roster, noise};
use crate::meaning::Choices;
use crate::test_day::easier_form;

/// More than this share out early, and the start is too fast for the group. Common practice, no source.
const MANY_EARLY: f64 = 0.10;
/// More than this share at the end, and the test is too short for it. Common practice, no source.
const MANY_AT_END: f64 = 0.05;

/// Who would run.
#[derive(Debug, Clone, PartialEq)]
pub enum Group {
    /// These people.
    Roster(Roster),
    /// So many of a population.
    Population(PopulationAsked),
}

/// One test for one group.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Forecast {
    /// Id of the test.
    pub test: String,
    /// Its name.
    pub name: String,
    /// How far its definition can be trusted.
    pub definition: &'static str,
    /// Whether it asks for a maximal effort.
    pub maximal: bool,
    /// The easier version: id of a submaximal form on the same cues, or the one its definition names.
    pub easier: Option<String>,
    /// Whether it can be run to the cues of this test.
    pub easier_same_cues: bool,
    /// The detectable change, where an adequate error is published.
    pub detectable: Option<Detectable>,
    /// Why there is no detectable change.
    pub no_detectable: Option<String>,
    /// When the group would stop.
    #[serde(flatten)]
    pub answer: Answer,
}

/// A prediction, or that there is none.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "answer", rename_all = "snake_case")]
pub enum Answer {
    /// When they would stop.
    Predicted(Box<Predicted>),
    /// Cannot be predicted for this roster.
    CannotBePredicted {
        /// Why.
        why: String,
    },
}

/// When a group would stop.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Predicted {
    /// People counted.
    pub runners: usize,
    /// People of the roster left out because nothing is known of them.
    pub left_out: usize,
    /// Expected number out in the first two minutes.
    pub out_early: f64,
    /// Share of the group out in the first two minutes, 0 to 1.
    pub share_out_early: f64,
    /// Expected number at the end of the test.
    pub at_end: f64,
    /// Share of the group at the end of the test, 0 to 1.
    pub share_at_end: f64,
    /// Expected time of the last stop when all run in one wave, s.
    pub last_stop_s: f64,
    /// Time by which the last stop has come in 9 of 10 such waves, s.
    pub last_stop_90_s: f64,
    /// Length of the whole test, s.
    pub test_s: f64,
    /// Time by which the bout under way ends, and the expected number who stop in it, per bout.
    pub stops: Vec<(f64, f64)>,
    /// In sentences.
    pub words: Vec<String>,
    /// What speaks against the test for this group.
    pub against: Vec<String>,
    /// Where the prediction comes from.
    pub basis: String,
    /// The reference, where the group is known only by its population.
    pub population: Option<PopulationUsed>,
}

/// Returns a forecast for every paced test, those that can be predicted first.
///
/// # Errors
///
/// [`PlanningError`] when a number cannot be used.
pub fn choose(
    catalogue: &Catalogue,
    facts: &Facts,
    group: &Group,
    choices: &Choices,
) -> Result<Vec<Forecast>, PlanningError> {
    let mut found = Vec::new();
    for test in catalogue.iter() {
        let Some(rungs) = rungs(test).filter(|_| test.shape().is_paced()) else {
            continue;
        };
        found.push(forecast(catalogue, facts, group, choices, test, &rungs)?);
    }
    found.sort_by_key(|f| matches!(f.answer, Answer::CannotBePredicted { .. }));
    Ok(found)
}

fn forecast(
    catalogue: &Catalogue,
    facts: &Facts,
    group: &Group,
    choices: &Choices,
    test: &Test,
    rungs: &Rungs,
) -> Result<Forecast, PlanningError> {
    let person = typical_person(group);
    let (near, drawn) = match group {
        Group::Roster(roster) => (usable(roster, catalogue, test).middle(), None),
        Group::Population(asked) => {
            let drawn = of_population(facts, test, rungs, asked, choices.from_memory);
            (
                drawn.as_ref().ok().map(|d| d.0.mean().exp()),
                Some((asked, drawn)),
            )
        }
    };
    let noise = noise(facts, test, &person, near, choices)?;
    let answer = match (group, drawn) {
        (_, Some((asked, Ok((runner, used))))) => {
            let runners = vec![runner; asked.runners.max(1) as usize];
            let unmatched = if used.not_matched.is_empty() {
                String::new()
            } else {
                format!("; it does not say \"{}\"", used.not_matched.join("\", \""))
            };
            let basis = format!(
                "{}: {}, mean {} and SD {} {} (n {}); {} ({}){unmatched}",
                used.title,
                used.group,
                super::words::digits(used.mean, 1),
                super::words::digits(used.sd, 1),
                used.unit,
                used.n.map_or("not stated".to_owned(), |n| n.to_string()),
                used.source,
                used.confidence
            );
            predicted(&runners, 0, rungs, test, basis, Some(used))?
        }
        (_, Some((_, Err(why)))) => Answer::CannotBePredicted { why },
        (Group::Roster(roster), None) => {
            // On a form run to the cues of another test, results scatter as they do on that one.
            let own = error_test(roster, catalogue, test);
            let scatter = super::noise(facts, own, &person, near, choices)?;
            match predictions_of(roster, catalogue, test, rungs, &scatter)? {
                Err(why) => Answer::CannotBePredicted { why },
                Ok(early) => {
                    let runners: Vec<Runner> = early.runners.iter().flatten().copied().collect();
                    let left_out = early.runners.len() - runners.len();
                    let basis = format!("{}; {}", early.basis, scatter.basis);
                    predicted(&runners, left_out, rungs, test, basis, None)?
                }
            }
        }
        (Group::Population(_), None) => Answer::CannotBePredicted {
            why: "no population was given".to_owned(),
        },
    };
    let detectable = detectable(test, facts.scale(test.id()), rungs, near, &noise)?;
    Ok(Forecast {
        test: test.id().to_owned(),
        name: test.name().to_owned(),
        definition: test.status().as_str(),
        maximal: test.definition().maximal,
        easier_same_cues: easier_form(catalogue, test).is_some(),
        easier: easier(catalogue, test),
        no_detectable: detectable.is_none().then(|| noise.basis.clone()),
        detectable,
        answer,
    })
}

/// The easier version on the same cues, or the one the definition names.
fn easier(catalogue: &Catalogue, test: &Test) -> Option<String> {
    if !test.definition().maximal {
        return None;
    }
    let named = || test.definition().easier.clone();
    easier_form(catalogue, test)
        .map(|(form, _)| form.id().to_owned())
        .or_else(named)
}

/// The person for whom an error is chosen: the common sex, if there is one, and the middle age.
fn typical_person(group: &Group) -> Person {
    match group {
        Group::Population(asked) => Person {
            sex: Some(asked.sex),
            age_years: Some(asked.age),
            ..Person::default()
        },
        Group::Roster(roster) => {
            let all = &roster.athletes;
            let first = all.first().and_then(|a| a.sex);
            let sex: Option<Sex> = first.filter(|s| all.iter().all(|a| a.sex == Some(*s)));
            let mut ages: Vec<f64> = all.iter().filter_map(|a| a.age).collect();
            ages.sort_by(f64::total_cmp);
            Person {
                sex,
                age_years: ages.get(ages.len() / 2).copied(),
                ..Person::default()
            }
        }
    }
}

fn predicted(
    runners: &[Runner],
    left_out: usize,
    rungs: &Rungs,
    test: &Test,
    basis: String,
    population: Option<PopulationUsed>,
) -> Result<Answer, PlanningError> {
    let all = rungs.bouts();
    let chances: Vec<Vec<f64>> = runners.iter().map(|r| stops(r, rungs)).collect();
    let n = runners.len();
    let early_bouts = rungs.bouts_by(EARLY_S);
    // On a form no longer than two minutes nobody can be out of it early and late.
    let early = count_of(&within(&chances, early_bouts.min(all)))?;
    let ends: Vec<f64> = chances.iter().filter_map(|c| c.last().copied()).collect();
    let ends = count_of(&ends)?;
    let last = last_stop(&chances);
    let last_stop_s: f64 = last
        .iter()
        .enumerate()
        .map(|(done, p)| p * rungs.out_by(done))
        .sum();
    let mut below = 0.0;
    let late = last.iter().position(|p| {
        below += p;
        below >= 0.9 - 1e-12
    });
    let last_stop_90_s = rungs.out_by(late.unwrap_or(all));
    let stops = (0..all)
        .map(|done| {
            let expected = chances.iter().filter_map(|c| c.get(done)).sum();
            (rungs.out_by(done), expected)
        })
        .collect();
    let (share_early, share_end) = (early.mean / n as f64, ends.mean / n as f64);
    let maximal = test.definition().maximal;
    let mut words = vec![sentence(&count_words(
        &early,
        "out in the first two minutes",
    ))];
    words.push(sentence(&count_words(&ends, "to reach the end")));
    words.push(if maximal {
        format!(
        "In one wave the last stop is expected at {}, and by {} in nine waves of ten; the whole test \
         lasts {}.",
        minutes(last_stop_s),
        minutes(last_stop_90_s),
        minutes(rungs.time(all))
    )
    } else {
        format!("It lasts {} and is not run to the limit.", minutes(rungs.time(all)))
    });
    if left_out > 0 {
        words.push(format!(
            "{left_out} of the roster {}: no result counts.",
            if left_out == 1 {
                "is left out"
            } else {
                "are left out"
            }
        ));
    }
    let mut against = Vec::new();
    if share_early > MANY_EARLY {
        against.push(format!(
            "the start is fast for this group: {:.0} % are out before it tells much",
            100.0 * share_early
        ));
    }
    if maximal && share_end > MANY_AT_END {
        against.push(format!(
            "it is short for this group: {:.0} % reach the end, whose results say only \"at least\"",
            100.0 * share_end
        ));
    }
    Ok(Answer::Predicted(Box::new(Predicted {
        runners: n,
        left_out,
        out_early: early.mean,
        share_out_early: share_early,
        at_end: ends.mean,
        share_at_end: share_end,
        last_stop_s,
        last_stop_90_s,
        test_s: rungs.time(all),
        stops,
        words,
        against,
        basis,
        population,
    })))
}

fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string());
    format!("{}{}.", first.unwrap_or_default(), letters.as_str())
}
