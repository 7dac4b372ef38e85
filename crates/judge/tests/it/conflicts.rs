//! Assessors who disagree: nobody wins until the lead rules, and dissent is kept.

use plimsoll_judge::{
    ConflictKind, LaneStatus, MissStanding, Ruling, Settlement, Side, StopReason, What,
};
use uuid::Uuid;

use crate::support::{Script, miss};

fn rule(s: &mut Script, about: &str, stands: Option<Uuid>) {
    let stands = stands.map_or(Side::None, |id| Side::Event { id });
    let ruling = Ruling {
        lane: 1,
        about: about.to_owned(),
        stands,
    };
    s.lead(None, What::Ruled { ruling });
}

fn reached(bout: u32) -> What {
    What::Reached {
        lane: 1,
        bout,
        cue: 2,
    }
}

#[test]
fn two_who_call_the_same_miss_make_one() {
    let mut s = Script::of("ir1", 1).started();
    let at = s.finish(10);
    s.a(Some(at + 150), miss(1));
    s.b(Some(at + 900), miss(1));
    s.a(Some(at + 1_200), miss(1));
    let lane = s.lane(1);
    assert_eq!((lane.misses.len(), lane.warning.count), (1, 1));
    assert_eq!(lane.misses[0].calls.len(), 2);
    assert!(s.state().conflicts.is_empty());
}

#[test]
fn a_miss_that_another_saw_reached_waits_for_the_lead() {
    let mut s = Script::of("ir1", 1).started();
    let at = s.finish(10);
    let call = s.a(Some(at + 150), miss(1));
    s.b(Some(at + 800), reached(10));
    s.stop(1, 30, 3_000, StopReason::Exhaustion);
    let state = s.state();
    assert_eq!(state.lanes[0].misses[0].standing, MissStanding::Disputed);
    assert_eq!(state.conflicts[0].kind, ConflictKind::Miss);
    assert!(
        matches!(&state.results()[0].settlement, Settlement::Open(why) if why.contains("miss:10.2"))
    );
    rule(&mut s, "miss:10.2", None);
    let state = s.state();
    assert_eq!(state.lanes[0].misses[0].standing, MissStanding::Dismissed);
    assert_eq!(state.lanes[0].warning.count, 0);
    assert!(state.conflicts[0].ruled);
    assert_eq!(state.conflicts[0].calls.len(), 2, "the dissent is kept");
    rule(&mut s, "miss:10.2", Some(call));
    assert_eq!(s.lane(1).warning.count, 1, "the latest ruling stands");
}

#[test]
fn two_different_stops_give_no_outcome_until_one_is_chosen() {
    let mut s = Script::of("ir1", 1).started();
    s.stop(1, 20, 2_000, StopReason::Exhaustion);
    let at = s.finish(21) + 1_900;
    let second = s.b(
        Some(at),
        What::Stop {
            lane: 1,
            reason: StopReason::Exhaustion,
        },
    );
    let state = s.state();
    assert_eq!(s.bouts(1), Some(20), "fewer bouts are shown meanwhile");
    assert!(matches!(state.results()[0].settlement, Settlement::Open(_)));
    rule(&mut s, "stop", Some(second));
    let state = s.state();
    assert_eq!(s.bouts(1), Some(21));
    let Settlement::Outcome(outcome) = &state.results()[0].settlement else {
        panic!("the lead has ruled");
    };
    assert_eq!(outcome.amount.to_parts(), ("bouts", 21));
    rule(&mut s, "stop", None);
    assert_eq!(s.lane(1).status, LaneStatus::Running);
}

#[test]
fn two_equal_stops_are_one() {
    let mut s = Script::of("ir1", 1).started();
    s.stop(1, 20, 2_000, StopReason::Exhaustion);
    let at = s.finish(20) + 4_000;
    s.b(
        Some(at),
        What::Stop {
            lane: 1,
            reason: StopReason::Exhaustion,
        },
    );
    assert!(s.state().conflicts.is_empty());
    assert!(matches!(
        s.state().results()[0].settlement,
        Settlement::Outcome(_)
    ));
}

#[test]
fn an_assessor_cannot_take_back_what_another_recorded() {
    let mut s = Script::of("ir1", 1).started();
    let stop = s.stop(1, 20, 2_000, StopReason::Exhaustion);
    let undo = s.b(None, What::Undo { event: stop });
    let state = s.state();
    assert_eq!(state.lanes[0].status, LaneStatus::Stopped);
    assert_eq!(state.conflicts[0].kind, ConflictKind::Undo);
    let about = state.conflicts[0].about.clone();
    rule(&mut s, &about, Some(undo));
    assert_eq!(s.lane(1).status, LaneStatus::Running);
}

#[test]
fn the_lead_takes_back_anything() {
    let mut s = Script::of("ir1", 1).started();
    let stop = s.stop(1, 20, 2_000, StopReason::Exhaustion);
    s.lead(None, What::Undo { event: stop });
    assert_eq!(s.lane(1).status, LaneStatus::Running);
    assert!(s.state().conflicts.is_empty());
}

#[test]
fn an_excused_miss_does_not_count_and_the_result_says_why() {
    let mut s = Script::of("ir1", 1).started();
    let call = s.miss(1, 10);
    s.a(
        None,
        What::Excused {
            lane: 1,
            miss: call,
            why: "collision with lane 2".to_owned(),
        },
    );
    s.miss(1, 20);
    s.stop(1, 30, 3_000, StopReason::Exhaustion);
    assert_eq!(s.lane(1).warning.count, 1);
    assert_eq!(s.bouts(1), Some(30));
    assert_eq!(
        s.state().results()[0].deviations,
        ["a miss in bout 10 excused: collision with lane 2"]
    );
}

#[test]
fn what_only_the_lead_may_say_is_refused_from_others() {
    let mut s = Script::of("ir1", 1).started();
    let closed = s.a(None, What::Closed {});
    let state = s.state();
    assert!(!state.closed);
    assert_eq!(state.refused, [closed]);
}
