//! What a wave comes to when it is closed: an outcome per lane, and the count to read back.
//! Must not make a score of what is open: it says what must be settled first.

use super::state::{LaneResult, LaneState, LaneStatus, MissStanding, ReadBack, Settlement};
use super::{ResumeChoice, WaveState};
use crate::{Amount, Censoring, Outcome, StopReason};

impl WaveState {
    /// Returns what each lane comes to as things stand.
    pub fn results(&self) -> Vec<LaneResult> {
        self.lanes.iter().map(|lane| self.result(lane)).collect()
    }

    /// Returns the count that the lead reads back.
    pub fn read_back(&self) -> ReadBack {
        let mut count = ReadBack::default();
        for result in self.results() {
            count.planned += 1;
            match &result.settlement {
                Settlement::Outcome(outcome) => {
                    count.started += 1;
                    match outcome.censoring() {
                        Censoring::Score | Censoring::Ceiling => count.scored += 1,
                        Censoring::LowerBound => count.lower_bounds += 1,
                    }
                }
                Settlement::NotStarted => count.not_started += 1,
                Settlement::Void => {
                    count.started += 1;
                    count.void += 1;
                }
                Settlement::Open(_) => {
                    count.open += 1;
                    let gone = self.lanes.iter().any(|lane| {
                        lane.plan.lane == result.lane && lane.status != LaneStatus::Waiting
                    });
                    count.started += u32::from(gone);
                }
            }
        }
        count
    }

    fn result(&self, lane: &LaneState) -> LaneResult {
        LaneResult {
            lane: lane.plan.lane,
            person: lane.plan.person.clone(),
            settlement: self.settlement(lane),
            deviations: self.deviations(lane),
        }
    }

    fn settlement(&self, lane: &LaneState) -> Settlement {
        let disputed = self
            .conflicts
            .iter()
            .find(|c| c.lane == lane.plan.lane && !c.ruled);
        if let Some(conflict) = disputed {
            return Settlement::Open(format!(
                "assessors disagree ({}); the lead must rule",
                conflict.about
            ));
        }
        match lane.status {
            LaneStatus::NotStarted => Settlement::NotStarted,
            LaneStatus::Void => Settlement::Void,
            LaneStatus::Waiting => {
                Settlement::Open("neither started nor marked as not started".to_owned())
            }
            LaneStatus::Running => Settlement::Open(if lane.warning.over {
                "the miss rule ended the run, but no stop was tapped".to_owned()
            } else {
                "no stop recorded".to_owned()
            }),
            LaneStatus::Stopped => lane.stop.as_ref().map_or_else(
                || Settlement::Open("no stop recorded".to_owned()),
                |stop| match stop.completed {
                    Some(done) => Settlement::Outcome(Outcome {
                        ladder: self.ladder_of(lane),
                        amount: Amount::Bouts(done.bouts),
                        reason: stop.reason,
                    }),
                    None => Settlement::Open(
                        "stopped without the cue clock; enter the last completed bout".to_owned(),
                    ),
                },
            ),
        }
    }

    fn ladder_of(&self, lane: &LaneState) -> String {
        let wave = self.opening.as_ref().map(|o| o.test.clone());
        lane.plan.ladder.clone().or(wave).unwrap_or_default()
    }

    fn deviations(&self, lane: &LaneState) -> Vec<String> {
        let mut found = Vec::new();
        if lane.plan.from_bout > 1 {
            found.push(format!(
                "joined late, at bout {}: not comparable with a whole run",
                lane.plan.from_bout
            ));
        }
        let done = lane.stop.as_ref().and_then(|s| s.completed);
        for interruption in &self.interruptions {
            let at = interruption
                .finished
                .map_or(String::new(), |n| format!(" after bout {n}"));
            let reached = match (done, interruption.finished) {
                (Some(done), Some(finished)) => done.bouts >= finished,
                _ => true,
            };
            if !reached {
                continue;
            }
            let how = match interruption.how {
                Some(ResumeChoice::AtBout { bout }) => format!("the cues went on with bout {bout}"),
                Some(ResumeChoice::LowerBound) => "the wave ended there".to_owned(),
                Some(ResumeChoice::Void) => "the wave was void from there".to_owned(),
                None => "how it went on is not recorded".to_owned(),
            };
            found.push(format!(
                "the cues broke off{at} ({}); {how}",
                interruption.why
            ));
        }
        for miss in &lane.misses {
            let place = miss
                .bout
                .map_or(String::new(), |bout| format!(" in bout {bout}"));
            match miss.standing {
                MissStanding::Excused => found.push(format!(
                    "a miss{place} excused: {}",
                    miss.excuse.as_deref().unwrap_or("no reason given")
                )),
                MissStanding::Dismissed => {
                    found.push(format!("a miss{place} dismissed by the lead"));
                }
                MissStanding::Counts | MissStanding::Disputed => {}
            }
        }
        tally(&mut found, lane.early_starts, "early start");
        tally(&mut found, lane.short_turns, "short turn");
        for (from, to) in &lane.course_errors {
            found.push(format!("course error, bouts {from} to {to}"));
        }
        if let (Some(done), Some(stop)) = (done, &lane.stop) {
            if done.corrected {
                found.push("completed bouts put right by hand".to_owned());
            }
            if stop.reason == StopReason::Misses && !lane.warning.over && lane.warning.limit > 0 {
                found.push(format!(
                    "stopped for misses with {} of {} recorded",
                    lane.warning.count, lane.warning.limit
                ));
            }
        }
        for conflict in self.conflicts.iter().filter(|c| c.lane == lane.plan.lane) {
            found.push(format!(
                "assessors disagreed ({}), {}",
                conflict.about,
                if conflict.ruled {
                    "the lead ruled"
                } else {
                    "not ruled upon"
                }
            ));
        }
        found
    }
}

fn tally(found: &mut Vec<String>, n: u32, what: &str) {
    if n > 0 {
        let plural = if n == 1 { "" } else { "s" };
        found.push(format!("{n} {what}{plural}"));
    }
}
