//! The fold: from a set of events, in any order, doubles and all, to the state of the wave.
//! Must not depend on the order of arrival, and must not decide what two assessors disagree about.

mod cues;
mod force;
mod misses;
mod rulings;
mod settle;
mod state;
mod stops;

use std::collections::BTreeMap;

pub use cues::{CueIndex, JudgedCue};
use plimsoll_ladder::Test;
pub use state::{
    Anchor, AssessorCall, Completed, Conflict, ConflictKind, Interruption, LaneResult, LaneState,
    LaneStatus, MissMark, MissStanding, ReadBack, Reading, Settlement, StopMark, Warning, WaveNote,
    WaveState,
};

use crate::StopReason;
use crate::event::{Event, Lane, LanePlan, Opening, ResumeChoice, What};
use crate::settings::Settings;
use rulings::Rulings;
use stops::Around;

/// Folds the events of waves of one test.
#[derive(Debug, Clone)]
pub struct Fold {
    index: CueIndex,
    settings: Settings,
}

impl Fold {
    /// Returns a fold for a paced test; nothing for an unpaced one.
    pub fn new(test: &Test) -> Option<Self> {
        Some(Self {
            index: CueIndex::of(test)?,
            settings: Settings::of(test),
        })
    }

    /// Returns the cues at which runners are judged.
    pub fn index(&self) -> &CueIndex {
        &self.index
    }

    /// Returns the state of the wave after these events, whatever their order.
    pub fn state<'a>(&self, events: impl IntoIterator<Item = &'a Event>) -> WaveState {
        let events: Vec<&Event> = events.into_iter().collect();
        let first = force::in_force(events.iter().copied(), &BTreeMap::new());
        let ruled = Rulings::of(&first.events).undos();
        let force = force::in_force(events.iter().copied(), &ruled);
        let rulings = Rulings::of(&force.events);
        let opening = force.events.iter().find_map(|e| match &e.what {
            What::Opened { plan } => Some((**plan).clone()),
            _ => None,
        });
        let settings = opening
            .as_ref()
            .map_or_else(|| self.settings.clone(), |o| o.settings.clone());
        let seen: std::collections::BTreeSet<_> = events.iter().map(|e| e.id).collect();
        let mut state = WaveState {
            anchor: anchor(&force.events),
            started: force
                .events
                .iter()
                .any(|e| matches!(e.what, What::Started { .. })),
            lanes: Vec::new(),
            conflicts: Vec::new(),
            interruptions: self.interruptions(&force.events),
            notes: notes(&force.events),
            closed: false,
            reopened: 0,
            refused: force.refused.clone(),
            events: seen.len(),
            order: events.iter().map(|e| e.order).max().unwrap_or(0),
            opening,
        };
        for event in &force.events {
            match event.what {
                What::Closed {} => state.closed = true,
                What::Reopened { .. } => {
                    state.reopened += u32::from(state.closed);
                    state.closed = false;
                }
                _ => {}
            }
        }
        let now_ms = force.events.iter().filter_map(|e| e.cue_ms).max();
        for plan in runners(state.opening.as_ref(), &force.events).into_values() {
            let lane = self.lane(plan, &force.events, &settings, &rulings, now_ms, &mut state);
            state.lanes.push(lane);
        }
        for (undo, target) in &force.disputed_undos {
            let about = events.iter().find(|e| e.id == *target);
            if let Some(lane) = about.and_then(|e| e.what.lane()) {
                let key = format!("undo:{}", undo.id);
                state.conflicts.push(Conflict {
                    lane,
                    kind: ConflictKind::Undo,
                    ruled: rulings.get(lane, &key).is_some(),
                    about: key,
                    calls: [Some(*undo), about.copied()]
                        .into_iter()
                        .flatten()
                        .map(|e| AssessorCall {
                            event: e.id,
                            device: e.device.clone(),
                            by: e.by.clone(),
                            says_so: e.id != undo.id,
                            completed: None,
                            reason: None,
                            cue_ms: e.cue_ms,
                        })
                        .collect(),
                });
            }
        }
        state
            .conflicts
            .sort_by(|a, b| (a.ruled, a.lane, &a.about).cmp(&(b.ruled, b.lane, &b.about)));
        state
    }

    fn lane(
        &self,
        plan: LanePlan,
        all: &[&Event],
        settings: &Settings,
        rulings: &Rulings,
        now_ms: Option<i64>,
        state: &mut WaveState,
    ) -> LaneState {
        let lane = plan.lane;
        let events: Vec<&Event> = all
            .iter()
            .filter(|e| e.what.lane() == Some(lane))
            .copied()
            .collect();
        let judged = misses::judge(lane, &events, &self.index, settings, rulings);
        let around = Around {
            lane,
            plan: &plan,
            events: &events,
            index: &self.index,
            settings,
            rulings,
            judged: &judged,
            now_ms,
        };
        let has = |kind: fn(&What) -> bool| {
            let n = events.iter().filter(|e| kind(&e.what)).count();
            u32::try_from(n).unwrap_or(u32::MAX)
        };
        let absent = has(|w| matches!(w, What::NotStarted { .. })) > 0;
        let gone = all
            .iter()
            .any(|e| matches!(&e.what, What::Started { lanes } if lanes.contains(&lane)))
            || (plan.from_bout > 1 && state.started);
        let (mut stop, conflict) = around.stop();
        if !gone
            && stop
                .as_ref()
                .is_some_and(|s| s.calls.is_empty() && !corrected(s))
        {
            stop = None;
        }
        let mut status = match (&stop, absent, gone) {
            (Some(_), ..) => LaneStatus::Stopped,
            (None, true, _) => LaneStatus::NotStarted,
            (None, false, true) => LaneStatus::Running,
            (None, false, false) => LaneStatus::Waiting,
        };
        if status == LaneStatus::Running {
            for interruption in &state.interruptions {
                match interruption.how {
                    Some(ResumeChoice::Void) => status = LaneStatus::Void,
                    Some(ResumeChoice::LowerBound) => {
                        status = LaneStatus::Stopped;
                        let reason = StopReason::Technical;
                        stop = Some(StopMark {
                            reason,
                            completed: around.completed(interruption.cue_ms, reason),
                            cue_ms: interruption.cue_ms,
                            at_ms: None,
                            calls: Vec::new(),
                        });
                    }
                    _ => {}
                }
            }
        }
        state.conflicts.extend(judged.conflicts);
        state.conflicts.extend(conflict);
        LaneState {
            status,
            misses: judged.misses,
            warning: judged.warning,
            early_starts: has(|w| matches!(w, What::EarlyStart { .. })),
            short_turns: has(|w| matches!(w, What::ShortTurn { .. })),
            course_errors: events
                .iter()
                .filter_map(|e| match e.what {
                    What::CourseError {
                        from_bout, to_bout, ..
                    } => Some((from_bout, to_bout)),
                    _ => None,
                })
                .collect(),
            stop,
            readings: events
                .iter()
                .filter_map(|e| match e.what {
                    What::Read {
                        what,
                        value,
                        after_s,
                        ..
                    } => Some(Reading {
                        what,
                        value,
                        after_s,
                    }),
                    _ => None,
                })
                .collect(),
            trail: events
                .iter()
                .map(|e| (e.id, e.device.clone(), e.what.word()))
                .collect(),
            plan,
        }
    }

    fn interruptions(&self, events: &[&Event]) -> Vec<Interruption> {
        let mut found: Vec<Interruption> = Vec::new();
        for event in events {
            if let What::Interrupted { why } = &event.what {
                found.push(Interruption {
                    event: event.id,
                    cue_ms: event.cue_ms,
                    finished: event.cue_ms.map(|at| self.index.finished_by(at)),
                    why: why.clone(),
                    how: None,
                });
            }
        }
        for event in events {
            if let What::Resumed { interruption, how } = event.what
                && let Some(it) = found.iter_mut().find(|i| i.event == interruption)
            {
                it.how = Some(how);
            }
        }
        found
    }
}

