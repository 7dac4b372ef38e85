//! One test per officiating rule. Sources by number as in `protocols/sources.toml`; where a rule
//! is known from memory or common practice only, its line says so.

use plimsoll_judge::{LaneStatus, MissCounting, MissPlace, Settlement, StopReason, What};

use crate::support::{Script, miss};

/// Source: S01, S07 (from memory): first failure is a warning, the second ends the run, and the two
/// need not follow one another.
#[test]
fn recovery_test_second_miss_ends_the_run_wherever_the_first_was() {
    let mut s = Script::of("ir1", 2).started();
    s.miss(1, 10);
    let warned = s.lane(1);
    assert_eq!((warned.warning.count, warned.warning.over), (1, false));
    assert_eq!(warned.warning.clears_at_ms, None, "a warning stays");
    s.miss(1, 15);
    assert!(s.lane(1).warning.over);
    s.stop(1, 15, 900, StopReason::Misses);
    assert_eq!(
        s.bouts(1),
        Some(14),
        "the bout of the deciding miss does not count"
    );
}

/// Source: S23, S32 (source read): two signals missed in a row end the run; the last line touched
/// counts.
#[test]
fn multistage_two_misses_in_a_row_end_the_run_and_the_last_line_touched_counts() {
    let mut s = Script::of("msr20_whole_jp", 1).started();
    s.miss(1, 40);
    let warning = s.lane(1).warning;
    assert_eq!((warning.count, warning.over), (1, false));
    s.miss(1, 41);
    s.stop(1, 41, 700, StopReason::Misses);
    assert!(s.lane(1).warning.over);
    assert_eq!(s.bouts(1), Some(39));
}

/// Source: S25 (source read): a miss at one end followed by success at the other clears the count.
#[test]
fn multistage_reaching_the_next_line_clears_the_miss() {
    let mut s = Script::of("msr20", 1).started();
    s.miss(1, 40);
    assert_eq!(
        s.lane(1).warning.clears_at_ms,
        Some(s.finish(41) - 1),
        "cleared by the next cue unless missed too"
    );
    s.miss(1, 42);
    let warning = s.lane(1).warning;
    assert_eq!((warning.count, warning.over), (1, false));
}

/// Source: S25 (source read): two 2 m warning lines missed in a row, or three end-line infractions
/// in all.
#[test]
fn zone_and_line_are_counted_apart_where_both_are_judged() {
    let mut s = Script::of("msr20", 1);
    s.settings.zone_mm = 2_000;
    s.settings.line_limit = 3;
    let mut s = s.started();
    for bout in [10, 20] {
        let at = s.finish(bout);
        s.a(Some(at), at_line(1));
    }
    let warning = s.lane(1).warning;
    assert_eq!(
        (warning.at_line, warning.count, warning.over),
        (2, 0, false)
    );
    let at = s.finish(30);
    s.a(Some(at), at_line(1));
    s.stop(1, 30, 500, StopReason::Misses);
    assert!(s.lane(1).warning.over);
    assert_eq!(s.bouts(1), Some(29));
}

fn at_line(lane: u16) -> What {
    What::Miss {
        lane,
        bout: None,
        cue: None,
        place: MissPlace::Line,
    }
}

/// Source: S26 (source read): one warning, out at the second.
#[test]
fn a_warning_then_out_at_the_second_is_a_setting_of_any_test() {
    let mut s = Script::of("msr20", 1);
    s.settings.counting = MissCounting::Cumulative;
    let mut s = s.started();
    s.miss(1, 12);
    s.miss(1, 30);
    assert!(s.lane(1).warning.over);
}

/// Source: S37 (secondary source read): the run ends when the runner is outside the 3 m zone at
/// three cues in a row; the last completed bout counts.
#[test]
fn thirty_fifteen_third_zone_in_a_row_ends_the_run() {
    let mut s = Script::of("int30_15_40", 1).started();
    assert_eq!((s.settings.miss_limit, s.settings.zone_mm), (3, 3_000));
    let fold = plimsoll_judge::Fold::new(s.test).expect("paced");
    let cues: Vec<_> = fold.index().cues().to_vec();
    let from = fold.index().position(20, 1).expect("a cue of bout 20");
    for cue in &cues[from..from + 2] {
        s.a(Some(cue.at_ns / 1_000_000 + 100), miss(1));
    }
    assert!(!s.lane(1).warning.over);
    let third = cues[from + 2];
    s.a(Some(third.at_ns / 1_000_000 + 100), miss(1));
    assert!(s.lane(1).warning.over);
    s.a(
        Some(third.at_ns / 1_000_000 + 900),
        What::Stop {
            lane: 1,
            reason: StopReason::Misses,
        },
    );
    assert_eq!(s.bouts(1), Some(19));
}

