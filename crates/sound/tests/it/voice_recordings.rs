//! A user's own recordings in place of the built-in clips.

use plimsoll_sound::voice::{Language, Phrase, TARGET_RMS, Voice, VoiceError};

use crate::voice::{decibels, rms, voice};

/// The gain is found by halving, so the loudness of a recording is nearly exact.
const EXACT_DB: f64 = 0.05;

/// Writes 16-bit WAV.
fn wav(rate: u32, channels: u16, samples: &[f32]) -> Vec<u8> {
    let data: Vec<u8> = samples
        .iter()
        .flat_map(|s| ((s * 32767.0) as i16).to_le_bytes())
        .collect();
    let mut file = Vec::new();
    file.extend(b"RIFF");
    file.extend((36 + data.len() as u32).to_le_bytes());
    file.extend(b"WAVEfmt ");
    file.extend(16u32.to_le_bytes());
    file.extend(1u16.to_le_bytes());
    file.extend(channels.to_le_bytes());
    file.extend(rate.to_le_bytes());
    file.extend((rate * u32::from(channels) * 2).to_le_bytes());
    file.extend((channels * 2).to_le_bytes());
    file.extend(16u16.to_le_bytes());
    file.extend(b"data");
    file.extend((data.len() as u32).to_le_bytes());
    file.extend(data);
    file
}

/// Silence, a tone of 700 Hz, silence: for each channel the same.
fn tone(rate: u32, channels: u16, peak: f32, [before, sound, after]: [f32; 3]) -> Vec<u8> {
    let n = |seconds: f32| (seconds * rate as f32) as usize;
    let mut samples = vec![0.0; n(before) * usize::from(channels)];
    for i in 0..n(sound) {
        let angle = i as f32 / rate as f32 * 700.0 * std::f32::consts::TAU;
        samples.extend(vec![peak * angle.sin(); usize::from(channels)]);
    }
    samples.resize(samples.len() + n(after) * usize::from(channels), 0.0);
    wav(rate, channels, &samples)
}

fn with(name: &str, bytes: Vec<u8>) -> Result<Voice, VoiceError> {
    voice(Language::English).with_recordings([(name.to_owned(), bytes)])
}

#[test]
fn a_recording_takes_the_place_of_its_clip_only() {
    for (rate, channels, peak) in [
        (8_000, 1, 0.01),
        (22_050, 2, 0.5),
        (44_100, 1, 1.0),
        (96_000, 2, 0.1),
    ] {
        let file = tone(rate, channels, peak, [0.3, 0.5, 0.4]);
        let voice = with("some/folder/Stage.WAV", file).expect("a good recording");
        let (clip, clip_rate) = voice.clip("stage").expect("the clip");
        assert_eq!(clip_rate, rate);
        let seconds = clip.len() as f64 / f64::from(rate);
        assert!(
            (0.5..=0.54).contains(&seconds),
            "{rate}: trimmed to {seconds}"
        );
        let off = decibels(rms(clip) / TARGET_RMS);
        assert!(off.abs() < EXACT_DB, "{rate}: {off}");

        let built_in = self::voice(Language::English);
        assert_eq!(voice.clip("14"), built_in.clip("14"));
        let phrase = Phrase::Stage {
            stage: "14".to_owned(),
        };
        let said = voice.say(&phrase, 48_000, usize::MAX).expect("room enough");
        assert_eq!(said.text, "stage fourteen");
    }
}

#[test]
fn a_recording_replaces_what_was_said_before() {
    let built_in = voice(Language::English);
    let before = built_in
        .say(&Phrase::Rest, 48_000, usize::MAX)
        .expect("rest");
    let file = tone(48_000, 1, 0.5, [0.1, 0.4, 0.1]);
    let voice = built_in
        .with_recordings([("rest.wav".to_owned(), file)])
        .expect("a good recording");
    let after = voice.say(&Phrase::Rest, 48_000, usize::MAX).expect("rest");
    assert_ne!(before.samples, after.samples);
}

