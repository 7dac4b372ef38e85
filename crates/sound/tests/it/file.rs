//! Every format, read back by an independent decoder.

use std::io::Cursor;

use plimsoll_sound::file::{Chapter, Format, Spec, Tags, Writer};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::file_decode::decode;

/// A piece of a track.
pub enum Piece {
    Sound(Vec<i16>),
    Silence(u64),
}

pub fn spec(rate: u32, channels: u16, pieces: &[Piece]) -> Spec {
    Spec {
        rate,
        channels,
        samples: flat(pieces).len() as u64,
    }
}

pub fn flat(pieces: &[Piece]) -> Vec<i16> {
    let mut out = Vec::new();
    for piece in pieces {
        match piece {
            Piece::Sound(samples) => out.extend_from_slice(samples),
            Piece::Silence(n) => out.resize(out.len() + usize::try_from(*n).expect("short"), 0),
        }
    }
    out
}

pub fn written(format: Format, spec: &Spec, pieces: &[Piece]) -> Vec<u8> {
    let mut writer =
        Writer::create(format, Cursor::new(Vec::new()), spec, &Tags::default(), &[]).expect("head");
    for piece in pieces {
        match piece {
            Piece::Sound(samples) => writer.write(samples).expect("sound"),
            Piece::Silence(n) => writer.silence(*n).expect("silence"),
        }
    }
    writer.finish().expect("end").into_inner()
}

fn tone(rate: u32, length: usize, level: f64) -> Vec<i16> {
    let step = std::f64::consts::TAU * 1_000.0 / f64::from(rate);
    #[expect(
        clippy::cast_possible_truncation,
        reason = "within 16 bits by construction"
    )]
    (0..length)
        .map(|i| ((i as f64 * step).sin() * level * 32_767.0).round() as i16)
        .collect()
}

fn noise(seed: u64, length: usize) -> Vec<i16> {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    (0..length).map(|_| rng.random()).collect()
}

fn lossless_cases() -> Vec<(&'static str, Vec<Piece>)> {
    use Piece::{Silence, Sound};
    vec![
        ("one sample", vec![Sound(vec![-1])]),
        (
            "a tail too short to encode",
            vec![Sound(noise(1, 4096 + 63))],
        ),
        ("a tail just long enough", vec![Sound(noise(2, 4096 + 64))]),
        ("256 and 257 in the last block", vec![Sound(noise(3, 256))]),
        ("257 in the last block", vec![Sound(noise(3, 257))]),
        (
            "full scale",
            vec![Sound([i16::MAX, i16::MIN].repeat(5_000))],
        ),
        ("one value", vec![Sound(vec![i16::MIN; 9_001])]),
        ("noise at full scale", vec![Sound(noise(4, 20_001))]),
        ("silence alone", vec![Silence(100_003)]),
        (
            "whole blocks",
            vec![
                Silence(8_192),
                Sound(tone(48_000, 8_192, 1.0)),
                Silence(4_096),
            ],
        ),
        (
            "pieces across blocks",
            vec![
                Silence(5),
                Sound(tone(48_000, 4_000, 0.9)),
                Silence(4_096 * 3 + 77),
                Sound(vec![7]),
                Silence(1),
                Sound(noise(5, 4_100)),
                Silence(0),
                Sound(Vec::new()),
                Silence(12_289),
            ],
        ),
    ]
}

#[test]
fn wav_and_flac_come_back_bit_for_bit() {
    for format in [Format::Wav, Format::Flac] {
        for (rate, channels) in [(44_100, 1), (48_000, 1), (48_000, 2), (44_100, 2)] {
            for (name, pieces) in lossless_cases() {
                let spec = spec(rate, channels, &pieces);
                let decoded = decode(&written(format, &spec, &pieces));
                assert_eq!(decoded.rate, rate);
                assert_eq!(decoded.channels.len(), usize::from(channels));
                for channel in &decoded.channels {
                    assert!(
                        *channel == flat(&pieces),
                        "{format:?}, {rate}, {channels}: {name}"
                    );
                }
                if format == Format::Flac {
                    assert_eq!(decoded.verified, Some(true), "the digest of {name}");
                }
            }
        }
    }
}

