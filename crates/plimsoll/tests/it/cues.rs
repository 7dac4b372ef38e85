//! Cue tracks by the whole binary: what is written, what is printed, what is refused.

use crate::support::Bench;

/// A short track of level one, quick to make.
const SHORT: [&str; 6] = ["cues", "ir1", "--until", "9.1", "--out", "short.flac"];

#[test]
fn a_track_lies_beside_its_lists_and_the_document_has_the_fixed_keys() {
    let bench = Bench::new();
    let ran = bench.run(&[&SHORT[..], &["--json"]].concat());
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    let document = ran.json();
    let keys: Vec<&str> = document
        .as_object()
        .expect("an object")
        .keys()
        .map(String::as_str)
        .collect();
    let expected = "test fingerprint script language duration_s sample_rate channels samples \
        integrated_lufs true_peak_dbtp cues spoken files";
    assert_eq!(keys, expected.split_whitespace().collect::<Vec<_>>());
    let named = ["short.flac", "short.flac.cues.csv", "short.flac.cues.json"];
    assert_eq!(document["files"], serde_json::json!(named));
    assert_eq!(document["language"], "en");
    assert_eq!(document["script"], "stage_and_bout");
    // The definition's own script: the fingerprint of the ladder itself.
    let ladder = bench.run(&["ladder", "ir1", "--json"]).json();
    assert_eq!(document["fingerprint"], ladder["fingerprint"]);

    let cues = document["cues"].as_array().expect("cues");
    let of = |kind: &str| {
        cues.iter()
            .filter(|c| c["kind"] == kind)
            .collect::<Vec<_>>()
    };
    // Two bouts, one to a stage; five seconds counted down; one rest between them.
    for (kind, count) in [
        ("countdown", 5),
        ("start", 2),
        ("turn", 2),
        ("finish", 2),
        ("stage", 2),
        ("recovery_end", 1),
    ] {
        assert_eq!(of(kind).len(), count, "{kind}");
    }
    // 1 s of silence, 4 s of words, 5 s counted down; 40 m at 10 km/h are 14.4 s.
    let finish = of("finish")[0];
    assert_eq!(finish["t_s"], 24.4);
    assert_eq!(finish["sample"], 1_171_200);
    assert_eq!(
        (&finish["label"], &finish["bout"], &finish["code"]),
        (&"5.1".into(), &1.into(), &true.into())
    );
    let said = document["spoken"].as_array().expect("spoken");
    assert!(
        said.iter()
            .any(|s| s["text"] == "stage nine, bout one" && s["shortened"] == false),
        "{said:?}"
    );

    let beside = std::fs::read_to_string(bench.path("short.flac.cues.json")).expect("a document");
    assert_eq!(
        serde_json::from_str::<serde_json::Value>(&beside).expect("JSON"),
        document
    );
    let table = std::fs::read_to_string(bench.path("short.flac.cues.csv")).expect("a table");
    assert_eq!(table.lines().count(), 1 + cues.len() + said.len());
    assert!(
        table.contains("24.4,1171200,finish,5.1,1,true,,"),
        "{table}"
    );
    let track = std::fs::read(bench.path("short.flac")).expect("a track");
    assert!(track.starts_with(b"fLaC"));
    let left: Vec<_> = std::fs::read_dir(bench.folder.path())
        .expect("folder")
        .collect();
    assert_eq!(left.len(), 3, "{left:?}");
}

#[test]
fn files_that_are_there_are_kept_unless_told_otherwise() {
    let bench = Bench::new();
    for name in ["short.flac", "short.flac.cues.csv", "short.flac.cues.json"] {
        let path = bench.put(name, "mine");
        let ran = bench.run(&SHORT);
        assert_eq!(ran.status, 2);
        assert!(
            ran.err.contains(name) && ran.err.contains("--replace"),
            "{}",
            ran.err
        );
        assert_eq!(std::fs::read_to_string(&path).expect("kept"), "mine");
        let files = std::fs::read_dir(bench.folder.path()).expect("folder");
        assert_eq!(files.count(), 1);
        std::fs::remove_file(path).expect("removed");
    }
    bench.put("short.flac", "mine");
    let ran = bench.run(&[&SHORT[..], &["--replace"]].concat());
    assert_eq!(ran.status, 0, "{}", ran.err);
    let track = std::fs::read(bench.path("short.flac")).expect("a track");
    assert!(track.starts_with(b"fLaC"));
}

