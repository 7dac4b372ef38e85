//! The cues break off: three ways on, each with its consequence on record.

use plimsoll_judge::{Censoring, LaneStatus, ResumeChoice, Settlement, StopReason, What};

use crate::support::Script;

/// Returns a wave of three: one stopped before, two running when the cues broke off after bout 15.
fn broken(how: ResumeChoice) -> Script {
    let mut s = Script::of("ir1", 3).started();
    s.stop(1, 10, 3_000, StopReason::Exhaustion);
    let at = s.finish(15) + 5_000;
    let interruption = s.lead(
        Some(at),
        What::Interrupted {
            why: "loudspeaker silent".to_owned(),
        },
    );
    s.lead(None, What::Resumed { interruption, how });
    s
}

#[test]
fn resumed_at_the_next_bout_the_deviation_is_on_the_records_it_touches() {
    let mut s = broken(ResumeChoice::AtBout { bout: 16 });
    s.stop(2, 22, 3_000, StopReason::Exhaustion);
    s.stop(3, 24, 3_000, StopReason::Exhaustion);
    let results = s.state().results();
    assert!(results[0].deviations.is_empty(), "had stopped before");
    assert_eq!(
        results[1].deviations,
        ["the cues broke off after bout 15 (loudspeaker silent); the cues went on with bout 16"]
    );
}

#[test]
fn void_leaves_those_still_running_without_a_result() {
    let s = broken(ResumeChoice::Void);
    let state = s.state();
    assert_eq!(state.lanes[1].status, LaneStatus::Void);
    assert_eq!(
        state.read_back().in_words(),
        "3 started, 1 scored, 0 lower bounds, 0 not started, 2 void"
    );
}

#[test]
fn a_lower_bound_keeps_what_was_completed() {
    let s = broken(ResumeChoice::LowerBound);
    let state = s.state();
    let Settlement::Outcome(outcome) = &state.results()[2].settlement else {
        panic!("an outcome");
    };
    assert_eq!(outcome.amount.to_parts(), ("bouts", 15));
    assert_eq!(outcome.reason, StopReason::Technical);
    assert_eq!(outcome.censoring(), Censoring::LowerBound);
    assert_eq!(
        state.read_back().in_words(),
        "3 started, 1 scored, 2 lower bounds, 0 not started"
    );
}

#[test]
fn a_closed_wave_can_be_opened_again() {
    let mut s = broken(ResumeChoice::LowerBound);
    s.lead(None, What::Closed {});
    assert!(s.state().closed);
    s.lead(
        None,
        What::Reopened {
            why: "lane 3 was lane 2".to_owned(),
        },
    );
    let state = s.state();
    assert_eq!((state.closed, state.reopened), (false, 1));
}
