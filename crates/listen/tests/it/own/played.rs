//! What a recording of a track of ours says about its playback.

use plimsoll_listen::{GapKind, Kind};
use plimsoll_sound::TrackOptions;

use super::degrade::{Noise, background};
use super::{Clip, hear, minutes, track};

#[test]
fn a_clean_recording_confirms_every_cue_to_a_fraction_of_a_millisecond() {
    let (plan, clip) = minutes("ir1", 6);
    let heard = hear(&clip, None);
    assert_eq!(
        (heard.kind, heard.test.as_deref()),
        (Kind::Own, Some("ir1"))
    );
    assert_eq!(heard.cues_heard, heard.cues_expected, "{:?}", heard.meaning);
    assert!(heard.cues_heard >= 52, "{}", heard.cues_heard);
    let lead = plan.lead.as_nanos() as f64 / 1e9;
    assert!(
        (heard.offset_s.expect("offset") - lead).abs() < 1e-4,
        "{:?} {:?}",
        heard.offset_s,
        hear(&clip.recorded(1.0, 8_000.0), None).offset_s
    );
    assert!(
        heard.speed_error_ppm.expect("speed").abs() < 1.0,
        "{:?}",
        heard.speed_error_ppm
    );
    for cue in &heard.cues {
        assert!(cue.error_ms.expect("heard").abs() < 0.1, "{cue:?}");
        assert!(cue.code_read, "{cue:?}");
    }
    assert_eq!(heard.gaps, []);
}

/// The degraded copy of the issue: 0.3 % slow, 5 dB, a pause of 20 s at 7:10, 8 kHz.
#[test]
fn slow_noisy_paused_and_narrow() {
    let (_, clip) = track("ir1", &TrackOptions::default());
    let clip = clip
        .recorded(1.003, 8_000.0)
        .paused(430.0, 20.0)
        .with_noise(Noise::White, 5.0, 7);
    let heard = hear(&clip, Some("ir1"));
    assert_eq!(
        (heard.kind, heard.test.as_deref()),
        (Kind::Own, Some("ir1"))
    );
    let truth = (1.0 / 1.003 - 1.0) * 1e6;
    let ppm = heard.speed_error_ppm.expect("speed");
    assert!((ppm - truth).abs() < 50.0, "{ppm} for {truth}");
    let (low, high) = heard.speed_interval_ppm.expect("interval");
    assert!(low <= truth && truth <= high, "{low} {truth} {high}");
    assert_eq!(heard.gaps.len(), 1, "{:?}", heard.gaps);
    let gap = &heard.gaps[0];
    assert_eq!(gap.kind, GapKind::Pause);
    assert!((gap.length_s - 20.0).abs() < 0.1, "{gap:?}");
    assert!(
        gap.between_s.0 <= 430.0 && 430.0 <= gap.between_s.1,
        "{gap:?}"
    );
    // Where 430 s of the recording lie on the timeline, 0.3 % slow.
    let on_timeline = (430.0 - heard.offset_s.expect("offset")) / 1.003;
    let bout = heard
        .cues
        .iter()
        .find(|c| c.timeline_s > on_timeline)
        .expect("a cue")
        .bout;
    assert!(
        (gap.from_bout..=gap.to_bout).contains(&bout),
        "{gap:?} {bout}"
    );
    assert!(
        heard.cues_heard * 100 >= heard.cues_expected * 99,
        "{} of {}",
        heard.cues_heard,
        heard.cues_expected
    );
}

#[test]
fn a_jump_a_restart_and_a_dropout_are_told_apart() {
    let (_, clip) = minutes("msr20", 6);
    let clip = clip.recorded(1.0, 8_000.0);
    let jumped = hear(&clip.clone().jumped(100.0, 31.0), None);
    assert_eq!(jumped.gaps.len(), 1, "{:?}", jumped.gaps);
    assert_eq!(jumped.gaps[0].kind, GapKind::Jump);
    assert!((jumped.gaps[0].length_s - 31.0).abs() < 0.01);

    let restarted = hear(&clip.clone().restarted(120.0, 0.0), None);
    assert_eq!(restarted.gaps.len(), 1, "{:?}", restarted.gaps);
    assert_eq!(restarted.gaps[0].kind, GapKind::Restart);

    let dropped = hear(&clip.dropped(150.0, 40.0), None);
    assert_eq!(dropped.gaps.len(), 1, "{:?}", dropped.gaps);
    assert_eq!(dropped.gaps[0].kind, GapKind::Silent);
    assert!((dropped.gaps[0].between_s.0 - 150.0).abs() < 10.0);
    assert!(dropped.cues_expected > dropped.cues_heard + 3);
}

