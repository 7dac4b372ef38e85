//! FLAC, streamed: blocks of 4096; blocks of one value are written directly, others encoded.
//! Must not hold more than one block. The head is patched at the end with sizes and digest.
//! Facts: RFC 9639, sections 8.2 (stream information), 8.6 (comments), 9 (frames).

use std::io::{Seek, Write};

use flacenc::bitsink::ByteSink;
use flacenc::component::{
    BitRepr, ChannelAssignment, Constant, Frame, FrameHeader, FrameOffset, StreamInfo,
};
use flacenc::config;
use flacenc::error::{Verified, Verify};
use flacenc::source::{Context, Fill, FrameBuf};

use super::flac_frame::{Channels, PlainFrames};
use super::sink::Sink;
use super::spec::millis;
use super::wav::le_bytes;
use super::{Chapter, FileError, Spec, Tags};

/// Samples per block; only the last block of a file is shorter.
const BLOCK: usize = 4096;
/// Blocks shorter than this are stored as they are: the encoder starts at 32.
const SHORTEST_ENCODED: usize = 64;
/// Where the stream information starts: after the marker and the block head.
const INFO_AT: u64 = 8;
/// A file holds at most 2^31 frames, and 2^36 - 1 samples: the latter is less.
const MAX_SAMPLES: u64 = (1 << 36) - 1;

/// A FLAC file being written.
pub(super) struct Flac {
    spec: Spec,
    plain: PlainFrames,
    config: Verified<config::Encoder>,
    info: StreamInfo,
    buffer: FrameBuf,
    digest: Context,
    block: Vec<i16>,
    wide: Vec<i32>,
    bytes: Vec<u8>,
    zeros: Vec<u8>,
    number: u32,
    sizes: Option<(u32, u32)>,
}

impl Flac {
    /// Writes the marker, the stream information (patched at the end), tags and chapters.
    pub fn start<W: Write + Seek>(
        sink: &mut Sink<W>,
        spec: &Spec,
        tags: &Tags,
        chapters: &[Chapter],
    ) -> Result<Self, FileError> {
        if spec.samples > MAX_SAMPLES {
            let (found, allowed) = (spec.samples, MAX_SAMPLES);
            return Err(FileError::TooLong {
                format: "FLAC",
                found,
                allowed,
            });
        }
        let made = |found: String| FileError::Encoder {
            format: "FLAC",
            at: 0,
            found,
        };
        // The encoder sees one channel; a second one alike is added as a side of zeros.
        let info = StreamInfo::new(spec.rate as usize, 1, 16).map_err(|e| made(e.to_string()))?;
        let config = config::Encoder::default()
            .into_verified()
            .map_err(|(_, e)| made(e.to_string()))?;
        let buffer = FrameBuf::with_size(1, BLOCK).map_err(|e| made(e.to_string()))?;
        let channels = if spec.channels == 1 {
            Channels::One
        } else {
            Channels::TwoAlike
        };
        let flac = Self {
            spec: *spec,
            plain: PlainFrames {
                rate: spec.rate,
                channels,
            },
            config,
            info,
            buffer,
            digest: Context::new(16, usize::from(spec.channels)),
            block: Vec::with_capacity(BLOCK),
            wide: Vec::with_capacity(BLOCK),
            bytes: Vec::new(),
            zeros: vec![0; BLOCK * 2 * usize::from(spec.channels)],
            number: 0,
            sizes: None,
        };
        sink.put(b"fLaC", "the head")?;
        sink.put(&[0x00, 0, 0, 34], "the head")?;
        sink.put(&flac.stream_info([0; 16]), "the head")?;
        let comments = comments(spec, tags, chapters);
        let length = u32::try_from(comments.len())
            .unwrap_or(u32::MAX)
            .to_be_bytes();
        sink.put(
            &[0x84, length[1], length[2], length[3]],
            "tags and chapters",
        )?;
        sink.put(&comments, "tags and chapters")?;
        Ok(flac)
    }

    /// Appends samples.
    pub fn write<W: Write + Seek>(
        &mut self,
        sink: &mut Sink<W>,
        mut samples: &[i16],
    ) -> Result<(), FileError> {
        while !samples.is_empty() {
            let now = samples.len().min(BLOCK - self.block.len());
            self.block.extend_from_slice(&samples[..now]);
            samples = &samples[now..];
            if self.block.len() == BLOCK {
                self.flush(sink)?;
            }
        }
        Ok(())
    }

    /// Appends zeros; whole blocks of them cost a dozen bytes and their share of the digest.
    pub fn silence<W: Write + Seek>(
        &mut self,
        sink: &mut Sink<W>,
        mut n: u64,
    ) -> Result<(), FileError> {
        while n > 0 {
            if self.block.is_empty() && n >= BLOCK as u64 {
                self.digest_zeros()?;
                self.plain.constant(self.number, BLOCK, 0, &mut self.bytes);
                self.put_frame(sink)?;
                n -= BLOCK as u64;
            } else {
                let room = BLOCK - self.block.len();
                let now = usize::try_from(n).unwrap_or(usize::MAX).min(room);
                self.block.resize(self.block.len() + now, 0);
                n -= now as u64;
                if now == room {
                    self.flush(sink)?;
                }
            }
        }
        Ok(())
    }

    /// Writes the last, shorter block and completes the stream information.
    pub fn finish<W: Write + Seek>(mut self, sink: &mut Sink<W>) -> Result<(), FileError> {
        if !self.block.is_empty() {
            self.flush(sink)?;
        }
        let info = self.stream_info(self.digest.md5_digest());
        sink.patch(INFO_AT, &info, "completing the head")
    }

