//! A day's waves dealt by what is predicted of its people, and what a plan means for who watches.
//! A proposal: must hold for a plan changed by hand too, and say of whom nothing is known.

use jiff::civil::Date;
use plimsoll_archive::Archive;
use plimsoll_measure::planning::{Runner, alone, stops, together};

use super::lanes::expected_of;
use super::{Dealt, PlanningError, Predictions, Roster, archive_roster, deal_with};
use crate::test_day::{Expected, Plan, PlannedWave};

/// Half width of a 90 % interval in standard deviations.
const Z90: f64 = 1.644_853_626_951_472_2;

/// Bouts expected of a runner.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ExpectedBouts {
    /// In the middle.
    pub middle: u32,
    /// Lower end of the interval that holds the next result with 90 %.
    pub low: u32,
    /// Upper end.
    pub high: u32,
}

/// What a plan means for one assessor.
#[derive(Debug, Clone, PartialEq)]
pub struct AssessorLook {
    /// Who.
    pub name: String,
    /// Bouts after which own runners are expected to stop, fewest first; those of whom something is known.
    pub stops: Vec<u32>,
    /// Own runners of whom nothing is known.
    pub unknown: usize,
    /// Expected pairs of own stops within a bout of each other.
    pub together: f64,
}

/// What a plan means for one wave.
#[derive(Debug, Clone, PartialEq)]
pub struct WaveLook {
    /// The wave's number.
    pub number: u32,
    /// Expected bouts with a single runner.
    pub alone: f64,
    /// Each assessor.
    pub assessors: Vec<AssessorLook>,
}

impl Predictions {
    /// Returns the bouts expected of a person; nothing where nothing is known.
    pub fn bouts_of(&self, person: &str) -> Option<ExpectedBouts> {
        let runner = self.runners.get(person)?;
        let at = |z: f64| self.rungs.bouts_at((runner.mean() + z * runner.sd()).exp()) as u32;
        Some(ExpectedBouts {
            middle: at(0.0),
            low: at(-Z90),
            high: at(Z90),
        })
    }
}

/// Returns who is to run on a day with the results before it, and whoever else has run the test: they
/// say how far a squad differs.
///
/// # Errors
///
/// [`PlanningError`] when the archive refuses or holds nobody.
pub fn day_roster(
    archive: &Archive,
    on: Date,
    people: &[String],
    test: &str,
) -> Result<Roster, PlanningError> {
    // The day's own results are what is being run: only those before it count.
    let mut roster = archive_roster(archive, None, on.yesterday().unwrap_or(on))?;
    roster.athletes.retain(|a| {
        people.iter().any(|person| person == a.key()) || a.earlier.iter().any(|e| e.test == test)
    });
    Ok(roster)
}

/// Returns a plan by what is predicted of the runners; who has no prediction goes by the last bouts.
///
/// # Errors
///
/// [`PlanningError`] when there are too many runners.
pub fn deal_by(
    test: &str,
    runners: &[Expected],
    known: &Predictions,
    lanes: u16,
    assessors: u16,
) -> Result<Dealt, PlanningError> {
    let of = |e: &Expected| known.runners.get(&e.person).copied();
    deal_with(test, runners, &of, &known.rungs, lanes, assessors)
}

/// Returns what a plan means for its assessors and its last runners.
pub fn look(plan: &Plan, known: &Predictions) -> Vec<WaveLook> {
    let people = || plan.waves.iter().flat_map(|w| &w.runners);
    let mut bouts: Vec<u32> = people()
        .filter_map(|r| Some(known.bouts_of(&r.person)?.middle))
        .collect();
    bouts.sort_unstable();
    let middle = bouts.get(bouts.len() / 2).copied();
    let middle = middle.unwrap_or((known.rungs.bouts() / 2) as u32);
    plan.waves
        .iter()
        .map(|wave| wave_look(wave, known, middle))
        .collect()
}

fn wave_look(wave: &PlannedWave, known: &Predictions, middle: u32) -> WaveLook {
    let runner_of = |person: &str| -> Option<Runner> {
        let own = known.runners.get(person).copied();
        own.or_else(|| expected_of(None, middle, &known.rungs))
    };
    let chances = |person: &str| runner_of(person).map(|r| stops(&r, &known.rungs));
    let all: Vec<Vec<f64>> = wave
        .runners
        .iter()
        .filter_map(|r| chances(&r.person))
        .collect();
    let assessors = wave
        .assessors
        .iter()
        .map(|assessor| {
            let own = || {
                wave.runners
                    .iter()
                    .filter(|r| assessor.lanes.contains(&r.lane))
            };
            let mut expected: Vec<u32> = own()
                .filter_map(|r| Some(known.bouts_of(&r.person)?.middle))
                .collect();
            expected.sort_unstable();
            let chances: Vec<Vec<f64>> = own().filter_map(|r| chances(&r.person)).collect();
            AssessorLook {
                name: assessor.name.clone(),
                unknown: own().count() - expected.len(),
                stops: expected,
                together: pairs(&chances),
            }
        })
        .collect();
    WaveLook {
        number: wave.number,
        alone: alone(&all),
        assessors,
    }
}

fn pairs(chances: &[Vec<f64>]) -> f64 {
    let each = chances.iter().enumerate();
    each.flat_map(|(i, a)| chances.iter().skip(i + 1).map(|b| together(a, b)))
        .sum()
}