#[test]
fn what_cannot_be_made_exits_with_2_and_writes_nothing() {
    let bench = Bench::new();
    let out = ["--out", "x.flac"];
    for (args, said) in [
        (&["cues", "ir1", "--from", "14.99"][..], "`14.99`"),
        (&["cues", "ir1", "--until", "5.2"], "`5.2`"),
        (
            &["cues", "ir1", "--from", "9.1", "--until", "5.1"],
            "after the start",
        ),
        (&["cues", "run12"], "not paced"),
        (&["cues", "ir9"], "nearest are ir1"),
        (
            &["cues", "ir1", "--language", "xx"],
            "en, es, fr, de, pt, ja, ar",
        ),
        (
            &["cues", "ir1", "--minutes", "6.51"],
            "whole number of seconds",
        ),
        (&["cues", "ir1", "--minutes", "0.05"], "10 to 7200 s"),
        (
            &["cues", "ir1", "--announcements", "loud"],
            "stage-and-bout",
        ),
        (&["cues", "ir1", "--rate", "22050"], "44100 or 48000 Hz"),
        (&["cues", "ir1", "--channels", "3"], "1..=2"),
        (&["cues", "ir1", "--loudness", "-4"], "-40 to -5 LUFS"),
        (&["cues", "ir1", "--true-peak", "1"], "-9 to 0 dBTP"),
        (&["cues", "ir1", "--voice", "nowhere"], "nowhere"),
        (
            &["cues", "ir1", "--no-speech", "--say-rest"],
            "cannot be used with",
        ),
    ] {
        let ran = bench.run(&[args, &out].concat());
        assert_eq!(ran.status, 2, "{args:?}");
        assert!(ran.err.contains(said), "{args:?}: {}", ran.err);
        assert!(ran.out.is_empty(), "{args:?}: {}", ran.out);
    }
    for (name, said) in [
        ("x.aac", ".wav, .flac and .mp3"),
        ("no/x.wav", "no such folder"),
    ] {
        let ran = bench.run(&["cues", "ir1", "--out", name]);
        assert_eq!(ran.status, 2);
        assert!(ran.err.contains(said), "{}", ran.err);
    }
    let files = std::fs::read_dir(bench.folder.path()).expect("folder");
    assert_eq!(files.count(), 0);
}

#[test]
fn another_script_is_another_identity_and_a_person_is_told() {
    let bench = Bench::new();
    let own = bench.run(&["ladder", "ir1", "--json"]).json();
    let own = own["fingerprint"].as_str().expect("text").to_owned();
    let ran = bench.run(&[&SHORT[..], &["--no-speech", "--stereo"]].concat());
    assert_eq!(ran.status, 0, "{}", ran.err);
    let flat = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        "two channels",
        "no speech",
        "none here, stage and bout in the definition",
        own.as_str(),
        "58 ms for 20 m (20 °C)",
        "6 dB",
        "midway",
        "do-not-disturb",
        "plimsoll listen",
        "--minutes 6",
    ] {
        assert!(flat.contains(said), "{said}: {}", ran.out);
    }
    let text = std::fs::read_to_string(bench.path("short.flac.cues.json")).expect("a document");
    let document: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(document["language"], serde_json::Value::Null);
    assert_eq!(document["spoken"], serde_json::json!([]));
    assert_ne!(document["fingerprint"], own.as_str());
}

#[test]
fn own_recordings_come_from_a_folder_and_a_stranger_among_them_is_named() {
    let bench = Bench::new();
    std::fs::create_dir(bench.path("voice")).expect("folder");
    let args = [&SHORT[..], &["--voice", "voice"]].concat();
    let ran = bench.run(&args);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("0 recordings"), "{}", ran.err);
    // Half a second of a 400 Hz square wave.
    let samples: Vec<u8> = (0..4_000_u32)
        .flat_map(|i| (if i / 10 % 2 == 0 { 8_000_i16 } else { -8_000 }).to_le_bytes())
        .collect();
    let mut wav = b"RIFF".to_vec();
    wav.extend((36 + 8_000_u32).to_le_bytes());
    wav.extend(b"WAVEfmt \x10\0\0\0\x01\0\x01\0");
    wav.extend(8_000_u32.to_le_bytes());
    wav.extend(16_000_u32.to_le_bytes());
    wav.extend(b"\x02\0\x10\0data");
    wav.extend(8_000_u32.to_le_bytes());
    wav.extend(samples);
    std::fs::write(bench.path("voice/stage.wav"), &wav).expect("a recording");
    bench.put("voice/read-me.txt", "who spoke");
    let ran = bench.run(&args);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(ran.out.contains("read-me.txt"), "{}", ran.out);
    std::fs::write(bench.path("voice/leval.wav"), &wav).expect("a recording");
    let ran = bench.run(&[&args[..], &["--replace"]].concat());
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("leval.wav"), "{}", ran.err);
}
