//! What a wave gives to the archive: a result per runner with covariates, readings and deviations.
//! Must give nothing for who is open, void or did not start.

use std::collections::BTreeMap;

use jiff::civil::Time;
use plimsoll_archive::{Covariates, Familiarity, PersonId, ResultFacts, RpeScale, WaveOutcome};
use plimsoll_judge::{LaneState, ReadingKind, Settlement, WaveState};

use super::papers::Arrival;

/// A heart rate counts as the one at 60 or 120 s when it was read this close to it, s.
/// Common practice, no source.
const NEAR_S: u32 = 10;

/// What is known around a wave.
#[derive(Debug, Clone, Default)]
pub struct Around {
    /// What people said on arrival, by person id.
    pub arrivals: BTreeMap<String, Arrival>,
    /// Local time of the first start signal.
    pub start: Option<Time>,
    /// Which result of this test it is for a person in the archive, from 1.
    pub trial: BTreeMap<String, u32>,
}

/// Returns what a wave comes to for each of its runners.
///
/// A runner whose id is not one of the archive's is left out; so that nobody is lost, the plan
/// takes none.
pub fn outcomes(state: &WaveState, around: &Around) -> Vec<WaveOutcome> {
    let started = state.read_back().started;
    let results = state.results();
    results
        .iter()
        .zip(&state.lanes)
        .filter_map(|(result, lane)| {
            let person: PersonId = result.person.parse().ok()?;
            let facts = match &result.settlement {
                Settlement::Outcome(outcome) => {
                    let mut facts = ResultFacts::of(outcome.clone());
                    facts.bib = lane.plan.bib.clone();
                    facts.trial_number = around.trial.get(&result.person).copied();
                    facts.covariates = covariates(around, &result.person, started);
                    facts.deviation =
                        (!result.deviations.is_empty()).then(|| result.deviations.join("; "));
                    read(&mut facts, lane);
                    Some(facts)
                }
                Settlement::NotStarted | Settlement::Void | Settlement::Open(_) => None,
            };
            Some(WaveOutcome { person, facts })
        })
        .collect()
}

fn covariates(around: &Around, person: &str, started: u32) -> Covariates {
    let mut known = Covariates {
        time_of_day: around.start,
        wave_size: (started > 0).then_some(started),
        ..Covariates::default()
    };
    if let Some(arrival) = around.arrivals.get(person) {
        known.sleep_h = arrival.sleep_h;
        known.hours_since_meal = arrival.hours_since_meal;
        known.caffeine = arrival.caffeine;
        known.footwear = match (&arrival.footwear, arrival.usual_footwear) {
            (Some(shoes), _) => Some(shoes.clone()),
            (None, Some(true)) => Some("usual".to_owned()),
            (None, Some(false)) => Some("not the usual ones".to_owned()),
            (None, None) => None,
        };
        known.familiarity = arrival.ran_before.map(|before| {
            if before {
                Familiarity::Familiar
            } else {
                Familiarity::FirstTime
            }
        });
    }
    known
}

fn read(facts: &mut ResultFacts, lane: &LaneState) {
    for reading in &lane.readings {
        match reading.what {
            ReadingKind::HeartRate => {
                let near = |s: u32| reading.after_s.abs_diff(s) <= NEAR_S;
                if near(0) {
                    facts.peak_hr_bpm = Some(reading.value);
                } else if near(60) {
                    facts.hr_60s_bpm = Some(reading.value);
                } else if near(120) {
                    facts.hr_120s_bpm = Some(reading.value);
                }
            }
            ReadingKind::Exertion => {
                facts.rpe = Some(f64::from(reading.value) / 10.0);
                facts.rpe_scale = Some(RpeScale::ZeroToTen);
                facts.rpe_minutes_after = Some(f64::from(reading.after_s) / 60.0);
            }
        }
    }
}
