//! Broken and forged bytes: an error or some samples, never a panic, never much memory.

use plimsoll_sound::file::{Format, Spec, Tags, Writer};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::read::{fixture, opened};
use super::read_wav::wav;

/// Broken variants of each fixture.
const CASES: u64 = 300;
/// Most blocks taken from one: forged lengths may promise hours.
const BLOCKS: usize = 2_000;
/// Memory that the whole test program may have held at its fullest, in KiB: the forged sizes
/// below ask for gigabytes.
const MOST_KIB: u64 = 300_000;

const FIXTURES: [&str; 17] = [
    "aac.mkv",
    "ac3.mkv",
    "adpcm_ima.wav",
    "adpcm_ms.wav",
    "alac.m4a",
    "burst.aac",
    "burst.m4a",
    "burst.mp3",
    "burst.ogg",
    "burst.opus",
    "burst.webm",
    "opus.mp4",
    "pcm.mkv",
    "silent_film.mp4",
    "video.mov",
    "video.mp4",
    "vorbis.webm",
];

fn drain(bytes: Vec<u8>) {
    let Ok(mut recording) = opened(bytes) else {
        return;
    };
    let mut block = Vec::new();
    for _ in 0..BLOCKS {
        block.clear();
        match recording.next(&mut block) {
            Ok(true) => assert!(block.iter().all(|s| s.is_finite())),
            Ok(false) => return,
            Err(error) => {
                assert!(error.to_string().contains(';'), "{error} says what to do");
                return;
            }
        }
    }
}

fn broken(rng: &mut ChaCha8Rng, whole: &[u8]) -> Vec<u8> {
    let mut bytes = whole.to_vec();
    for _ in 0..rng.random_range(1..6) {
        let at = rng.random_range(0..bytes.len());
        // heads are where the lengths are
        let at = if rng.random() {
            at
        } else {
            at % 200.min(bytes.len())
        };
        match rng.random_range(0..6) {
            0 => bytes[at] ^= 1 << rng.random_range(0..8),
            1 => bytes[at] = rng.random(),
            2 => bytes[at] = [0x00, 0xFF, 0x7F, 0x80][rng.random_range(0..4)],
            3 => bytes.truncate(at.max(1)),
            4 => {
                let end = (at + rng.random_range(1..64)).min(bytes.len());
                bytes.splice(
                    at..at,
                    whole[at.min(whole.len())..end.min(whole.len())].to_vec(),
                );
            }
            _ => {
                let forged: [u8; 4] =
                    [[0xFF; 4], [0x7F, 0xFF, 0xFF, 0xFF], [0; 4]][rng.random_range(0..3)];
                for (to, from) in bytes[at..].iter_mut().zip(forged) {
                    *to = from;
                }
            }
        }
    }
    bytes
}

#[test]
fn broken_files_never_panic() {
    let mut files: Vec<(String, Vec<u8>)> = FIXTURES
        .iter()
        .map(|n| ((*n).to_owned(), fixture(n)))
        .collect();
    let sound: Vec<i16> = (0..9_000_i32)
        .map(|i| ((i * 7_919) % 60_000 - 30_000) as i16)
        .collect();
    for format in Format::ALL {
        let spec = Spec {
            rate: 48_000,
            channels: 2,
            samples: 9_000,
        };
        let sink = std::io::Cursor::new(Vec::new());
        let mut writer = Writer::create(format, sink, &spec, &Tags::default(), &[]).expect("head");
        writer.write(&sound).expect("sound");
        files.push((
            format.name().to_owned(),
            writer.finish().expect("end").into_inner(),
        ));
    }
    // A panic inside a demuxer or decoder is caught by the reader; this test sees our own.
    for (seed, (_, whole)) in files.iter().enumerate() {
        let mut rng = ChaCha8Rng::seed_from_u64(seed as u64);
        for _ in 0..CASES {
            drain(broken(&mut rng, whole));
        }
    }
}

#[test]
fn random_bytes_never_panic() {
    let mut rng = ChaCha8Rng::seed_from_u64(77);
    let starts: [&[u8]; 8] = [
        b"",
        b"RIFF\xff\xff\xff\xffWAVEfmt ",
        b"fLaC\0",
        b"OggS\0\x02",
        b"ID3\x04\0\0\x7f\x7f\x7f\x7f",
        b"\0\0\0\x18ftypM4A \0\0\0\0",
        b"\x1a\x45\xdf\xa3",
        b"\xff\xf1\x50\x80",
    ];
    for round in 0..400 {
        let mut bytes = starts[round % starts.len()].to_vec();
        let more = rng.random_range(0..3_000);
        bytes.extend((0..more).map(|_| rng.random::<u8>()));
        drain(bytes);
    }
}

/// Sizes of gigabytes in heads of a few bytes.
#[test]
fn forged_sizes_do_not_take_memory() {
    let forged: Vec<Vec<u8>> = vec![
        // a WAV format chunk, a tag list and a tag of 4 GiB
        b"RIFF\xff\xff\xff\xffWAVEfmt \xff\xff\xff\xff\x01\0\x01\0".to_vec(),
        b"RIFF\xff\xff\xff\xffWAVELIST\xfe\xff\xff\xffINFOINAM\xf0\xff\xff\xff".to_vec(),
        // ID3v2: a picture of 256 MiB
        [
            b"ID3\x04\0\0\x7f\x7f\x7f\x7fAPIC\x7f\x7f\x7f\x00\0\0\0".as_slice(),
            &[0; 64],
        ]
        .concat(),
        // FLAC: a picture and comments that say 4 GiB
        [
            b"fLaC\x06\xff\xff\xff\0\0\0\x03\xff\xff\xff\xff".as_slice(),
            &[1; 64],
        ]
        .concat(),
        [b"fLaC\x04\xff\xff\xff\xff\xff\xff\xff".as_slice(), &[1; 64]].concat(),
        // MP4: a 64-bit box of 2^62 bytes, and a sample table of 2^32 entries
        [
            b"\0\0\0\x18ftypM4A \0\0\0\0M4A isom\0\0\0\x01moov\x40\0\0\0\0\0\0\0".as_slice(),
            &[0; 32],
        ]
        .concat(),
        // Matroska: an element of 2^55 bytes
        b"\x1a\x45\xdf\xa3\x01\x7f\xff\xff\xff\xff\xff\xff\x42\x82\x84webm".to_vec(),
        wav(1, 8_000, 8_191, 32, &[0; 64]),
    ];
    for bytes in forged {
        drain(bytes);
    }
    let mut table = fixture("burst.m4a");
    for kind in [b"stsz", b"stts", b"stsc", b"stco", b"stsd"] {
        let at = table
            .windows(4)
            .position(|w| w == kind)
            .expect("a sample table");
        let count = at + if kind == b"stsz" { 12 } else { 8 };
        let kept: Vec<u8> = table[count..count + 4].to_vec();
        table[count..count + 4].copy_from_slice(&[0x7F, 0xFF, 0xFF, 0xFF]);
        drain(table.clone());
        table[count..count + 4].copy_from_slice(&kept);
    }
    if let Ok(status) = std::fs::read_to_string("/proc/self/status") {
        let peak = status
            .lines()
            .find_map(|l| l.strip_prefix("VmHWM:"))
            .expect("a peak");
        let kib: u64 = peak
            .trim()
            .trim_end_matches(" kB")
            .parse()
            .expect("a number");
        assert!(kib < MOST_KIB, "{kib} KiB at the fullest");
    }
}
