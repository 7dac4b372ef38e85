//! Uncompressed sound in all widths, our own writers' files, and what is overdriven.

use std::io::Cursor;

use plimsoll_listen::read::ClippedSpan;
use plimsoll_sound::file::{Format, Spec, Tags, Writer};

use super::read::{all, opened};

/// A WAV file around raw sample bytes. `kind` is 1 for integers, 3 for floats.
pub fn wav(kind: u16, rate: u32, channels: u16, bits: u16, data: &[u8]) -> Vec<u8> {
    let frame = channels * (bits / 8);
    let mut out = b"RIFF".to_vec();
    out.extend_from_slice(&(36 + data.len() as u32).to_le_bytes());
    out.extend_from_slice(b"WAVEfmt \x10\0\0\0");
    out.extend_from_slice(&kind.to_le_bytes());
    out.extend_from_slice(&channels.to_le_bytes());
    out.extend_from_slice(&rate.to_le_bytes());
    out.extend_from_slice(&(rate * u32::from(frame)).to_le_bytes());
    out.extend_from_slice(&frame.to_le_bytes());
    out.extend_from_slice(&bits.to_le_bytes());
    out.extend_from_slice(b"data");
    out.extend_from_slice(&(data.len() as u32).to_le_bytes());
    out.extend_from_slice(data);
    out
}

#[test]
fn all_widths_give_the_same_half() {
    let half: [(u16, u16, Vec<u8>); 5] = [
        (1, 8, vec![0xC0, 0x40]),
        (
            1,
            16,
            [0x4000_i16.to_le_bytes(), (-0x4000_i16).to_le_bytes()].concat(),
        ),
        (1, 24, vec![0, 0, 0x40, 0, 0, 0xC0]),
        (
            1,
            32,
            [
                0x4000_0000_i32.to_le_bytes(),
                (-0x4000_0000_i32).to_le_bytes(),
            ]
            .concat(),
        ),
        (
            3,
            32,
            [0.5_f32.to_le_bytes(), (-0.5_f32).to_le_bytes()].concat(),
        ),
    ];
    for (kind, bits, data) in half {
        let mut recording = opened(wav(kind, 8_000, 1, bits, &data.repeat(2_500))).expect("a WAV");
        let (samples, error) = all(&mut recording);
        assert!(error.is_none(), "{error:?}");
        assert!(samples == [0.5, -0.5].repeat(2_500), "{bits} bits");
    }
}

#[test]
fn channels_are_averaged_and_the_loudest_counts_as_overdriven() {
    let frame = |l: i16, r: i16| [l.to_le_bytes(), r.to_le_bytes()].concat();
    let mut data = frame(0x2000, 0x4000).repeat(2_000);
    data.extend(frame(i16::MIN, 0).repeat(3));
    data.extend(frame(0, 0).repeat(10_000));
    data.extend(frame(0, i16::MAX).repeat(2));
    let mut recording = opened(wav(1, 48_000, 2, 16, &data)).expect("a WAV");
    assert_eq!((recording.rate(), recording.channels()), (48_000, 2));
    let (samples, _) = all(&mut recording);
    assert_eq!(samples.len(), 12_005);
    assert_eq!(
        (samples[0], samples[2_000], samples[5_000]),
        (0.375, -0.5, 0.0)
    );
    assert_eq!(recording.clipped(), 3);
    assert_eq!(
        recording.clipped_spans(),
        [ClippedSpan {
            from: 2_000,
            to: 2_003
        }]
    );
}

#[test]
fn floats_that_are_no_numbers_become_silence() {
    let data: Vec<u8> = [f32::NAN, f32::INFINITY, 1.5]
        .iter()
        .flat_map(|s| s.to_le_bytes())
        .collect();
    let (samples, _) = all(&mut opened(wav(3, 8_000, 1, 32, &data)).expect("a WAV"));
    assert_eq!(samples, [0.0, 1_000.0, 1.5]);
}

#[test]
fn our_own_files_come_back() {
    let sound: Vec<i16> = (0..30_001_i32)
        .map(|i| ((i * 7_919) % 20_011 - 10_000) as i16)
        .collect();
    let spec = Spec {
        rate: 44_100,
        channels: 2,
        samples: 130_001,
    };
    for format in [Format::Wav, Format::Flac] {
        let sink = Cursor::new(Vec::new());
        let mut writer = Writer::create(format, sink, &spec, &Tags::default(), &[]).expect("head");
        writer.silence(100_000).expect("silence");
        writer.write(&sound).expect("sound");
        let bytes = writer.finish().expect("end").into_inner();
        let mut recording = opened(bytes).expect("known");
        let (samples, error) = all(&mut recording);
        assert!(error.is_none());
        assert_eq!(samples.len(), 130_001);
        assert!(samples[..100_000].iter().all(|s| *s == 0.0));
        let same = samples[100_000..].iter().zip(&sound);
        assert!(
            same.clone().all(|(s, w)| (s * 32_768.0) == f32::from(*w)),
            "{format:?}"
        );
    }
}
