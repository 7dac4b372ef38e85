//! `plimsoll listen` as a person or a program runs it, on tracks that `plimsoll cues` made.

use crate::support::Bench;

#[test]
fn a_track_is_named_kept_and_certified() {
    let bench = Bench::filled();
    let made = bench.run(&[
        "cues",
        "ir1",
        "--minutes",
        "2",
        "--no-speech",
        "--out",
        &bench.path("t.flac").display().to_string(),
    ]);
    assert_eq!(made.status, 0, "{}", made.err);
    let path = bench.path("t.flac").display().to_string();
    let figure = bench.path("timing.svg").display().to_string();

    let heard = bench.run(&["--json", "listen", &path, "--test", "ir1"]);
    assert_eq!(heard.status, 0, "{}{}", heard.out, heard.err);
    let document = heard.json();
    assert_eq!(document["test"], "ir1");
    assert_eq!(document["cues_heard"], document["cues_expected"]);
    assert_eq!(document["gaps"], serde_json::json!([]));
    for key in ["offset_s", "speed_error_ppm", "residual_ms"] {
        assert!(document[key].is_number(), "{key}");
    }

    let wrong = bench.run(&["listen", &path, "--test", "msr20"]);
    assert_eq!(wrong.status, 1);
    assert!(
        wrong.out.contains("This is not the test expected"),
        "{}",
        wrong.out
    );

    let kept = bench.run(&[
        "listen",
        &path,
        "--attach",
        "2026-09-12",
        "--figure",
        &figure,
    ]);
    assert_eq!(kept.status, 0, "{}", kept.err);
    assert!(kept.out.contains("sound certificate"), "{}", kept.out);
    let svg = std::fs::read_to_string(&figure).expect("a figure");
    assert!(svg.contains("<title>") && svg.contains("viewBox"));
}

#[test]
fn what_is_no_recording_is_refused_and_silence_is_not_recognised() {
    let bench = Bench::filled();
    let text = bench.path("roster.csv.txt");
    std::fs::write(&text, "name,bib\n").expect("a file");
    let refused = bench.run(&["listen", &text.display().to_string()]);
    assert_eq!(refused.status, 2);
    assert!(refused.err.contains("roster.csv.txt"), "{}", refused.err);
    let missing = bench.run(&["listen", "nowhere.wav"]);
    assert_eq!(missing.status, 2);
}
