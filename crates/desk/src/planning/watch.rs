//! Whom to watch: each running lane's chance of stopping in the next bout, from predictions and misses.
//! Information for the eye; it changes no outcome and stops nobody.

use std::collections::BTreeMap;

use plimsoll_interpret::Catalogue as Facts;
use plimsoll_judge::{LaneState, LaneStatus, WaveState};
use plimsoll_ladder::{Catalogue, Test};
use plimsoll_measure::planning::{Rungs, Runner, hazard, hazard_with_misses};
use serde::Serialize;

use super::early::{error_test, predictions_of, usable};
use super::ladder::rungs;
use super::{PlanningError, Roster, noise};
use crate::meaning::Choices;

/// Each miss that counts multiplies the odds of a stop by this. Common practice, no source.
const ODDS_OF_A_MISS: f64 = 4.0;
/// Below this a prediction is not trusted once there is a miss. Common practice, no source.
const LEAST_WITH_A_MISS: f64 = 0.02;
/// This many bouts around the expected end count as near it.
const NEAR: u32 = 2;

/// What is expected of the people of a wave.
#[derive(Debug, Clone, PartialEq)]
pub struct Predictions {
    /// The ladder.
    pub rungs: Rungs,
    /// The next result of people by id.
    pub runners: BTreeMap<String, Runner>,
    /// Where they come from, or why there are none.
    pub basis: String,
}

/// One lane to watch.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Watched {
    /// The lane.
    pub lane: u16,
    /// The name called.
    pub name: String,
    /// Chance of stopping in the next bout, 0 to 1; nothing where nothing is known.
    pub probability: Option<f64>,
    /// Why, in words without the earlier result.
    pub why: String,
}

/// Returns what a roster's earlier results say of their run of a test.
///
/// # Errors
///
/// [`PlanningError`] when the test is not paced or a number cannot be used.
pub fn predictions(
    catalogue: &Catalogue,
    facts: &Facts,
    test: &Test,
    roster: &Roster,
    choices: &Choices,
) -> Result<Predictions, PlanningError> {
    let rungs = rungs(test).ok_or_else(|| PlanningError::NotPaced {
        test: test.id().to_owned(),
    })?;
    let person = plimsoll_interpret::Person::default();
    let near = usable(roster, catalogue, test).middle();
    let noise = noise(
        facts,
        error_test(roster, catalogue, test),
        &person,
        near,
        choices,
    )?;
    let (runners, basis) = match predictions_of(roster, catalogue, test, &rungs, &noise)? {
        Err(why) => (BTreeMap::new(), format!("no predictions: {why}")),
        Ok(early) => {
            let pairs = roster.athletes.iter().zip(&early.runners);
            let known = pairs.filter_map(|(a, r)| Some((a.key().to_owned(), (*r)?)));
            (known.collect(), early.basis)
        }
    };
    Ok(Predictions {
        rungs,
        runners,
        basis,
    })
}

/// Returns the running lanes with their chance of stopping in the bout after `bout`, given that they
/// are still running; most likely first, those of whom nothing is known last, then by lane.
pub fn watch(state: &WaveState, predictions: &Predictions, bout: u32) -> Vec<Watched> {
    let running = |lane: &&LaneState| lane.status == LaneStatus::Running;
    let mut list: Vec<Watched> = state
        .lanes
        .iter()
        .filter(running)
        .filter_map(|lane| watched(lane, predictions, bout))
        .collect();
    list.sort_by(|a, b| {
        let (p, q) = (a.probability.unwrap_or(-1.0), b.probability.unwrap_or(-1.0));
        q.total_cmp(&p).then(a.lane.cmp(&b.lane))
    });
    list
}

fn watched(lane: &LaneState, predictions: &Predictions, bout: u32) -> Option<Watched> {
    let plan = &lane.plan;
    // Who runs a shorter form has no next bout after its end, and nobody has one after the ladder's.
    let ends = plan.ends_at.unwrap_or(u32::MAX);
    if bout >= ends || bout as usize >= predictions.rungs.bouts() {
        return None;
    }
    let misses = lane.warning.count;
    let mut why = Vec::new();
    let runner = predictions.runners.get(&plan.person);
    let expected = runner.and_then(|r| hazard(r, &predictions.rungs, bout as usize));
    if let Some(runner) = runner {
        let end = predictions.rungs.bouts_at(runner.mean().exp()) as u32;
        if bout > end + NEAR {
            why.push("beyond what was expected".to_owned());
        } else if bout + NEAR >= end {
            why.push("near the expected end".to_owned());
        } else {
            why.push("well before the expected end".to_owned());
        }
    } else {
        why.push("no earlier result to go by".to_owned());
    }
    let limit = lane.warning.limit;
    if misses > 0 {
        let count = if misses == 1 {
            "one miss counts".to_owned()
        } else {
            format!("{misses} misses count")
        };
        why.push(match limit.saturating_sub(misses) {
            _ if limit == 0 => count,
            1 => format!("{count}, the next ends the run"),
            left => format!("{count}, {left} more end the run"),
        });
    }
    let probability = if lane.warning.over {
        why = vec!["the miss rule says that the run is over".to_owned()];
        Some(1.0)
    } else {
        expected.and_then(|p| hazard_with_misses(p, misses, ODDS_OF_A_MISS, LEAST_WITH_A_MISS).ok())
    };
    Some(Watched {
        lane: plan.lane,
        name: plan.name.clone(),
        probability,
        why: why.join("; "),
    })
}
