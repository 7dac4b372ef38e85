//! The built-in voices: every clip is there, where the index says, equally loud, and silent around.
//! Source: `crates/sound/voices/`; the loudness and the length limits are our own rules.

use std::collections::BTreeSet;
use std::io::Cursor;
use std::sync::OnceLock;

use plimsoll_sound::voice::{Language, TARGET_RMS, Voice};
use symphonia::core::formats::TrackType;
use symphonia::core::formats::probe::Hint;
use symphonia::core::io::MediaSourceStream;

/// How far a clip's loudness may lie from the common one: differences below this are hard to notice in speech.
const LOUDNESS_TOLERANCE_DB: f64 = 1.5;

/// The codec smears a little sound over the edges of a clip, within a block; a gap with more is a wrong index.
const GAP_BELOW_SPEECH_DB: f64 = -18.0;

/// All gaps of a file together.
const GAPS_BELOW_SPEECH_DB: f64 = -27.0;

/// An index moved by 15 ms must find this much more sound in the gaps: so the delay of a codec cannot hide.
const MOVED_BY_MS: isize = 15;
const MOVED_IS_LOUDER_DB: f64 = 4.0;

/// What a spoken word or short sentence lasts, in seconds.
const PLAUSIBLE_S: std::ops::RangeInclusive<f64> = 0.15..=2.5;

pub fn rms(samples: &[f32]) -> f64 {
    let sum: f64 = samples.iter().map(|s| f64::from(*s).powi(2)).sum();
    (sum / samples.len() as f64).sqrt()
}

pub fn decibels(ratio: f64) -> f64 {
    20.0 * ratio.log10()
}

pub fn voice(language: Language) -> Voice {
    Voice::built_in(language).expect("the built-in voice decodes")
}

/// Returns a voice that is decoded once for all tests.
pub fn shared(language: Language) -> &'static Voice {
    static VOICES: [OnceLock<Voice>; Language::ALL.len()] = [const { OnceLock::new() }; _];
    VOICES[language as usize].get_or_init(|| voice(language))
}

/// Decodes a voice file apart from the code under test.
fn decoded(code: &str) -> (Vec<f32>, u32) {
    let path = format!("{}/voices/{code}.ogg", env!("CARGO_MANIFEST_DIR"));
    let bytes = std::fs::read(path).expect("the voice file is there");
    let stream = MediaSourceStream::new(Box::new(Cursor::new(bytes)), Default::default());
    let mut format = symphonia::default::get_probe()
        .probe(&Hint::new(), stream, Default::default(), Default::default())
        .expect("an Ogg file");
    let track = format
        .default_track(TrackType::Audio)
        .expect("a sound track");
    let parameters = track
        .codec_params
        .as_ref()
        .and_then(|p| p.audio())
        .expect("parameters");
    let mut decoder = symphonia::default::get_codecs()
        .make_audio_decoder(parameters, &Default::default())
        .expect("a decoder");
    let (mut all, mut part, mut rate) = (Vec::new(), Vec::new(), 0);
    while let Some(packet) = format.next_packet().expect("a packet") {
        let buffer = decoder.decode(&packet).expect("a sound packet");
        rate = buffer.spec().rate();
        buffer.copy_to_vec_interleaved::<f32>(&mut part);
        all.extend_from_slice(&part);
    }
    (all, rate)
}

fn index(code: &str) -> toml::Table {
    let path = format!("{}/voices/{code}.toml", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).expect("the index is there");
    text.parse().expect("the index is TOML")
}

/// Returns first sample and end of every clip, in the order of the file.
fn bounds(code: &str, rate: u32) -> Vec<(usize, usize)> {
    let index = index(code);
    let clips = index["clips"].as_table().expect("a table of clips");
    let at = |clip: &toml::Value, key: &str| {
        let ms = clip[key].as_integer().expect("whole milliseconds");
        usize::try_from(ms).expect("not negative") * rate as usize / 1000
    };
    let mut bounds: Vec<_> = clips
        .values()
        .map(|clip| (at(clip, "start"), at(clip, "start") + at(clip, "ms")))
        .collect();
    bounds.sort_unstable();
    bounds
}

#[test]
fn every_language_has_every_clip() {
    let words = "point stage bout rest ready stop-now test-ends starts-in seconds warm-up";
    let seconds = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 15, 20, 30, 45, 60, 90, 120];
    let mut expected: BTreeSet<String> = words.split(' ').map(str::to_owned).collect();
    expected.extend((0..=60).map(|n: u32| n.to_string()));
    expected.extend(seconds.map(|n| format!("seconds-{n}")));
    for language in Language::ALL {
        let found: BTreeSet<String> = shared(language).keys().map(str::to_owned).collect();
        assert_eq!(found, expected, "{language}");
    }
}