/// Source: S20 (source read): out as soon as the runner is 2 m behind and cannot make it up: one
/// call ends the run.
#[test]
fn one_call_ends_the_run_where_the_lag_cannot_be_made_up() {
    let mut s = Script::of("msr20_fr", 1).started();
    assert_eq!((s.settings.miss_limit, s.settings.zone_mm), (1, 2_000));
    s.miss(1, 33);
    assert!(s.lane(1).warning.over);
    s.stop(1, 33, 800, StopReason::Misses);
    assert_eq!(s.bouts(1), Some(32));
}

/// Source: S20 (source read): a runner who falls may go on, and the sound is not stopped. An early
/// start and a fall change no score by themselves: S22, S23, S25 (source read), common practice.
#[test]
fn a_fall_or_an_early_start_is_noted_and_ends_nothing() {
    let mut s = Script::of("msr20", 1).started();
    let at = s.finish(20);
    s.a(
        Some(at),
        What::Note {
            lane: Some(1),
            text: "slipped, went on".to_owned(),
        },
    );
    s.a(Some(at + 50), What::EarlyStart { lane: 1 });
    s.a(Some(at + 9_000), What::EarlyStart { lane: 1 });
    s.stop(1, 60, 5_000, StopReason::Exhaustion);
    let state = s.state();
    assert_eq!(state.notes.len(), 1);
    assert_eq!(state.lanes[0].early_starts, 2);
    assert_eq!(state.results()[0].deviations, ["2 early starts"]);
    assert!(matches!(
        state.results()[0].settlement,
        Settlement::Outcome(_)
    ));
}

/// Source: S20, S25, S26 (source read): pivot turns; a turn short of the line is refused. Counted,
/// and kept with the result; whether it is a miss is the assessor's call. Common practice.
#[test]
fn short_turns_are_counted_and_kept_with_the_result() {
    let mut s = Script::of("msr20", 1).started();
    let at = s.finish(25);
    s.a(Some(at), What::ShortTurn { lane: 1 });
    s.stop(1, 50, 4_000, StopReason::Exhaustion);
    assert_eq!(s.state().results()[0].deviations, ["1 short turn"]);
}

/// Source: S01 (from memory): papers differ on whether the bout not completed counts; it is a
/// setting, and it moves the score by one.
#[test]
fn the_incomplete_bout_counts_where_the_setting_says_so() {
    for (counts, bouts) in [(false, 20), (true, 21)] {
        let mut s = Script::of("ir1", 1);
        s.settings.last_incomplete_counts = counts;
        let mut s = s.started();
        // 13 s after a finish the next bout is 3 s old.
        s.stop(1, 20, 13_000, StopReason::Exhaustion);
        assert_eq!(s.bouts(1), Some(bouts));
        let done = s.lane(1).stop.and_then(|stop| stop.completed);
        assert_eq!(done.and_then(|done| done.in_progress), Some(21));
    }
}

/// Source: common practice, no source: a runner still in at the last finish has completed the ladder.
#[test]
fn who_is_in_at_the_last_finish_has_completed_the_ladder() {
    let mut s = Script::of("ir1", 2).started();
    s.stop(2, 30, 4_000, StopReason::Exhaustion);
    let end = s.finish(91);
    s.lead(Some(end + 3_000), What::Closed {});
    let lane = s.lane(1);
    assert_eq!(lane.status, LaneStatus::Stopped);
    assert_eq!(
        lane.stop.map(|stop| stop.reason),
        Some(StopReason::EndOfLadder)
    );
    assert_eq!(s.bouts(1), Some(91));
    assert_eq!(s.state().read_back().scored, 2);
}
