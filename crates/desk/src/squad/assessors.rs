//! Assessors who judged the same lane of a wave: how far they agree, and how strict each is.
//! Must say nothing where nobody judged the same lane. Formulas: `measure::squad::{kappa, severity}`.

use std::collections::{BTreeMap, BTreeSet};

use plimsoll_judge::{DeviceId, Fold, LaneState, Role, WaveState};
use plimsoll_measure::squad::{KappaWeights, Rating, SpreadRule, kappa, severity};
use serde::Serialize;

use super::gather::{Logged, Squad};
use super::{Part, assessors_words};

/// Confidence of the intervals.
const LEVEL: f64 = 0.90;
const Z90: f64 = 1.645;
/// Most cues of one analysis, for time.
const MOST_CUES: usize = 8_000;

/// Stops that both recorded.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StopsOf {
    /// Lanes on which both recorded a stop.
    pub both: usize,
    /// Of these, with the same bouts completed.
    pub same: usize,
}

/// Two assessors.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AgreementOf {
    /// One.
    pub first: String,
    /// The other.
    pub second: String,
    /// Lanes both judged.
    pub lanes: usize,
    /// Cues both judged.
    pub cues: usize,
    /// Cohen's kappa on misses; nothing when no call differs from another.
    pub kappa: Option<f64>,
    /// Lower end of its 90 % interval; nothing when all agree.
    pub low90: Option<f64>,
    /// Upper end.
    pub high90: Option<f64>,
    /// Share of cues on which they agree.
    pub agreed: f64,
    /// Cues at which either called a miss.
    pub called: usize,
    /// Stops.
    pub stops: StopsOf,
}

/// How readily one assessor calls a miss.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SeverityOf {
    /// The assessor.
    pub assessor: String,
    /// Cues judged on shared lanes.
    pub cues: usize,
    /// Odds of a call against the middle assessor, shrunk.
    pub odds: f64,
    /// Lower end of the 90 % interval.
    pub low90: f64,
    /// Upper end.
    pub high90: f64,
    /// How far the calls have told: 0 nothing, 1 everything.
    pub weight_of_data: f64,
    /// Whether it is more prior than data.
    pub mostly_prior: bool,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Assessors {
    /// Lanes that two or more judged.
    pub shared_lanes: usize,
    /// Each pair.
    pub pairs: Vec<AgreementOf>,
    /// Each assessor; empty where the calls do not differ.
    pub severity: Vec<SeverityOf>,
}

/// A lane that several devices judged: their misses by cue, and their stops.
struct Shared {
    cues: usize,
    /// By device: the cues at which a miss was called.
    calls: BTreeMap<DeviceId, BTreeSet<usize>>,
    stops: BTreeMap<DeviceId, u32>,
}

pub(super) const SETTLE: &str = "Give two assessors one shared lane in each wave: both judge it on their own phones, without \
    looking at each other, and change partners from wave to wave.";
const BASIS: &str = "calls in the log of the day's waves";

pub(super) fn answer(squad: &Squad<'_>, waves: &[Logged]) -> Part<Assessors> {
    let refused = |why: &str| Part::refused(why.to_owned(), BASIS, SETTLE);
    if waves.iter().all(|w| w.events.is_empty()) {
        return refused(
            "Only a sheet is kept of this day; it does not say who judged which lane, so nothing can be said of the \
             assessors.",
        );
    }
    let Some(fold) = Fold::new(squad.test) else {
        return refused("This test has no cues at which runners are judged.");
    };
    let names = names(waves);
    let mut shared: Vec<Shared> = Vec::new();
    for logged in waves {
        let state = fold.state(&logged.events);
        shared.extend(shared_lanes(&state, &fold, &names));
    }
    if shared.is_empty() {
        return refused(
            "Nobody judged the same lane as another assessor on this day, so nothing can be said of how far they \
             agree or who is stricter.",
        );
    }
    let pairs = pairs(&shared, &names);
    let severity = severities(&shared, &names);
    assessors_words::part(shared.len(), pairs, severity)
}

/// Names of the devices of assessors and lead: the person's where one is given.
fn names(waves: &[Logged]) -> BTreeMap<DeviceId, String> {
    let mut found: BTreeMap<DeviceId, String> = BTreeMap::new();
    for event in waves.iter().flat_map(|w| &w.events) {
        if event.role == Role::Medic {
            continue;
        }
        let name = event.by.clone().filter(|by| !by.trim().is_empty());
        match (found.get(&event.device), name) {
            (_, Some(name)) => found.insert(event.device.clone(), name),
            (None, None) => found.insert(event.device.clone(), event.device.0.clone()),
            (Some(_), None) => None,
        };
    }
    let all: Vec<String> = found.values().cloned().collect();
    for (device, name) in &mut found {
        if all.iter().filter(|other| *other == name).count() > 1 {
            *name = format!("{name} ({})", device.0);
        }
    }
    found
}

