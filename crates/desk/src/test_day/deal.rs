//! A first plan from a roster: waves of similar runners, lanes dealt so that stops spread over assessors.
//! A proposal. Runners of a wave are dealt like cards in order of what is expected of them, so that
//! those who may stop together are watched by different people. Common practice, no source.

use plimsoll_judge::PlannedAssessor;

use super::plan::{Plan, PlannedRunner, PlannedWave};

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
/// arguments, whatever their order.
pub fn deal(test: &str, runners: &[Expected], lanes: u16, assessors: u16) -> Plan {
    let (lanes, assessors) = (usize::from(lanes.max(1)), usize::from(assessors.max(1)));
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
        .map(|(group, number)| wave(group, number, assessors))
        .collect();
    Plan {
        format: 1,
        test: test.to_owned(),
        waves,
    }
}

fn wave(group: &[&Expected], number: u32, assessors: usize) -> PlannedWave {
    let hands = assessors.min(group.len()).max(1);
    // Dealt to and fro, so that no hand gets the stronger one of every pair.
    let mut blocks: Vec<Vec<&Expected>> = vec![Vec::new(); hands];
    for (at, runner) in group.iter().enumerate() {
        let (round, seat) = (at / hands, at % hands);
        let seat = if round % 2 == 0 {
            seat
        } else {
            hands - 1 - seat
        };
        blocks[seat].push(runner);
    }
    let mut runners = Vec::new();
    let mut watching = Vec::new();
    let mut lane = 0;
    for (block, n) in blocks.iter().zip(1..) {
        let first = lane + 1;
        for runner in block {
            lane += 1;
            runners.push(PlannedRunner {
                lane,
                person: runner.person.clone(),
                bib: runner.bib.clone(),
            });
        }
        watching.push(PlannedAssessor {
            name: format!("Assessor {n}"),
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