fn corrected(stop: &StopMark) -> bool {
    stop.completed.is_some_and(|c| c.corrected)
}

/// Returns the runners by lane: the plan's, and those who joined; the later one where two share a lane.
fn runners(opening: Option<&Opening>, events: &[&Event]) -> BTreeMap<Lane, LanePlan> {
    let planned = opening.map_or(&[][..], |o| &o.lanes);
    let mut by_lane: BTreeMap<Lane, LanePlan> =
        planned.iter().map(|l| (l.lane, l.clone())).collect();
    for event in events {
        if let What::Joined { runner } = &event.what {
            by_lane.insert(runner.lane, (**runner).clone());
        }
    }
    by_lane
}

fn anchor(events: &[&Event]) -> Option<Anchor> {
    let last = events
        .iter()
        .rfind(|e| matches!(e.what, What::Anchored { .. }))?;
    match last.what {
        What::Anchored { zero_ms, pm_ms } => Some(Anchor {
            device: last.device.clone(),
            zero_ms,
            pm_ms,
        }),
        _ => None,
    }
}

fn notes(events: &[&Event]) -> Vec<WaveNote> {
    events
        .iter()
        .filter_map(|e| {
            let (lane, text, incident) = match &e.what {
                What::Note { lane, text } => (*lane, text, false),
                What::Incident { lane, text } => (*lane, text, true),
                _ => return None,
            };
            Some(WaveNote {
                lane,
                text: text.clone(),
                incident,
                at_ms: e.at_ms,
            })
        })
        .collect()
}