fn shared_lanes(state: &WaveState, fold: &Fold, names: &BTreeMap<DeviceId, String>) -> Vec<Shared> {
    let judges = |lane: &LaneState| -> BTreeSet<DeviceId> {
        lane.trail
            .iter()
            .filter(|(_, device, word)| {
                matches!(
                    *word,
                    "miss" | "reached" | "stop" | "early_start" | "short_turn"
                ) && names.contains_key(device)
            })
            .map(|(_, device, _)| device.clone())
            .collect()
    };
    state
        .lanes
        .iter()
        .filter_map(|lane| {
            let judges = judges(lane);
            (judges.len() > 1).then(|| one(lane, judges, fold))
        })
        .collect()
}

/// The cues of a lane from its first bout to its stop, and who called what.
fn one(lane: &LaneState, judges: BTreeSet<DeviceId>, fold: &Fold) -> Shared {
    let all = fold.index().cues();
    let until = lane.stop.as_ref().and_then(|s| s.cue_ms);
    let ran: Vec<(u32, u32)> = all
        .iter()
        .filter(|cue| cue.bout >= lane.plan.from_bout)
        .filter(|cue| until.is_none_or(|until| cue.at_ns / 1_000_000 <= until))
        .map(|cue| (cue.bout, cue.cue))
        .collect();
    let mut calls: BTreeMap<DeviceId, BTreeSet<usize>> =
        judges.into_iter().map(|d| (d, BTreeSet::new())).collect();
    for miss in &lane.misses {
        let at = miss.bout.zip(miss.cue);
        let Some(place) = at.and_then(|at| ran.iter().position(|cue| *cue == at)) else {
            continue;
        };
        for call in miss.calls.iter().filter(|call| call.says_so) {
            if let Some(own) = calls.get_mut(&call.device) {
                own.insert(place);
            }
        }
    }
    let stops = lane.stop.iter().flat_map(|stop| &stop.calls);
    Shared {
        cues: ran.len(),
        stops: stops
            .filter_map(|call| Some((call.device.clone(), call.completed?)))
            .collect(),
        calls,
    }
}

fn pairs(shared: &[Shared], names: &BTreeMap<DeviceId, String>) -> Vec<AgreementOf> {
    let devices: BTreeSet<&DeviceId> = shared.iter().flat_map(|s| s.calls.keys()).collect();
    let devices: Vec<&DeviceId> = devices.into_iter().collect();
    let mut found = Vec::new();
    for (at, first) in devices.iter().enumerate() {
        for second in &devices[at + 1..] {
            found.extend(pair(shared, first, second, names));
        }
    }
    found
}

fn pair(
    shared: &[Shared],
    first: &DeviceId,
    second: &DeviceId,
    names: &BTreeMap<DeviceId, String>,
) -> Option<AgreementOf> {
    let (mut one, mut two) = (Vec::new(), Vec::new());
    let mut lanes = 0;
    let mut stops = StopsOf { both: 0, same: 0 };
    for lane in shared {
        let (Some(a), Some(b)) = (lane.calls.get(first), lane.calls.get(second)) else {
            continue;
        };
        lanes += 1;
        for cue in 0..lane.cues {
            one.push(usize::from(a.contains(&cue)));
            two.push(usize::from(b.contains(&cue)));
        }
        if let (Some(a), Some(b)) = (lane.stops.get(first), lane.stops.get(second)) {
            stops.both += 1;
            stops.same += usize::from(a == b);
        }
    }
    (lanes > 0).then(|| {
        let found = kappa(&one, &two, 2, KappaWeights::Same, LEVEL).ok();
        let interval = found.as_ref().and_then(|k| k.interval);
        let same = one.iter().zip(&two).filter(|(a, b)| a == b).count();
        let name = |device: &DeviceId| names.get(device).cloned().unwrap_or_default();
        AgreementOf {
            first: name(first),
            second: name(second),
            lanes,
            cues: one.len(),
            kappa: found.map(|k| k.value),
            low90: interval.map(|i| i.lower),
            high90: interval.map(|i| i.upper),
            agreed: same as f64 / one.len().max(1) as f64,
            called: one.iter().zip(&two).filter(|(a, b)| **a + **b > 0).count(),
            stops,
        }
    })
}

fn severities(shared: &[Shared], names: &BTreeMap<DeviceId, String>) -> Vec<SeverityOf> {
    let devices: Vec<&DeviceId> = names.keys().collect();
    let mut ratings = Vec::new();
    let mut event = 0;
    for lane in shared {
        for cue in 0..lane.cues {
            for (device, calls) in &lane.calls {
                let place = devices.iter().position(|d| *d == device).unwrap_or(0);
                ratings.push(Rating {
                    assessor: place as u64,
                    event,
                    called: calls.contains(&cue),
                });
            }
            event += 1;
        }
    }
    if ratings.len() > MOST_CUES {
        return Vec::new();
    }
    let Ok(report) = severity(&ratings, SpreadRule::Cautious) else {
        return Vec::new();
    };
    report
        .assessors
        .iter()
        .map(|one| SeverityOf {
            assessor: usize::try_from(one.assessor)
                .ok()
                .and_then(|at| devices.get(at))
                .and_then(|device| names.get(*device).cloned())
                .unwrap_or_default(),
            cues: one.ratings,
            odds: one.value.exp(),
            low90: (one.value - Z90 * one.se).exp(),
            high90: (one.value + Z90 * one.se).exp(),
            weight_of_data: one.weight_of_data,
            mostly_prior: one.mostly_prior,
        })
        .collect()
}
