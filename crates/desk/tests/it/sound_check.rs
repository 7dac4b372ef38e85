//! A recording attached to a day, and what the report of the day then says.

use plimsoll_archive::{ResultFilter, SoundCheck, SoundCheckFacts, SoundCheckKind};
use plimsoll_desk::sound_check::{AttachError, attach, certificate};
use plimsoll_listen::{Gap, GapKind, Heard, Kind};
use plimsoll_report::{figure_sound, render_xlsx};

use crate::bench::{Bench, CUES, digest, heard};

fn put(bench: &mut Bench, kind: SoundCheckKind, name: &str, heard: &Heard) {
    attach(&mut bench.writer, bench.day, kind, name, &digest(), heard).expect("attached");
}

fn one(heard: &Heard, tests: &[&str]) -> plimsoll_report::SoundRecording {
    let mut bench = Bench::new();
    put(&mut bench, SoundCheckKind::Before, "pitch.m4a", heard);
    let checks = bench.writer.sound_checks(bench.day).expect("read");
    let tests: Vec<String> = tests.iter().map(|t| (*t).to_owned()).collect();
    certificate(&checks, &tests)
        .expect("there")
        .recordings
        .remove(0)
}

#[test]
fn a_day_without_a_recording_says_that_the_sound_was_not_checked() {
    let report = Bench::new().report();
    assert_eq!(report.day.sound, "not checked");
    assert!(report.how_sure.contains("The sound was not checked."));
    assert_eq!(report.sound, None);
    assert_eq!(certificate(&[], &["ir1".to_owned()]), None);
}

#[test]
fn a_recording_of_the_days_test_is_in_the_words_of_the_day_and_changes_no_result() {
    let mut bench = Bench::new();
    let before = bench
        .writer
        .results(&ResultFilter::default())
        .expect("read");
    let without = bench.report();
    put(
        &mut bench,
        SoundCheckKind::Before,
        "C:\\sound/of\\pitch.m4a",
        &heard(),
    );
    let report = bench.report();
    assert_eq!(
        report.day.sound,
        "check before the test: 1\u{202F}112 of 1\u{202F}112 cues confirmed, largest interval \
         error 4\u{202F}ms, speed \u{2212}12\u{202F}ppm, lowest level 17\u{202F}dB over the \
         background, playback broke once (recording pitch.m4a)"
    );
    assert!(
        report.how_sure.contains(
            "The sound was checked before the test: 1\u{202F}112 of 1\u{202F}112 cues confirmed, \
             largest interval error 4\u{202F}ms, playback broke once."
        ),
        "{}",
        report.how_sure
    );
    assert!(!report.how_sure.contains("not checked"));
    assert_eq!(report.decisions, without.decisions);
    assert_eq!(report.athletes, without.athletes);
    let after = bench
        .writer
        .results(&ResultFilter::default())
        .expect("read");
    assert_eq!(after, before);
    let sound = report.sound.clone().expect("a certificate");
    let [recording] = sound.recordings.as_slice() else {
        panic!("one recording")
    };
    assert_eq!(
        recording.heard,
        "“ir1”, one of our tracks, known by its tone codes"
    );
    assert_eq!(recording.deviation, "");
    assert_eq!(recording.file_sha256, digest());
    assert_eq!(recording.cues.len(), CUES);
    assert_eq!(
        recording.gaps[0].words,
        "at 12:05 playback stood still for 2.5\u{202F}s (bouts 11.6 to 11.7)"
    );
    let figure = figure_sound(recording).expect("cues were heard");
    assert!(
        figure
            .alt
            .contains("the largest error is \u{2212}4.2\u{202F}ms at 38:34"),
        "{}",
        figure.alt
    );
    let book = render_xlsx(&report).expect("written");
    let mut book = calamine::open_workbook_auto_from_rs(std::io::Cursor::new(book)).expect("opens");
    let how = calamine::Reader::worksheet_range(&mut book, "How").expect("the sheet");
    let rows: Vec<String> = how
        .rows()
        .map(|row| {
            row.iter()
                .map(ToString::to_string)
                .collect::<Vec<_>>()
                .join("|")
        })
        .collect();
    for wanted in [
        "Sound check|pitch.m4a: Cues confirmed|1\u{202F}112 of 1\u{202F}112|",
        "Sound check|pitch.m4a: Playback speed|\u{2212}12\u{202F}ppm (\u{2212}0.0012\u{202F}%), \
         95\u{202F}% interval \u{2212}15 to \u{2212}9\u{202F}ppm; the recorder’s clock is taken as \
         true|",
    ] {
        assert!(rows.iter().any(|row| row == wanted), "{wanted}: {rows:#?}");
    }
    let undone = bench.writer.sound_checks(bench.day).expect("read")[0].change;
    bench.writer.undo_change(undone).expect("undone");
    assert_eq!(
        bench.report(),
        without,
        "an undone check leaves no trace in the report"
    );
}

