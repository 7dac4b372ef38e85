//! Stops: the last completed bout from the cue clock, put right by people, cut short by forms.

use plimsoll_judge::{LaneStatus, Settlement, StopReason, What};

use crate::support::{Script, runner};

#[test]
fn the_clock_says_completed_and_in_progress() {
    let mut s = Script::of("ir1", 3).started();
    s.stop(1, 20, 6_000, StopReason::Exhaustion);
    s.stop(2, 20, 12_000, StopReason::Injury);
    s.stop(3, 20, 400, StopReason::Exhaustion);
    let done = |lane| s.lane(lane).stop.and_then(|stop| stop.completed);
    let (rest, running, near) = (done(1), done(2), done(3));
    assert_eq!(
        rest.map(|d| (d.bouts, d.in_progress, d.close_call)),
        Some((20, None, false))
    );
    assert_eq!(
        running.map(|d| (d.bouts, d.in_progress)),
        Some((20, Some(21)))
    );
    assert_eq!(
        near.map(|d| (d.bouts, d.close_call)),
        Some((20, true)),
        "tapped 0.4 s after a finish: a person must look"
    );
}

#[test]
fn misses_not_all_tapped_still_leave_the_deciding_bout_out() {
    let mut s = Script::of("ir1", 1).started();
    s.miss(1, 9);
    s.stop(1, 15, 900, StopReason::Misses);
    assert_eq!(s.bouts(1), Some(14));
    let result = &s.state().results()[0];
    assert_eq!(
        result.deviations,
        ["stopped for misses with 1 of 2 recorded"]
    );
    let mut s = Script::of("msr20", 1).started();
    s.stop(1, 41, 900, StopReason::Misses);
    assert_eq!(s.bouts(1), Some(39), "two in a row: 40 and 41 were missed");
}

#[test]
fn a_correction_goes_before_the_clock_and_the_leads_before_all() {
    let mut s = Script::of("ir1", 1).started();
    s.stop(1, 20, 400, StopReason::Exhaustion);
    s.lead(
        None,
        What::Correction {
            lane: 1,
            completed: Some(19),
            reason: None,
        },
    );
    s.a(
        None,
        What::Correction {
            lane: 1,
            completed: Some(25),
            reason: Some(StopReason::Technical),
        },
    );
    assert_eq!(s.bouts(1), Some(19));
    let stop = s.lane(1).stop.expect("stopped");
    assert_eq!(
        stop.reason,
        StopReason::Technical,
        "nobody else gave a reason"
    );
    assert!(
        stop.completed
            .is_some_and(|done| done.corrected && !done.close_call)
    );
}

#[test]
fn an_undone_stop_leaves_the_runner_running() {
    let mut s = Script::of("ir1", 1).started();
    let stop = s.stop(1, 20, 2_000, StopReason::Exhaustion);
    let undo = s.a(None, What::Undo { event: stop });
    assert_eq!(s.lane(1).status, LaneStatus::Running);
    s.a(None, What::Undo { event: undo });
    assert_eq!(s.lane(1).status, LaneStatus::Stopped);
}

#[test]
fn a_second_tap_of_the_same_phone_names_the_reason_and_keeps_the_moment() {
    let mut s = Script::of("ir1", 1).started();
    s.stop(1, 20, 2_000, StopReason::Exhaustion);
    s.stop(1, 21, 2_000, StopReason::Injury);
    let stop = s.lane(1).stop.expect("stopped");
    assert_eq!(stop.completed.map(|done| done.bouts), Some(20));
    assert_eq!(stop.reason, StopReason::Injury);
    assert!(s.state().conflicts.is_empty());
}

#[test]
fn a_submaximal_runner_ends_at_the_last_bout_of_the_form() {
    let mut s = Script::of("ir1", 2).started();
    let mut easy = runner(2);
    easy.ends_at = Some(18);
    easy.ladder = Some("ir1_sub6".to_owned());
    s.lead(
        Some(1_000),
        What::Joined {
            runner: Box::new(easy),
        },
    );
    s.stop(1, 25, 3_000, StopReason::Exhaustion);
    let results = s.state().results();
    let Settlement::Outcome(outcome) = &results[1].settlement else {
        panic!("{:?}", results[1]);
    };
    assert_eq!(
        (
            outcome.ladder.as_str(),
            outcome.amount.to_parts(),
            outcome.reason
        ),
        ("ir1_sub6", ("bouts", 18), StopReason::EndOfLadder)
    );
}

#[test]
fn a_latecomer_runs_from_a_later_bout_and_the_result_says_so() {
    let mut s = Script::of("ir1", 1).started();
    let mut late = runner(7);
    late.from_bout = 6;
    s.a(
        Some(40_000),
        What::Joined {
            runner: Box::new(late),
        },
    );
    assert_eq!(s.lane(7).status, LaneStatus::Running);
    s.stop(7, 20, 2_000, StopReason::Exhaustion);
    let result = s.state().results().remove(1);
    assert_eq!(
        result.deviations,
        ["joined late, at bout 6: not comparable with a whole run"]
    );
}

#[test]
fn without_the_cue_clock_the_bout_is_asked_for() {
    let mut s = Script::of("ir1", 2).started();
    s.a(
        None,
        What::Stop {
            lane: 1,
            reason: StopReason::Exhaustion,
        },
    );
    s.lead(None, What::NotStarted { lane: 2 });
    let state = s.state();
    assert_eq!(
        state.results()[0].settlement,
        Settlement::Open("stopped without the cue clock; enter the last completed bout".to_owned())
    );
    assert_eq!(
        state.read_back().in_words(),
        "1 started, 0 scored, 0 lower bounds, 1 not started, 1 still open",
        "the lead's word that nobody ran in a lane goes before the roll at the start"
    );
}