#[test]
fn clips_are_equally_loud_and_plausibly_long() {
    for language in Language::ALL {
        let voice = shared(language);
        for key in voice.keys() {
            let (samples, rate) = voice.clip(key).expect("the key is there");
            let off = decibels(rms(samples) / TARGET_RMS);
            assert!(
                off.abs() <= LOUDNESS_TOLERANCE_DB,
                "{language} {key}: {off:.2} dB"
            );
            let seconds = samples.len() as f64 / f64::from(rate);
            assert!(
                PLAUSIBLE_S.contains(&seconds),
                "{language} {key}: {seconds:.2} s"
            );
        }
    }
}

#[test]
fn the_index_is_true_of_the_decoded_file() {
    for language in Language::ALL {
        let code = language.code();
        let (sound, rate) = decoded(code);
        let bounds = bounds(code, rate);
        let end = bounds.last().expect("clips").1;
        let after = rate as usize / 20;
        assert_eq!(
            sound.len(),
            end + after,
            "{code}: the file ends 50 ms after the last clip"
        );

        let starts = bounds.iter().map(|b| b.0).chain([sound.len()]);
        let ends = [0].into_iter().chain(bounds.iter().map(|b| b.1));
        let gaps: Vec<(usize, usize)> = ends.zip(starts).collect();
        for &(from, to) in &gaps {
            assert!(
                to - from >= after,
                "{code}: at least 50 ms of silence at {from}"
            );
            let level = decibels(rms(&sound[from..to]) / TARGET_RMS);
            assert!(
                level < GAP_BELOW_SPEECH_DB,
                "{code}: {level:.1} dB in the gap at sample {from}"
            );
        }
        let level = |moved_ms: isize| {
            let by = moved_ms * rate as isize / 1000;
            let at = |i: usize| i.saturating_add_signed(by).min(sound.len());
            let all: Vec<f32> = gaps
                .iter()
                .flat_map(|&(from, to)| sound[at(from)..at(to)].iter().copied())
                .collect();
            decibels(rms(&all) / TARGET_RMS)
        };
        assert!(
            level(0) < GAPS_BELOW_SPEECH_DB,
            "{code}: {:.1} dB in all gaps",
            level(0)
        );
        for moved in [-MOVED_BY_MS, MOVED_BY_MS] {
            let louder = level(moved) - level(0);
            assert!(
                louder > MOVED_IS_LOUDER_DB,
                "{code}: only {louder:.1} dB louder {moved} ms away"
            );
        }
        // Speech begins and ends near the edges: an index that is off by the delay of a codec fails here.
        let edge = rate as usize * 40 / 1000;
        for (from, to) in bounds {
            for part in [&sound[from..from + edge], &sound[to - edge..to]] {
                let level = decibels(rms(part) / TARGET_RMS);
                assert!(
                    level > -45.0,
                    "{code}: {level:.1} dB at the edge of {from}..{to}"
                );
            }
        }
    }
}

#[test]
fn clips_of_one_voice_differ_from_each_other() {
    for language in Language::ALL {
        let voice = shared(language);
        let mut seen: Vec<&[f32]> = voice
            .keys()
            .filter_map(|key| voice.clip(key))
            .map(|c| c.0)
            .collect();
        let all = seen.len();
        seen.sort_by(|a, b| a.partial_cmp(b).expect("numbers"));
        seen.dedup();
        assert_eq!(seen.len(), all, "{language}");
    }
}

#[test]
fn every_text_of_a_language_is_its_own() {
    for language in Language::ALL {
        let index = index(language.code());
        let clips = index["clips"].as_table().expect("a table of clips");
        let texts: BTreeSet<&str> = clips.values().filter_map(|c| c["text"].as_str()).collect();
        assert_eq!(
            texts.len(),
            clips.len(),
            "{language}: two clips say the same"
        );
        for note in ["synthesiser", "voice", "licence"] {
            assert!(
                index[note].as_str().is_some_and(|text| !text.is_empty()),
                "{language}"
            );
        }
    }
}

#[test]
fn a_language_is_read_from_its_code() {
    for language in Language::ALL {
        assert_eq!(language.code().parse(), Ok(language));
    }
    let error = "xx".parse::<Language>().expect_err("no such language");
    assert_eq!(
        error.to_string(),
        "language: found \"xx\"; allowed: en, es, fr, de, pt, ja, ar; name one of these"
    );
}