#[test]
fn another_test_is_said_everywhere_and_first() {
    let mut bench = Bench::new();
    put(&mut bench, SoundCheckKind::Before, "good.wav", &heard());
    let other = Heard {
        test: Some("ir2".to_owned()),
        kind: Kind::Foreign,
        ..heard()
    };
    put(&mut bench, SoundCheckKind::During, "hall.wav", &other);
    let report = bench.report();
    let words = "the recording is of “ir2”, the day says “ir1”";
    let first = format!("recording of the test itself: NOT THE DAY’S TEST: {words}, ");
    assert!(report.day.sound.starts_with(&first), "{}", report.day.sound);
    assert!(report.day.sound.contains("(recording good.wav)"));
    let aloud = format!("The sound was not that of the day’s test: {words}.");
    assert!(report.how_sure.contains(&aloud), "{}", report.how_sure);
    assert_eq!(report.decisions[0].person, "sound, hall.wav");
    assert_eq!(report.decisions[0].what, words);
}

#[test]
fn the_test_itself_counts_before_an_earlier_or_later_check() {
    let mut bench = Bench::new();
    let fewer = Heard {
        cues_heard: 900,
        gaps: Vec::new(),
        worst_interval_ms: Some(0.34),
        ..heard()
    };
    put(&mut bench, SoundCheckKind::During, "hall.wav", &fewer);
    put(&mut bench, SoundCheckKind::Before, "good.wav", &heard());
    let aloud = "The sound was checked during the test: 900 of 1\u{202F}112 cues confirmed, \
                 largest interval error 0.3\u{202F}ms.";
    let report = bench.report();
    assert!(report.how_sure.contains(aloud), "{}", report.how_sure);
}

#[test]
fn tests_that_sound_the_same_deviate_only_when_none_is_the_days() {
    let shared = |tests: &[&str]| Heard {
        kind: Kind::Shared,
        test: None,
        shared: tests.iter().map(|t| (*t).to_owned()).collect(),
        ..heard()
    };
    assert_eq!(one(&shared(&["ir1", "ir1-u"]), &["ir1"]).deviation, "");
    assert_eq!(
        one(&shared(&["ie1", "ie2"]), &["ir1", "ir2"]).deviation,
        "the recording is of one of “ie1” and “ie2”, the day says “ir1” and “ir2”"
    );
}

#[test]
fn nothing_recognised_is_no_check_and_has_no_figure() {
    let silence = Heard {
        kind: Kind::NotRecognised,
        test: None,
        cues_heard: 0,
        cues_expected: 0,
        cues: Vec::new(),
        gaps: Vec::new(),
        speed_error_ppm: None,
        ..heard()
    };
    let mut bench = Bench::new();
    put(&mut bench, SoundCheckKind::Before, "yard.wav", &silence);
    let report = bench.report();
    assert_eq!(
        report.day.sound,
        "check before the test: no known test was heard (recording yard.wav)"
    );
    let aloud = "No known test was heard in the recording, so the sound was not checked.";
    assert!(report.how_sure.contains(aloud));
    let sound = report.sound.expect("a certificate");
    assert_eq!(figure_sound(&sound.recordings[0]), None);
}

