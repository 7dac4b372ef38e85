//! WAV, 16 bit: head, samples, then tags and chapter marks. Nothing is patched afterwards.
//! Must not be used beyond 4 GiB: the head's sizes are 32 bit and `start` refuses more.

use std::io::{Seek, Write};

use super::sink::Sink;
use super::wav_tail::tail;
use super::{Chapter, FileError, Spec, Tags};

/// Samples turned into bytes at a time.
const CHUNK: usize = 8_192;
/// Bytes of silence written at a time.
const ZEROS: usize = 1 << 18;
/// Bytes before the first sample.
const HEAD: usize = 44;

/// A WAV file being written.
pub(super) struct Wav {
    channels: usize,
    bytes: Vec<u8>,
    zeros: Vec<u8>,
    tail: Vec<u8>,
}

impl Wav {
    /// Writes the head; the length is known, so it is final.
    pub fn start<W: Write + Seek>(
        sink: &mut Sink<W>,
        spec: &Spec,
        tags: &Tags,
        chapters: &[Chapter],
    ) -> Result<Self, FileError> {
        let channels = usize::from(spec.channels);
        let frame = 2 * u64::from(spec.channels);
        let tail = tail(tags, chapters);
        let allowed = (u64::from(u32::MAX) - (HEAD + tail.len()) as u64) / frame;
        if spec.samples > allowed {
            return Err(FileError::TooLong {
                format: "WAV",
                found: spec.samples,
                allowed,
            });
        }
        let u32_of = |n: u64| u32::try_from(n).expect("checked against u32::MAX above");
        let data = spec.samples * frame;
        let mut head = Vec::with_capacity(HEAD);
        head.extend_from_slice(b"RIFF");
        head.extend_from_slice(&u32_of(HEAD as u64 - 8 + data + tail.len() as u64).to_le_bytes());
        head.extend_from_slice(b"WAVEfmt ");
        head.extend_from_slice(&16_u32.to_le_bytes());
        head.extend_from_slice(&1_u16.to_le_bytes()); // integer samples
        head.extend_from_slice(&spec.channels.to_le_bytes());
        head.extend_from_slice(&spec.rate.to_le_bytes());
        head.extend_from_slice(&(spec.rate * u32_of(frame)).to_le_bytes());
        head.extend_from_slice(&(2 * spec.channels).to_le_bytes());
        head.extend_from_slice(&16_u16.to_le_bytes());
        head.extend_from_slice(b"data");
        head.extend_from_slice(&u32_of(data).to_le_bytes());
        sink.put(&head, "the head")?;
        Ok(Self {
            channels,
            bytes: Vec::with_capacity(CHUNK * 2 * channels),
            zeros: Vec::new(),
            tail,
        })
    }

    /// Appends samples.
    pub fn write<W: Write + Seek>(
        &mut self,
        sink: &mut Sink<W>,
        samples: &[i16],
    ) -> Result<(), FileError> {
        for part in samples.chunks(CHUNK) {
            le_bytes(part, self.channels, &mut self.bytes);
            sink.put(&self.bytes, "samples")?;
        }
        Ok(())
    }

    /// Appends zeros in large blocks.
    pub fn silence<W: Write + Seek>(
        &mut self,
        sink: &mut Sink<W>,
        n: u64,
    ) -> Result<(), FileError> {
        self.zeros.resize(ZEROS, 0);
        let mut left = n * 2 * self.channels as u64;
        while left > 0 {
            let now = usize::try_from(left).unwrap_or(usize::MAX).min(ZEROS);
            sink.put(&self.zeros[..now], "silence")?;
            left -= now as u64;
        }
        Ok(())
    }

    /// Appends the tags and chapter marks.
    pub fn finish<W: Write + Seek>(self, sink: &mut Sink<W>) -> Result<(), FileError> {
        sink.put(&self.tail, "tags and chapters")
    }
}

/// Puts samples as little-endian bytes, once per channel, into `out`.
pub(super) fn le_bytes(samples: &[i16], channels: usize, out: &mut Vec<u8>) {
    out.clear();
    if channels == 1 {
        out.extend(samples.iter().flat_map(|s| s.to_le_bytes()));
    } else {
        out.extend(samples.iter().flat_map(|s| {
            let [a, b] = s.to_le_bytes();
            [a, b, a, b]
        }));
    }
}
