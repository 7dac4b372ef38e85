//! Every format a phone makes: the burst of each fixture is where it was put.

use std::io::Cursor;

use plimsoll_listen::read::{ReadError, Recording, open};

/// Bytes of a fixture.
pub fn fixture(name: &str) -> Vec<u8> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/fixtures/");
    std::fs::read(format!("{folder}{name}")).expect("a fixture")
}

pub fn opened(bytes: Vec<u8>) -> Result<Recording, ReadError> {
    open(Box::new(Cursor::new(bytes)), None)
}

/// All samples, and the error that ended them.
pub fn all(recording: &mut Recording) -> (Vec<f32>, Option<ReadError>) {
    let mut samples = Vec::new();
    loop {
        match recording.next(&mut samples) {
            Ok(true) => {}
            Ok(false) => return (samples, None),
            Err(error) => return (samples, Some(error)),
        }
    }
}

/// The burst starts at 0.2 s; half its level is passed after a twelfth of a period and at most
/// one sample. Lossy coding smears the edge by a few samples more.
const SMEAR: usize = 8;
/// The AAC encoder starts with one frame of 1,024 samples which MP4 edit lists and Matroska
/// delays declare; the demuxers here do not pass that on, and ADTS cannot say it. All times of
/// an AAC recording are late by it; differences of times are not.
const AAC_DELAY: usize = 1_024;

#[test]
fn the_burst_is_where_it_was_put() {
    // file, coding, rate, samples, delay
    let cases = [
        ("burst.mp3", "mp3", 48_000, 24_000, 0),
        ("burst.opus", "opus", 48_000, 24_000, 0),
        // no end trimming in these two containers: up to one packet of 20 ms and the delay more
        ("burst.webm", "opus", 48_000, 24_648, 0),
        ("opus.mp4", "opus", 48_000, 24_648, 0),
        ("burst.ogg", "vorbis", 48_000, 24_000, 0),
        ("vorbis.webm", "vorbis", 48_000, 24_256, 0),
        ("burst.aac", "aac", 48_000, 25_600, AAC_DELAY),
        ("burst.m4a", "aac", 48_000, 25_600, AAC_DELAY),
        ("aac.mkv", "aac", 48_000, 25_600, AAC_DELAY),
        ("video.mp4", "aac", 48_000, 25_600, AAC_DELAY),
        ("video.mov", "pcm_s16le", 16_000, 8_000, 0),
        ("pcm.mkv", "pcm_s16le", 16_000, 8_000, 0),
        ("alac.m4a", "alac", 16_000, 8_000, 0),
        // the last block of both is filled up
        ("adpcm_ms.wav", "adpcm_ms", 16_000, 8_144, 0),
        ("adpcm_ima.wav", "adpcm_ima_wav", 16_000, 8_164, 0),
    ];
    for (name, codec, rate, length, delay) in cases {
        let mut recording = opened(fixture(name)).expect(name);
        assert_eq!(
            (recording.codec(), recording.rate()),
            (codec, rate),
            "{name}"
        );
        assert_eq!(recording.channels(), 1, "{name}");
        let (samples, error) = all(&mut recording);
        assert!(error.is_none(), "{name}: {error:?}");
        assert_eq!(samples.len(), length, "{name}");
        assert_eq!(recording.samples(), length as u64, "{name}");
        assert_eq!((recording.damaged(), recording.clipped()), (0, 0), "{name}");
        let onset = samples.iter().position(|s| s.abs() > 0.25).expect(name);
        let end = samples.iter().rposition(|s| s.abs() > 0.25).expect(name);
        let second = rate as usize;
        let true_onset = second / 5 + delay;
        assert!(
            (true_onset..=true_onset + SMEAR).contains(&onset),
            "{name}: onset {onset}"
        );
        let true_end = second * 3 / 10 + delay;
        assert!(
            (true_end - 2 * SMEAR..=true_end).contains(&end),
            "{name}: end {end}"
        );
    }
}

#[test]
fn the_end_is_told_again_and_again() {
    let mut recording = opened(fixture("burst.ogg")).expect("known");
    all(&mut recording);
    let mut more = Vec::new();
    assert!(!recording.next(&mut more).expect("the end"));
    assert!(!recording.next(&mut more).expect("the end"));
    assert!(more.is_empty());
}

/// A name that lies about the format does no harm.
#[test]
fn the_bytes_decide_not_the_name() {
    let bytes = fixture("burst.ogg");
    let recording = open(Box::new(Cursor::new(bytes)), Some("mp3")).expect("known");
    assert_eq!(recording.codec(), "vorbis");
}
