//! What cannot be read, and the whole message of each refusal.

use std::io::{Read, Seek, SeekFrom};

use plimsoll_listen::read::open;

use super::read::{all, fixture, opened};
use super::read_wav::wav;

fn refusal(bytes: Vec<u8>) -> String {
    opened(bytes).expect_err("should be refused").to_string()
}

#[test]
fn files_that_are_no_recordings_say_what_they_are() {
    assert_eq!(
        refusal(Vec::new()),
        "the recording holds 0 bytes; copy it from the phone again"
    );
    assert_eq!(
        refusal(b"Name;Stage\nInvented Person;7\n".to_vec()),
        "the recording starts with the text \"Name;Stage\", which is no sound file known here; \
         allowed are WAV, FLAC, MP3, AAC, M4A, MP4, MOV, Ogg, MKV or WebM; \
         convert it to M4A or WAV"
    );
    assert_eq!(
        refusal(b"\x89PNG\r\n\x1a\n\0\0\0\x0d".to_vec()),
        "the recording starts with the bytes 89 50 4E 47 0D 0A 1A 0A, which is no sound file \
         known here; allowed are WAV, FLAC, MP3, AAC, M4A, MP4, MOV, Ogg, MKV or WebM; \
         convert it to M4A or WAV"
    );
}

#[test]
fn a_film_without_sound_and_a_strange_coding() {
    assert_eq!(
        refusal(fixture("silent_film.mp4")),
        "the isomp4 file has 1 tracks and none of them is sound; \
         choose the recording that has sound"
    );
    assert_eq!(
        refusal(fixture("ac3.mkv")),
        "the sound in the matroska file is coded as AC-3, which cannot be decoded here \
         (unsupported feature: core (codec): unsupported audio codec); \
         convert it to M4A (AAC-LC) or WAV"
    );
}

#[test]
fn bounds_are_kept() {
    assert_eq!(
        refusal(wav(1, 3_999, 1, 16, &[0; 400])),
        "the recording has 3999 samples per second; allowed are 4000 to 384000; \
         convert it to a WAV file at 48000"
    );
    assert_eq!(
        refusal(wav(1, 384_001, 1, 16, &[0; 400])),
        "the recording has 384001 samples per second; allowed are 4000 to 384000; \
         convert it to a WAV file at 48000"
    );
    assert_eq!(
        refusal(wav(1, 8_000, 9, 16, &[0; 1_800])),
        "the recording has 9 channels; allowed are 1 to 8; convert it to a WAV file with one"
    );
    assert!(opened(wav(1, 8_000, 8, 16, &[0; 1_600])).is_ok());
    assert_eq!(
        refusal(wav(1, 8_000, 1, 16, &[])),
        "the pcm_s16le sound of the recording has a length of 0 samples; choose another recording"
    );
}

/// A WAV head and then silence, as long as the head says, without holding it.
struct Silence {
    head: Vec<u8>,
    length: u64,
    at: u64,
}

impl Read for Silence {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let left = usize::try_from(self.length.saturating_sub(self.at)).expect("64 bits");
        let now = buffer.len().min(left);
        let at = usize::try_from(self.at).expect("64 bits");
        for (i, byte) in buffer[..now].iter_mut().enumerate() {
            *byte = self.head.get(at + i).copied().unwrap_or(0x80);
        }
        self.at += now as u64;
        Ok(now)
    }
}

impl Seek for Silence {
    fn seek(&mut self, to: SeekFrom) -> std::io::Result<u64> {
        self.at = match to {
            SeekFrom::Start(at) => at,
            SeekFrom::End(more) => self.length.saturating_add_signed(more),
            SeekFrom::Current(more) => self.at.saturating_add_signed(more),
        };
        Ok(self.at)
    }
}

#[test]
fn a_recording_of_more_than_twelve_hours_is_cut_there() {
    // 4,000 Hz and 8 bits: one second more than 172.8 million samples
    let data = 4_000_u32 * (3_600 * 12 + 1);
    let mut head = wav(1, 4_000, 1, 8, &[]);
    head[4..8].copy_from_slice(&(36 + data).to_le_bytes());
    head[40..44].copy_from_slice(&data.to_le_bytes());
    let source = Silence {
        head,
        length: 44 + u64::from(data),
        at: 0,
    };
    let mut recording = open(Box::new(source), Some("wav")).expect("a WAV");
    let mut block = Vec::new();
    let error = loop {
        block.clear();
        match recording.next(&mut block) {
            Ok(true) => {}
            Ok(false) => panic!("should be too long"),
            Err(error) => break error.to_string(),
        }
    };
    assert_eq!(
        error,
        "the recording is longer than 12 hours; cut out the test and try again"
    );
}

#[test]
fn a_recording_cut_off_gives_what_is_there_and_says_so() {
    let mut bytes = wav(1, 8_000, 1, 16, &[1; 160_000]);
    bytes.truncate(44 + 48_000);
    let (samples, error) = all(&mut opened(bytes).expect("a WAV"));
    assert_eq!(samples.len(), 24_000);
    assert_eq!(
        error.expect("cut off").to_string(),
        "the recording stops after 3.0 s although its head announces 10.0 s; what was read up \
         to there holds; copy it from the phone again for the rest"
    );
    assert_eq!(
        refusal(wav(1, 8_000, 1, 16, &[0; 400])[..30].to_vec()),
        "the recording of 30 bytes stops inside its head (unexpected end of file), so no sound \
         can be read; copy it from the phone again"
    );
}

/// One broken packet costs its own length and nothing else.
#[test]
fn a_damaged_packet_becomes_silence() {
    let mut bytes = fixture("burst.webm");
    let whole = all(&mut opened(bytes.clone()).expect("known")).0.len();
    // the fifth block's first byte says how the packet is built: 0xFF is "code 3", a count of
    // frames that the packet's length contradicts
    let blocks: Vec<usize> = (0..bytes.len() - 8).filter(|i| bytes[*i] == 0xA3).collect();
    let at = blocks[5] + 6;
    bytes[at] = 0xFF;
    bytes[at + 1] = 0x3F;
    let mut recording = opened(bytes).expect("known");
    let (samples, error) = all(&mut recording);
    assert!(error.is_none(), "{error:?}");
    assert_eq!(recording.damaged(), 1);
    assert!(
        samples.len().abs_diff(whole) <= 960,
        "{} of {whole}",
        samples.len()
    );
    let onset = samples
        .iter()
        .position(|s| s.abs() > 0.25)
        .expect("the burst");
    assert!((9_600..9_610).contains(&onset), "later times hold: {onset}");
}
