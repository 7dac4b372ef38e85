//! A first plan from a roster: waves of similar runners, lanes dealt so that stops spread over assessors.
//! A proposal. Dealt like cards in order of what is expected, then improved by exchanging runners;
//! must depend on nothing but the roster. Method: docs/methods/planning.md.

use plimsoll_judge::PlannedAssessor;
use plimsoll_measure::planning::Rungs;

use super::plan::{Plan, PlannedRunner, PlannedWave};
use crate::planning::deal_with;

/// Bouts added to the most that anybody is expected to complete, where no ladder is at hand.
const BEYOND: u32 = 20;

/// What is expected of a runner.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Expected {
    /// The person's id.
    pub person: String,
    /// The bib.
    pub bib: Option<String>,
    /// Bouts of the last comparable result; nothing for a newcomer.
    pub bouts: Option<u32>,
}

/// Returns a plan for the runners with at most `lanes` in a wave and `assessors` on the line.
///
/// Newcomers are placed in the middle of what is known. The result depends on nothing but the
/// arguments, whatever their order. Bouts are taken as equally long; with a ladder at hand
/// `planning::deal_with` knows better.
pub fn deal(test: &str, runners: &[Expected], lanes: u16, assessors: u16) -> Plan {
    let most = runners.iter().filter_map(|r| r.bouts).max().unwrap_or(0);
    let bouts: Vec<f64> = (1..=most.min(1_000) + BEYOND).map(f64::from).collect();
    let improved = Rungs::new(bouts.clone(), bouts)
        .ok()
        .and_then(|rungs| deal_with(test, runners, &|_| None, &rungs, lanes, assessors).ok());
    improved.map_or_else(|| first_deal(test, runners, lanes, assessors), |d| d.plan)
}

/// The deal before anything is improved.
fn first_deal(test: &str, runners: &[Expected], lanes: u16, assessors: u16) -> Plan {
    let (lanes, hands) = (usize::from(lanes.max(1)), usize::from(assessors.max(1)));
    let mut known: Vec<u32> = runners.iter().filter_map(|r| r.bouts).collect();
    known.sort_unstable();
    let middle = known.get(known.len() / 2).copied().unwrap_or(0);
    let mut ordered: Vec<&Expected> = runners.iter().collect();
    ordered.sort_by_key(|r| (r.bouts.unwrap_or(middle), &r.person));
    let waves = ordered.len().div_ceil(lanes).max(1);
    let size = ordered.len().div_ceil(waves).max(1);
    let waves = ordered
        .chunks(size)
        .zip(1..)
        .map(|(group, number)| dealt_wave(group, &first_blocks(group.len(), hands), number))
        .collect();
    Plan {
        format: 1,
        test: test.to_owned(),
        waves,
    }
}

/// Returns the block of each runner of a wave, weakest first: dealt to and fro, so that no hand
/// gets the stronger one of every pair.
pub fn first_blocks(runners: usize, hands: usize) -> Vec<usize> {
    let hands = hands.min(runners).max(1);
    (0..runners)
        .map(|at| {
            let (round, seat) = (at / hands, at % hands);
            if round % 2 == 0 {
                seat
            } else {
                hands - 1 - seat
            }
        })
        .collect()
}

/// Returns a wave whose runners, weakest first, are in these blocks: a block's lanes follow one another.
pub fn dealt_wave(group: &[&Expected], block: &[usize], number: u32) -> PlannedWave {
    let hands = block.iter().max().map_or(1, |most| most + 1);
    let mut runners = Vec::new();
    let mut watching = Vec::new();
    let mut lane = 0;
    for hand in 0..hands {
        let first = lane + 1;
        let own = group.iter().zip(block).filter(|(_, of)| **of == hand);
        for (runner, _) in own {
            lane += 1;
            runners.push(PlannedRunner {
                lane,
                person: runner.person.clone(),
                bib: runner.bib.clone(),
            });
        }
        watching.push(PlannedAssessor {
            name: format!("Assessor {}", hand + 1),
            lanes: (first..=lane).collect(),
        });
    }
    PlannedWave {
        number,
        name: format!("Wave {number}"),
        start: None,
        runners,
        assessors: watching,
    }
}