#[test]
fn a_document_that_cannot_be_read_is_named() {
    let mut bench = Bench::new();
    let broken = SoundCheckFacts {
        kind: SoundCheckKind::Before,
        file_name: "old.wav".to_owned(),
        file_sha256: digest(),
        heard: "{\"format\":1,\"kind\":\"hummed\"}".to_owned(),
    };
    bench
        .writer
        .add_sound_check(bench.day, &broken)
        .expect("kept: the archive does not read it");
    let report = bench.report();
    assert!(
        report.day.sound.starts_with(
            "recording old.wav: its document of what was heard cannot be read (unknown variant"
        ),
        "{}",
        report.day.sound
    );
    let aloud = "The sound check that is attached could not be read, so the sound was not checked.";
    assert!(report.how_sure.contains(aloud));
    put(&mut bench, SoundCheckKind::Before, "good.wav", &heard());
    let sound = bench.report().sound.expect("a certificate");
    assert_eq!((sound.recordings.len(), sound.unread.len()), (1, 1));
}

#[test]
fn cues_outside_what_was_recorded_are_not_counted_as_missed() {
    let mut part = heard();
    let deaf = |cue: &mut plimsoll_listen::HeardCue| {
        cue.heard_s = None;
        cue.error_ms = None;
    };
    part.cues[..10].iter_mut().for_each(deaf);
    part.cues[500..503].iter_mut().for_each(deaf);
    part.cues[900..].iter_mut().for_each(deaf);
    let recording = one(&part, &["ir1"]);
    assert_eq!(recording.cues.len(), 890);
    let missed = recording.cues.iter().filter(|cue| cue.error_ms.is_none());
    assert_eq!(missed.count(), 3);
}

#[test]
fn each_kind_of_gap_is_told_in_its_own_words() {
    let gap = |kind, to_bout| Gap {
        at_s: 65.0,
        between_s: (64.0, 66.0),
        length_s: 8.0,
        kind,
        from_bout: 5,
        to_bout,
    };
    let mut broken = heard();
    broken.gaps = vec![
        gap(GapKind::Jump, 5),
        gap(GapKind::Restart, 6),
        gap(GapKind::Silent, 9_999),
    ];
    let recording = one(&broken, &["ir1"]);
    let words: Vec<&str> = recording.gaps.iter().map(|g| g.words.as_str()).collect();
    assert_eq!(
        words,
        [
            "at 01:05 playback left out 8.0\u{202F}s of the track (bout 5.5)",
            "at 01:05 playback went back and played 8.0\u{202F}s again (bouts 5.5 to 5.6)",
            "from 01:05 no cue was heard for 8.0\u{202F}s (bouts 5.5 to no. 9999)",
        ]
    );
    let ends: Vec<f64> = recording.gaps.iter().map(|g| g.to_s).collect();
    assert_eq!(ends, [65.0, 65.0, 73.0]);
}

#[test]
fn a_document_that_would_not_read_back_is_refused() {
    let mut bench = Bench::new();
    let mut odd = heard();
    odd.duration_s = f64::NAN;
    let (writer, day) = (&mut bench.writer, bench.day);
    let error = attach(
        writer,
        day,
        SoundCheckKind::Before,
        "a/odd.wav",
        &digest(),
        &odd,
    );
    let error = error.expect_err("not kept");
    assert!(matches!(error, AttachError::NotKept { .. }));
    let text = error.to_string();
    assert!(
        text.starts_with("what was heard in `odd.wav` cannot be kept: invalid type: null"),
        "{text}"
    );
    let kept: Vec<SoundCheck> = bench.writer.sound_checks(bench.day).expect("read");
    assert_eq!(kept, []);
}
