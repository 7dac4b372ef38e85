//! The stop of one lane: from taps, corrections, rulings, the rule, the end of what is to be run.

use std::collections::BTreeMap;

use super::cues::CueIndex;
use super::misses::Judged;
use super::rulings::Rulings;
use super::state::{AssessorCall, Completed, Conflict, ConflictKind, StopMark};
use crate::StopReason;
use crate::event::{DeviceId, Event, Lane, LanePlan, Role, Side, What};
use crate::settings::{MissCounting, Settings};

/// A stop tapped this soon after a finish may mean the bout before: people tap late, ms.
/// Common practice, no source.
const CLOSE_MS: i64 = 1_500;

/// What is known around a lane.
pub(super) struct Around<'a> {
    pub(super) lane: Lane,
    pub(super) plan: &'a LanePlan,
    pub(super) events: &'a [&'a Event],
    pub(super) index: &'a CueIndex,
    pub(super) settings: &'a Settings,
    pub(super) rulings: &'a Rulings,
    pub(super) judged: &'a Judged,
    /// Cue time of the latest event of the wave, ms.
    pub(super) now_ms: Option<i64>,
}

/// One device's stop: its first tap says when, its last says why.
struct Tapped<'a> {
    first: &'a Event,
    reason: StopReason,
}

impl Around<'_> {
    /// Returns the last bout this runner is to run.
    fn last_bout(&self) -> u32 {
        let all = self.index.bouts();
        self.plan.ends_at.map_or(all, |n| n.min(all))
    }

    /// Returns the stop, and the disagreement about it if there is one.
    pub(super) fn stop(&self) -> (Option<StopMark>, Option<Conflict>) {
        let mut taps: BTreeMap<&DeviceId, Tapped<'_>> = BTreeMap::new();
        let (mut lead_says, mut others_say) = (Correction::default(), Correction::default());
        for event in self.events {
            match &event.what {
                What::Stop { reason, .. } => {
                    taps.entry(&event.device)
                        .and_modify(|tap| tap.reason = *reason)
                        .or_insert(Tapped {
                            first: event,
                            reason: *reason,
                        });
                }
                What::Correction {
                    completed, reason, ..
                } => {
                    let into = if event.role == Role::Lead {
                        &mut lead_says
                    } else {
                        &mut others_say
                    };
                    into.completed = completed.or(into.completed);
                    into.reason = reason.or(into.reason);
                }
                _ => {}
            }
        }
        let mut ordered: Vec<&Tapped<'_>> = taps.values().collect();
        ordered.sort_by(|a, b| a.first.key().cmp(&b.first.key()));
        let calls: Vec<AssessorCall> = ordered
            .iter()
            .map(|tap| AssessorCall {
                event: tap.first.id,
                device: tap.first.device.clone(),
                by: tap.first.by.clone(),
                says_so: true,
                completed: self
                    .completed(tap.first.cue_ms, tap.reason)
                    .map(|c| c.bouts),
                reason: Some(tap.reason),
                cue_ms: tap.first.cue_ms,
            })
            .collect();
        let split = calls
            .windows(2)
            .any(|pair| (pair[0].completed, pair[0].reason) != (pair[1].completed, pair[1].reason));
        let ruling = self.rulings.get(self.lane, "stop");
        let settled_by_lead = lead_says.completed.is_some() && lead_says.reason.is_some();
        let conflict = split.then(|| Conflict {
            lane: self.lane,
            kind: ConflictKind::Stop,
            about: "stop".to_owned(),
            calls: calls.clone(),
            ruled: ruling.is_some() || settled_by_lead,
        });
        let chosen = match ruling {
            Some(Side::None) => None,
            Some(Side::Event { id }) => ordered
                .iter()
                .find(|tap| tap.first.id == *id)
                .or(ordered.first())
                .copied(),
            // Not ruled: the one with fewer bouts is shown until it is, never more than both saw.
            None => ordered
                .iter()
                .zip(&calls)
                .min_by_key(|(_, call)| call.completed)
                .map(|(tap, _)| *tap),
        };
        let given = Correction {
            completed: lead_says.completed.or(others_say.completed),
            reason: lead_says.reason.or(others_say.reason),
        };
        let stop = match chosen {
            Some(tap) => Some(StopMark {
                reason: given.reason.unwrap_or(tap.reason),
                completed: self.corrected(
                    self.completed(tap.first.cue_ms, given.reason.unwrap_or(tap.reason)),
                    &given,
                ),
                cue_ms: tap.first.cue_ms,
                at_ms: Some(tap.first.at_ms),
                calls,
            }),
            None => self.unsaid(&given, calls),
        };
        (stop, conflict)
    }

    /// Returns the stop that nobody tapped: put in by hand, or at the end of what is to be run.
    fn unsaid(&self, given: &Correction, calls: Vec<AssessorCall>) -> Option<StopMark> {
        if let Some(bouts) = given.completed {
            let at_end = bouts >= self.last_bout();
            let by_default = if at_end {
                StopReason::EndOfLadder
            } else {
                StopReason::NotRecorded
            };
            return Some(StopMark {
                reason: given.reason.unwrap_or(by_default),
                completed: self.corrected(None, given),
                cue_ms: None,
                at_ms: None,
                calls,
            });
        }
        let now = self.now_ms?;
        let last = self.last_bout();
        (self.index.finished_by(now) >= last && !self.judged.warning.over).then_some(StopMark {
            reason: StopReason::EndOfLadder,
            completed: Some(Completed {
                bouts: last,
                in_progress: None,
                close_call: false,
                corrected: false,
            }),
            cue_ms: None,
            at_ms: None,
            calls,
        })
    }

    /// Returns what was completed by a stop at a cue time, under the rules of the wave.
    pub(super) fn completed(&self, cue_ms: Option<i64>, reason: StopReason) -> Option<Completed> {
        let by_rule = self.judged.last_counted;
        let Some(at) = cue_ms else {
            // Without the cue clock only the miss rule can say.
            return (reason == StopReason::Misses)
                .then_some(by_rule)
                .flatten()
                .map(|bouts| self.counted(bouts, Some(bouts + 1), false));
        };
        let by_clock = self.index.finished_by(at);
        if reason == StopReason::Misses || by_rule.is_some_and(|bouts| bouts < by_clock) {
            let bouts = by_rule.unwrap_or_else(|| self.missed_at(at)).min(by_clock);
            return Some(self.counted(bouts, Some(bouts + 1), false));
        }
        let close = self
            .index
            .since_finish(at)
            .is_some_and(|since| since <= CLOSE_MS);
        Some(self.counted(by_clock, self.index.under_way(at), close))
    }

    /// Returns the bouts before the misses that ended the run when they were not all recorded: the
    /// last of them was at the last cue before the stop.
    fn missed_at(&self, at: i64) -> u32 {
        let Some(last) = self.index.last_before(at) else {
            return 0;
        };
        let back = match self.settings.counting {
            MissCounting::Cumulative => 0,
            MissCounting::Consecutive => self.settings.miss_limit.saturating_sub(1) as usize,
        };
        self.index.cues()[last.saturating_sub(back)].bout - 1
    }

    fn counted(&self, bouts: u32, in_progress: Option<u32>, close_call: bool) -> Completed {
        let last = self.last_bout();
        let extra = u32::from(self.settings.last_incomplete_counts && in_progress.is_some());
        Completed {
            bouts: (bouts + extra).min(last),
            in_progress: in_progress.filter(|bout| *bout <= last),
            close_call,
            corrected: false,
        }
    }

    fn corrected(&self, clock: Option<Completed>, given: &Correction) -> Option<Completed> {
        match given.completed {
            Some(bouts) => Some(Completed {
                bouts: bouts.min(self.last_bout()),
                in_progress: clock.and_then(|c| c.in_progress),
                close_call: false,
                corrected: true,
            }),
            None => clock,
        }
    }
}

/// What people put right.
#[derive(Default)]
struct Correction {
    completed: Option<u32>,
    reason: Option<StopReason>,
}