/// Frame numbers take three bytes from block 2048 on.
#[test]
fn flac_numbers_many_blocks() {
    let pieces = [
        Piece::Silence(4_096 * 2_050),
        Piece::Sound(tone(48_000, 4_097, 0.5)),
    ];
    let decoded = decode(&written(Format::Flac, &spec(48_000, 1, &pieces), &pieces));
    assert!(decoded.channels[0] == flat(&pieces));
    assert_eq!(decoded.verified, Some(true));
}

#[test]
fn a_track_of_no_samples_is_a_whole_file() {
    for format in Format::ALL {
        let spec = Spec {
            rate: 48_000,
            channels: 1,
            samples: 0,
        };
        let bytes = written(format, &spec, &[]);
        let start: &[u8] = match format {
            Format::Wav => b"RIFF",
            Format::Flac => b"fLaC",
            Format::Mp3 => &[0xFF, 0xFB],
        };
        assert!(bytes.starts_with(start), "{format:?}");
    }
    let spec = Spec {
        rate: 48_000,
        channels: 1,
        samples: 0,
    };
    assert_eq!(written(Format::Wav, &spec, &[]).len(), 44);
}

#[test]
fn silence_is_nearly_free() {
    let pieces = [Piece::Silence(48_000 * 60)];
    let spec = spec(48_000, 2, &pieces);
    let flac = written(Format::Flac, &spec, &pieces);
    // 704 blocks: head of at most 8 bytes, two constant subframes of 3 and 4, a checksum of 2
    assert!(flac.len() < 704 * 17 + 200, "{} bytes", flac.len());
}

/// Lag in samples at which `heard` fits `sent` best, searched within ± 1,300: more
/// than a frame, which is what an undeclared or doubled information frame would cost.
fn lag(sent: &[i16], heard: &[i16]) -> i64 {
    let (start, length) = (10_000_usize, 2_000_usize);
    let fit = |lag: i64| -> f64 {
        (start..start + length)
            .map(|i| {
                let j = usize::try_from(i as i64 + lag).expect("within the track");
                f64::from(sent[i]) * f64::from(heard[j])
            })
            .sum()
    };
    (-1_300..=1_300)
        .max_by(|a, b| fit(*a).total_cmp(&fit(*b)))
        .expect("not empty")
}

/// The decoder here and ffmpeg 5.1 both gave lag 0 and the exact length (checked by hand).
#[test]
fn mp3_comes_back_in_place_and_at_its_length() {
    for (rate, channels) in [(44_100, 1), (48_000, 1), (48_000, 2), (44_100, 2)] {
        for length in [30_000, 30_001, 31_103, 31_104] {
            // a chirp, so that only one lag fits
            let chirp: Vec<i16> = (0..4_000)
                .map(|i| {
                    let t = f64::from(i) / f64::from(rate);
                    let phase = std::f64::consts::TAU * (500.0 * t + 12_000.0 * t * t);
                    #[expect(clippy::cast_possible_truncation, reason = "below 16 bits")]
                    let s = (phase.sin() * 20_000.0) as i16;
                    s
                })
                .collect();
            let pieces = [
                Piece::Silence(10_000),
                Piece::Sound(chirp),
                Piece::Silence(length - 14_000),
            ];
            let spec = spec(rate, channels, &pieces);
            let decoded = decode(&written(Format::Mp3, &spec, &pieces));
            for channel in &decoded.channels {
                assert_eq!(channel.len() as u64, length, "{rate}, {channels}");
                assert_eq!(
                    lag(&flat(&pieces), channel),
                    0,
                    "{rate}, {channels}, {length}"
                );
            }
        }
    }
}