    fn flush<W: Write + Seek>(&mut self, sink: &mut Sink<W>) -> Result<(), FileError> {
        le_bytes(
            &self.block,
            usize::from(self.spec.channels),
            &mut self.bytes,
        );
        let digested = self.digest.fill_le_bytes(&self.bytes, 2);
        digested.map_err(|e| self.gave_up(&e.to_string()))?;
        let first = self.block[0];
        if self.block.iter().all(|s| *s == first) {
            self.plain
                .constant(self.number, self.block.len(), first, &mut self.bytes);
        } else if self.block.len() < SHORTEST_ENCODED {
            self.plain
                .verbatim(self.number, &self.block, &mut self.bytes);
        } else {
            self.encode()?;
        }
        self.block.clear();
        self.put_frame(sink)
    }

    fn encode(&mut self) -> Result<(), FileError> {
        self.wide.clear();
        self.wide.extend(self.block.iter().map(|s| i32::from(*s)));
        let filled = self.buffer.fill_interleaved(&self.wide);
        filled.map_err(|e| self.gave_up(&e.to_string()))?;
        let number = self.number;
        let frame = flacenc::encode_fixed_size_frame(
            &self.config,
            &self.buffer,
            number as usize,
            &self.info,
        );
        let mut frame = frame.map_err(|e| self.gave_up(&e.to_string()))?;
        if self.plain.channels == Channels::TwoAlike {
            let (_, subframes) = frame.into_parts();
            let size = self.block.len();
            let rate = self.spec.rate as usize;
            let offset = FrameOffset::Frame(number);
            frame = FrameHeader::new(size, ChannelAssignment::LeftSide, 16, rate, offset)
                .and_then(|head| {
                    let side = Constant::new(size, 0, 17)?;
                    Frame::new(head, subframes.into_iter().chain([side.into()]))
                })
                .map_err(|e| self.gave_up(&e.to_string()))?;
        }
        let mut coded = ByteSink::with_capacity(frame.count_bits());
        frame
            .write(&mut coded)
            .map_err(|e| self.gave_up(&e.to_string()))?;
        self.bytes.clear();
        self.bytes.extend_from_slice(coded.as_slice());
        Ok(())
    }

    fn digest_zeros(&mut self) -> Result<(), FileError> {
        let digested = self.digest.fill_le_bytes(&self.zeros, 2);
        digested.map_err(|e| self.gave_up(&e.to_string()))
    }

    fn put_frame<W: Write + Seek>(&mut self, sink: &mut Sink<W>) -> Result<(), FileError> {
        let size = u32::try_from(self.bytes.len()).unwrap_or(u32::MAX);
        let (least, most) = self.sizes.unwrap_or((size, size));
        self.sizes = Some((least.min(size), most.max(size)));
        self.number += 1;
        sink.put(&self.bytes, "a block of samples")
    }

    fn stream_info(&self, digest: [u8; 16]) -> Vec<u8> {
        let block = BLOCK.to_be_bytes();
        let (least, most) = self.sizes.unwrap_or((0, 0));
        let mut out = Vec::with_capacity(34);
        out.extend_from_slice(&block[6..]);
        out.extend_from_slice(&block[6..]);
        out.extend_from_slice(&least.to_be_bytes()[1..]);
        out.extend_from_slice(&most.to_be_bytes()[1..]);
        // 20 bits rate, 3 channels less one, 5 bits per sample less one, 36 samples
        let packed = u64::from(self.spec.rate) << 44
            | u64::from(self.spec.channels - 1) << 41
            | 15 << 36
            | self.spec.samples;
        out.extend_from_slice(&packed.to_be_bytes());
        out.extend_from_slice(&digest);
        out
    }

    fn gave_up(&self, found: &str) -> FileError {
        let at = u64::from(self.number) * BLOCK as u64;
        FileError::Encoder {
            format: "FLAC",
            at,
            found: found.to_owned(),
        }
    }
}

/// The comment block: vendor, tags, and chapters in the customary `CHAPTERnnn` pairs.
fn comments(spec: &Spec, tags: &Tags, chapters: &[Chapter]) -> Vec<u8> {
    let mut list = Vec::new();
    if !tags.title.is_empty() {
        list.push(format!("TITLE={}", tags.title));
    }
    if !tags.comment.is_empty() {
        list.push(format!("COMMENT={}", tags.comment));
    }
    for (name, value) in &tags.fields {
        list.push(format!("{}={value}", name.to_ascii_uppercase()));
    }
    for (i, chapter) in chapters.iter().enumerate() {
        let (n, ms) = (i + 1, millis(chapter.at, spec.rate));
        let (h, m, s) = (ms / 3_600_000, ms / 60_000 % 60, ms / 1000 % 60);
        list.push(format!(
            "CHAPTER{n:03}={h:02}:{m:02}:{s:02}.{:03}",
            ms % 1000
        ));
        list.push(format!("CHAPTER{n:03}NAME={}", chapter.title));
    }
    let mut out = Vec::new();
    let text = |out: &mut Vec<u8>, text: &str| {
        out.extend_from_slice(&u32::try_from(text.len()).unwrap_or(u32::MAX).to_le_bytes());
        out.extend_from_slice(text.as_bytes());
    };
    text(&mut out, "plimsoll");
    out.extend_from_slice(&u32::try_from(list.len()).unwrap_or(u32::MAX).to_le_bytes());
    for comment in &list {
        text(&mut out, comment);
    }
    out
}
