//! What is refused, and the whole message of each refusal.

use std::io::{Cursor, Error, Result, Seek, SeekFrom, Write};
use std::path::Path;

use plimsoll_sound::file::{Chapter, FileError, Format, Spec, Tags, Writer};

const SPEC: Spec = Spec {
    rate: 48_000,
    channels: 1,
    samples: 1_000_000,
};

fn created(format: Format, spec: Spec, tags: &Tags, chapters: &[Chapter]) -> String {
    match Writer::create(format, Cursor::new(Vec::new()), &spec, tags, chapters) {
        Ok(_) => panic!("should be refused"),
        Err(error) => error.to_string(),
    }
}

#[test]
fn the_ending_of_the_name_decides() {
    let of = |name: &str| Format::from_path(Path::new(name));
    assert_eq!(of("a/b.WAV").expect("known"), Format::Wav);
    assert_eq!(of("b.flac").expect("known"), Format::Flac);
    assert_eq!(of("b.x.Mp3").expect("known"), Format::Mp3);
    assert_eq!(
        of("a/b.ogg").expect_err("unknown").to_string(),
        "the sound file \"b.ogg\" ends in .ogg; allowed are .wav, .flac and .mp3; \
         give the file one of these endings"
    );
    assert_eq!(
        of("track").expect_err("unknown").to_string(),
        "the sound file \"track\" has no ending; allowed are .wav, .flac and .mp3; \
         give the file one of these endings"
    );
}

#[test]
fn shapes_out_of_bounds_are_refused() {
    let none = Tags::default();
    assert_eq!(
        created(
            Format::Flac,
            Spec {
                rate: 22_050,
                ..SPEC
            },
            &none,
            &[]
        ),
        "a sound file at 22050 Hz was asked for; allowed are 44100 and 48000; ask for one of these"
    );
    assert_eq!(
        created(
            Format::Flac,
            Spec {
                channels: 3,
                ..SPEC
            },
            &none,
            &[]
        ),
        "a sound file with 3 channels was asked for; allowed are 1 and 2; ask for one of these"
    );
    let long = Spec {
        samples: u64::MAX,
        ..SPEC
    };
    assert_eq!(
        created(Format::Wav, long, &none, &[]),
        "a WAV file of 18446744073709551615 samples was asked for; at most 2147483625 fit; \
         split the track or choose FLAC"
    );
    for format in [Format::Flac, Format::Mp3] {
        assert!(
            created(format, long, &none, &[]).contains("at most"),
            "{format:?}"
        );
    }
}

#[test]
fn chapters_and_tags_out_of_bounds_are_refused() {
    let chapter = |at, end| Chapter {
        at,
        end,
        title: "Stage".to_owned(),
    };
    let none = Tags::default();
    assert_eq!(
        created(
            Format::Wav,
            SPEC,
            &none,
            &[chapter(0, 5), chapter(7, 1_000_001)]
        ),
        "chapter 2 \"Stage\" runs from sample 7 to 1000001 in a track of 1000000; a chapter ends \
         after it starts, inside the track, and starts no earlier than the one before it; \
         correct its two samples"
    );
    created(Format::Wav, SPEC, &none, &[chapter(5, 5)]);
    created(Format::Wav, SPEC, &none, &[chapter(5, 9), chapter(4, 9)]);
    assert_eq!(
        created(Format::Mp3, SPEC, &none, &vec![chapter(0, 1); 256]),
        "a MP3 file with 256 chapters was asked for; at most 255 can be listed; leave some out"
    );
    let named = |name: &str| Tags {
        fields: vec![(name.to_owned(), String::new())],
        ..none.clone()
    };
    assert_eq!(
        created(Format::Flac, SPEC, &named("A=B"), &[]),
        "the tag name \"A=B\" cannot be written; allowed are 1 to 60 of the characters \
         A-Z, a-z, 0-9, space, - and _; rename it"
    );
    created(Format::Flac, SPEC, &named(""), &[]);
    let large = Tags {
        comment: "x".repeat(1 << 20 | 1),
        ..Tags::default()
    };
    assert_eq!(
        created(Format::Flac, SPEC, &large, &[]),
        "the tags take 1048577 bytes; at most 1048576 are allowed; \
         shorten the comment or the chapter titles"
    );
}

#[test]
fn the_announced_length_is_kept() {
    for format in Format::ALL {
        let spec = Spec {
            samples: 10,
            ..SPEC
        };
        let sink = Cursor::new(Vec::new());
        let mut writer = Writer::create(format, sink, &spec, &Tags::default(), &[]).expect("head");
        writer.write(&[1; 9]).expect("fits");
        assert_eq!(
            writer.silence(2).expect_err("too many").to_string(),
            "sample 11 was written to a track announced as 10 samples; announce the true length first"
        );
        assert!(matches!(
            writer.finish(),
            Err(FileError::TooFew {
                found: 9,
                announced: 10
            })
        ));
    }
}

/// A disk with room for so many bytes.
struct Full(Cursor<Vec<u8>>, u64);

impl Write for Full {
    fn write(&mut self, bytes: &[u8]) -> Result<usize> {
        let room = self.1.saturating_sub(self.0.position());
        if room == 0 {
            return Err(Error::new(std::io::ErrorKind::StorageFull, "no space left"));
        }
        let now = bytes.len().min(usize::try_from(room).unwrap_or(usize::MAX));
        self.0.write(&bytes[..now])
    }
    fn flush(&mut self) -> Result<()> {
        Ok(())
    }
}

impl Seek for Full {
    fn seek(&mut self, to: SeekFrom) -> Result<u64> {
        self.0.seek(to)
    }
}

#[test]
fn a_full_disk_is_named() {
    for format in Format::ALL {
        for room in [0, 10, 100_000] {
            let spec = Spec {
                samples: 2_000_000,
                ..SPEC
            };
            let sink = Full(Cursor::new(Vec::new()), room);
            let outcome =
                Writer::create(format, sink, &spec, &Tags::default(), &[]).and_then(|mut w| {
                    let sound: Vec<i16> = [0, 9_000, -20_000, 7, 31_000].repeat(200_000);
                    w.write(&sound)?;
                    w.silence(1_000_000)?;
                    w.finish()
                });
            let Err(FileError::Sink {
                format: name,
                source,
                ..
            }) = &outcome
            else {
                panic!("{format:?} with room for {room}: should be refused")
            };
            assert_eq!(*name, format.name());
            assert_eq!(source.kind(), std::io::ErrorKind::StorageFull);
            let message = outcome.err().expect("refused").to_string();
            assert!(
                message.contains("no space left; the file is incomplete"),
                "{message}"
            );
        }
    }
}