/// Repeating one frame in a long silence leaves no trace: a tone after it decodes exactly as
/// after a silence too short for any frame to be repeated.
#[test]
fn mp3_sounds_the_same_after_a_long_silence() {
    let sound = || Piece::Sound(tone(48_000, 4_800, 0.8));
    // both silences are whole frames, so the tones start at the same place in a frame
    let heard = |silence: u64| {
        let pieces = [
            sound(),
            Piece::Silence(silence),
            sound(),
            Piece::Silence(2_304),
        ];
        let spec = spec(48_000, 1, &pieces);
        let all = decode(&written(Format::Mp3, &spec, &pieces))
            .channels
            .remove(0);
        all[4_800 + usize::try_from(silence).expect("short") - 500..].to_vec()
    };
    // below the number of frames that must pass before frames are repeated, and far above it
    assert_eq!(heard(1_152 * 3), heard(1_152 * 40));
}

#[test]
fn tags_and_chapters_are_in_every_format() {
    let spec = Spec {
        rate: 48_000,
        channels: 1,
        samples: 96_001,
    };
    let tags = Tags {
        title: "Läufe".to_owned(),
        comment: "invented".to_owned(),
        fields: vec![
            ("Artist".to_owned(), "Nobody".to_owned()),
            ("plan".to_owned(), "x1".into()),
        ],
    };
    let chapters = [
        Chapter {
            at: 0,
            end: 48_000,
            title: "Start".to_owned(),
        },
        Chapter {
            at: 48_000,
            end: 96_001,
            title: "Stage 1".to_owned(),
        },
    ];
    for format in Format::ALL {
        let sink = Cursor::new(Vec::new());
        let mut writer = Writer::create(format, sink, &spec, &tags, &chapters).expect("head");
        writer.silence(96_001).expect("silence");
        let bytes = writer.finish().expect("end").into_inner();
        assert_eq!(decode(&bytes).channels[0].len(), 96_001, "{format:?}");
        let has = |text: &[u8]| bytes.windows(text.len()).any(|w| w == text);
        match format {
            Format::Wav => {
                let size = u32::from_le_bytes(bytes[4..8].try_into().expect("four bytes"));
                assert_eq!(size as usize + 8, bytes.len());
                assert!(has("INAM\x07\0\0\0Läufe\0".as_bytes()), "the title, padded");
                assert!(has(b"IART\x07\0\0\0Nobody\0\0"));
                assert!(has(b"ICMT\x11\0\0\0invented\nPLAN=x1\0"));
                assert!(has(b"cue \x34\0\0\0\x02\0\0\0"));
                assert!(has(b"labl\x0C\0\0\0\x02\0\0\0Stage 1\0"));
            }
            Format::Flac => {
                assert!(has("TITLE=Läufe".as_bytes()) && has(b"ARTIST=Nobody"));
                assert!(has(b"COMMENT=invented") && has(b"PLAN=x1"));
                assert!(has(b"CHAPTER001=00:00:00.000") && has(b"CHAPTER001NAME=Start"));
                assert!(has(b"CHAPTER002=00:00:01.000") && has(b"CHAPTER002NAME=Stage 1"));
            }
            Format::Mp3 => {
                let tag = id3::Tag::read_from2(Cursor::new(&bytes)).expect("a tag");
                use id3::TagLike;
                assert_eq!(tag.title(), Some("Läufe"));
                assert_eq!(tag.artist(), Some("Nobody"));
                assert_eq!(
                    tag.extended_texts().next().map(|t| t.value.as_str()),
                    Some("x1")
                );
                let times: Vec<_> = tag.chapters().map(|c| (c.start_time, c.end_time)).collect();
                assert_eq!(times, [(0, 1_000), (1_000, 2_000)]);
                assert_eq!(tag.tables_of_contents().count(), 1);
            }
        }
    }
}