#[test]
fn flac_mp3_and_ogg_are_read() {
    let files: [(&str, &[u8]); 3] = [
        ("bout.flac", include_bytes!("voice_tone.flac")),
        ("bout.mp3", include_bytes!("voice_tone.mp3")),
        ("bout.ogg", include_bytes!("voice_tone.ogg")),
    ];
    for (name, bytes) in files {
        let voice = with(name, bytes.to_vec()).expect(name);
        let (clip, rate) = voice.clip("bout").expect("the clip");
        assert_eq!(rate, 44_100, "{name}");
        let seconds = clip.len() as f64 / f64::from(rate);
        assert!((0.5..=0.56).contains(&seconds), "{name}: {seconds}");
        assert!(decibels(rms(clip) / TARGET_RMS).abs() < EXACT_DB, "{name}");
    }
}

#[test]
fn rumble_is_taken_away() {
    let rate = 48_000;
    let hum: Vec<f32> = (0..rate)
        .map(|i| {
            let t = i as f32 / rate as f32 * std::f32::consts::TAU;
            0.4 * (40.0 * t).sin() + 0.1 * (1000.0 * t).sin()
        })
        .collect();
    let voice = with("rest.wav", wav(rate, 1, &hum)).expect("a good recording");
    let (clip, _) = voice.clip("rest").expect("the clip");
    // Second-order high-pass at 150 Hz: 40 Hz falls by 23 dB, so 1000 Hz is left at nearly the whole loudness.
    let part = |hz: f32| {
        let (mut re, mut im) = (0.0f64, 0.0f64);
        for (i, s) in clip[4800..43200].iter().enumerate() {
            let angle = f64::from(hz) * i as f64 / f64::from(rate) * std::f64::consts::TAU;
            re += f64::from(*s) * angle.cos();
            im += f64::from(*s) * angle.sin();
        }
        re.hypot(im)
    };
    let kept = decibels(part(40.0) / part(1000.0));
    assert!(
        (-12.5..=-9.5).contains(&kept),
        "12 dB above before, {kept:.1} dB now; expected -11"
    );
}

#[test]
fn faults_are_named() {
    let good = || tone(48_000, 1, 0.5, [0.0, 0.5, 0.0]);
    let message = |result: Result<Voice, VoiceError>| result.expect_err("a fault").to_string();

    let unknown = message(with("phase.wav", good()));
    assert_eq!(
        unknown,
        "recording phase.wav: no clip is called \"phase\"; allowed: 0 to 60, bout, point, ready, rest, seconds, \
         seconds-1, seconds-10, seconds-120, seconds-15, seconds-2, seconds-20, seconds-3, seconds-30, seconds-4, \
         seconds-45, seconds-5, seconds-6, seconds-60, seconds-7, seconds-8, seconds-9, seconds-90, stage, \
         starts-in, stop-now, test-ends, warm-up; rename the file or take it out of the folder"
    );
    assert_eq!(
        message(with("stage.wav", tone(8_000, 1, 0.5, [0.0, 5.1, 0.0]))),
        "recording stage.wav: lasts more than 5000 ms; allowed: up to 5000 ms; record only the words of the clip \
         and cut the rest"
    );
    assert_eq!(
        message(with("stage.wav", tone(48_000, 1, 0.0, [0.1, 0.5, 0.1]))),
        "recording stage.wav: found no sound above -60 dB of full scale; allowed: speech of at least 50 ms; record \
         it again, nearer to the microphone"
    );
    assert_eq!(
        message(with("stage.wav", tone(6_000, 1, 0.5, [0.0, 0.5, 0.0]))),
        "recording stage.wav: sample rate 6000 Hz; allowed: 8000 to 192000 Hz; save it again at 48000 Hz"
    );
    let unreadable = message(with("14.wav", b"no sound at all".to_vec()));
    assert!(
        unreadable.starts_with("recording 14.wav: cannot be read ("),
        "{unreadable}"
    );
    assert!(unreadable.ends_with("allowed: WAV, FLAC, Ogg Vorbis or MP3; save it again as WAV"));
    assert!(matches!(
        with("14.wav", vec![0; 17 * 1024 * 1024]),
        Err(VoiceError::TooLarge { .. })
    ));
    let twice = ["a/rest.wav", "b/Rest.wav"].map(|name| (name.to_owned(), good()));
    assert_eq!(
        message(voice(Language::English).with_recordings(twice)),
        "recording b/Rest.wav: a/rest.wav is a recording of the same clip \"rest\"; allowed: one file for each \
         clip; take one of the two away"
    );
}