/// A pause that falls into a tone code: two thirds of the code sound after it, the cue before it.
#[test]
fn a_pause_inside_a_code_does_not_move_the_cue() {
    let (plan, clip) = minutes("ir1", 6);
    let cue = plan
        .cues
        .iter()
        .rfind(|c| c.word.is_some() && c.bout == Some(12))
        .expect("a cue");
    let at = cue.at.as_nanos() as f64 / 1e9;
    let heard = hear(&clip.recorded(1.0, 8_000.0).paused(at + 0.415, 6.0), None);
    let found = heard
        .cues
        .iter()
        .find(|c| c.bout == 12 && c.kind == "finish")
        .expect("expected");
    assert!(
        (found.heard_s.expect("heard") - at).abs() < 0.002,
        "{found:?} {at}"
    );
    let [gap] = &heard.gaps[..] else {
        panic!("{:?}", heard.gaps)
    };
    assert!((gap.length_s - 6.0).abs() < 0.01, "{gap:?}");
    assert!(
        gap.between_s.0 <= at + 0.415 && at + 0.415 <= gap.between_s.1,
        "{gap:?}"
    );
}

#[test]
fn a_change_of_speed_is_found_where_it_was_and_priced_in_bouts() {
    let (_, clip) = track("ir1", &TrackOptions::default());
    let clip = clip.recorded(1.0, 8_000.0).slower_from(600.0, 1.009);
    let heard = hear(&clip, None);
    assert_eq!(heard.speeds.len(), 2, "{:?}", heard.speeds);
    let (before, after) = (&heard.speeds[0], &heard.speeds[1]);
    assert!(before.error_ppm.abs() < 20.0, "{before:?}");
    assert!(
        (after.error_ppm - (1.0 / 1.009 - 1.0) * 1e6).abs() < 20.0,
        "{after:?}"
    );
    assert!(after.from_bout.abs_diff(31) <= 1, "{after:?}");
    assert!(
        heard
            .meaning
            .iter()
            .any(|s| s.contains("0.89 % slow: worth about 3 bouts")),
        "{:?}",
        heard.meaning
    );
}

/// Any two seconds that hold a cue with its code say which test, which bout, which instant.
#[test]
fn two_seconds_are_enough() {
    let (plan, clip) = minutes("ir2", 3);
    let clip = clip.recorded(1.0, 16_000.0);
    for cue in plan.cues.iter().filter(|c| c.word.is_some()).step_by(4) {
        let at = cue.at.as_nanos() as f64 / 1e9;
        let from = ((at - 0.7) * clip.rate) as usize;
        let part = Clip {
            samples: clip.samples[from..from + (2.0 * clip.rate) as usize].to_vec(),
            rate: clip.rate,
        };
        let heard = hear(&part, None);
        assert_eq!(heard.test.as_deref(), Some("ir2"), "{cue:?}");
        let found = heard
            .cues
            .iter()
            .find(|c| Some(c.bout) == cue.bout && c.kind == cue.sound.as_str());
        let found = found.and_then(|c| c.heard_s).expect("the cue");
        assert!((found - 0.7).abs() < 0.001, "{found}");
    }
}

#[test]
fn tones_played_at_another_pitch_are_still_read() {
    let (_, clip) = minutes("msr20", 3);
    for slow in [1.05, 0.96] {
        let heard = hear(&clip.recorded(slow, 16_000.0), None);
        assert_eq!(heard.test.as_deref(), Some("msr20"), "{slow}");
        let truth = (1.0 / slow - 1.0) * 1e6;
        let ppm = heard.speed_error_ppm.expect("speed");
        assert!(
            (ppm - truth).abs() < 50.0,
            "{slow}: {ppm} {truth} {:?} {:?}",
            heard.speeds,
            heard.meaning
        );
    }
}

#[test]
fn forty_minutes_of_noise_or_speech_are_not_recognised() {
    for noise in [Noise::White, Noise::Wind, Noise::Babble] {
        let samples = background(noise, 40 * 60 * 8_000, 8_000.0, 11);
        let peak = samples.iter().fold(0.0_f32, |m, s| m.max(s.abs()));
        let clip = Clip {
            samples: samples.iter().map(|s| s / peak * 0.9).collect(),
            rate: 8_000.0,
        };
        let heard = hear(&clip, None);
        assert_eq!(
            (heard.kind, heard.test),
            (Kind::NotRecognised, None),
            "{noise:?} {:?}",
            heard.meaning
        );
        assert!(heard.meaning[0].starts_with("Not recognised"));
    }
}
