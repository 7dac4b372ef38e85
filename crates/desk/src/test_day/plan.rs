//! The plan of a day: waves, lanes, assessors. A paper of the day, kept as JSON with `format` 1.

use std::collections::BTreeSet;

use plimsoll_judge::PlannedAssessor;
use serde::{Deserialize, Serialize};

/// Lanes in a wave; as in the format of events.
const MAX_LANE: u16 = 200;

/// The plan of a day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Plan {
    /// Version of this form: 1.
    pub format: u16,
    /// Id of the test definition.
    pub test: String,
    /// The waves in order.
    pub waves: Vec<PlannedWave>,
}

/// One wave of a plan.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlannedWave {
    /// Its number, from 1.
    pub number: u32,
    /// What it is called.
    pub name: String,
    /// Local time of the start, `HH:MM`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub start: Option<String>,
    /// The runners.
    pub runners: Vec<PlannedRunner>,
    /// The assessors, each with the lanes in the order in which they are seen.
    pub assessors: Vec<PlannedAssessor>,
}

/// One runner of a plan.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlannedRunner {
    /// The lane, from 1.
    pub lane: u16,
    /// The person's id.
    pub person: String,
    /// The bib.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bib: Option<String>,
}

/// A plan that does not hold together.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PlanFault {
    /// A number is used twice.
    #[error("the plan has wave {found} twice; give each wave its own number")]
    WaveTwice {
        /// The number.
        found: u32,
    },
    /// A lane is used twice or out of range.
    #[error(
        "wave {wave}: lane {lane} is used twice or is not within 1 to 200; give each runner a lane \
         of their own"
    )]
    Lane {
        /// The wave.
        wave: u32,
        /// The lane.
        lane: u16,
    },
    /// A person runs twice.
    #[error("person {person} is in wave {first} and again in wave {second}; take them out of one")]
    PersonTwice {
        /// The person's id.
        person: String,
        /// The first wave.
        first: u32,
        /// The other.
        second: u32,
    },
    /// Nobody watches a lane.
    #[error("wave {wave}: nobody watches lane {lane}; give it to an assessor")]
    Unwatched {
        /// The wave.
        wave: u32,
        /// The lane.
        lane: u16,
    },
    /// An assessor watches a lane without a runner.
    #[error(
        "wave {wave}: assessor {assessor} watches lane {lane}, in which nobody runs; take it out or \
         put a runner there"
    )]
    Empty {
        /// The wave.
        wave: u32,
        /// The assessor.
        assessor: String,
        /// The lane.
        lane: u16,
    },
}

impl Plan {
    /// Returns every fault of the plan; none when it holds together.
    pub fn faults(&self) -> Vec<PlanFault> {
        let mut faults = Vec::new();
        let mut numbers = BTreeSet::new();
        let mut people: std::collections::BTreeMap<&str, u32> = std::collections::BTreeMap::new();
        for wave in &self.waves {
            if !numbers.insert(wave.number) {
                faults.push(PlanFault::WaveTwice { found: wave.number });
            }
            let mut lanes = BTreeSet::new();
            for runner in &wave.runners {
                if !(1..=MAX_LANE).contains(&runner.lane) || !lanes.insert(runner.lane) {
                    faults.push(PlanFault::Lane {
                        wave: wave.number,
                        lane: runner.lane,
                    });
                }
                if let Some(first) = people.insert(&runner.person, wave.number) {
                    faults.push(PlanFault::PersonTwice {
                        person: runner.person.clone(),
                        first,
                        second: wave.number,
                    });
                }
            }
            let watched: BTreeSet<u16> = wave
                .assessors
                .iter()
                .flat_map(|a| a.lanes.iter().copied())
                .collect();
            faults.extend(lanes.difference(&watched).map(|lane| PlanFault::Unwatched {
                wave: wave.number,
                lane: *lane,
            }));
            for assessor in &wave.assessors {
                for lane in assessor.lanes.iter().filter(|lane| !lanes.contains(lane)) {
                    faults.push(PlanFault::Empty {
                        wave: wave.number,
                        assessor: assessor.name.clone(),
                        lane: *lane,
                    });
                }
            }
        }
        faults
    }

    /// Returns the wave with a number.
    pub fn wave(&self, number: u32) -> Option<&PlannedWave> {
        self.waves.iter().find(|wave| wave.number == number)
    }
}
