//! MP3, streamed at a constant bit rate: ID3 tag, information frame, then frames of 1152.
//! Must not use the crate's stream encoder: that one keeps the whole track until the end.
//! Delay and length are declared in the information frame, which decoders honour (see tests).

use std::io::{Seek, Write};

use rusty_mp3::Mp3Encode;
use rusty_mp3::encode::lametag::{
    ENCODER_DELAY, TagInfo, TagStats, frames_for, padding_for, tag_frame, tag_header,
};
use rusty_mp3::header::FrameHeader;

use super::mp3_tag::tag;
use super::sink::Sink;
use super::{Chapter, FileError, Spec, Tags};

/// Samples per frame at 44.1 and 48 kHz.
const FRAME: usize = 1152;
/// Bit rates, kbit/s: generous for tones and speech.
const MONO_KBPS: u32 = 96;
const STEREO_KBPS: u32 = 128;
/// After this many frames of zeros the encoder's memory (512 + 576 samples) is all zeros, its
/// window is the long one again, and every further frame of zeros comes out the same.
const SETTLED: u32 = 4;

/// An MP3 file being written.
///
/// Decoders give each sample at its place (lag 0) and the exact length: measured with ffmpeg 5.1
/// and symphonia 0.6. That needs exactly one information frame. The crate's stream encoder gives
/// it as its first packet; written a second time in front of that, it is decoded as 1,152 more
/// samples (24 ms at 48 kHz) at the start.
pub(super) struct Mp3 {
    spec: Spec,
    encoder: Mp3Encode,
    header: FrameHeader,
    info_header: FrameHeader,
    stats: TagStats,
    info_at: u64,
    block: Vec<f32>,
    zeros_run: u32,
    silent: Option<Vec<u8>>,
    frames: u64,
}

impl Mp3 {
    /// Writes the ID3 tag and keeps the place of the information frame.
    pub fn start<W: Write + Seek>(
        sink: &mut Sink<W>,
        spec: &Spec,
        tags: &Tags,
        chapters: &[Chapter],
    ) -> Result<Self, FileError> {
        // The information frame counts frames and bytes in 32 bits.
        let kbps = if spec.channels == 1 {
            MONO_KBPS
        } else {
            STEREO_KBPS
        };
        let header = rusty_mp3::encoder_header(spec.rate, spec.channels, kbps).map_err(|e| {
            FileError::Encoder {
                format: "MP3",
                at: 0,
                found: e.to_string(),
            }
        })?;
        let most_frames = u64::from(u32::MAX) / header.frame_size() as u64 - 8;
        let allowed = most_frames * FRAME as u64;
        if spec.samples > allowed {
            return Err(FileError::TooLong {
                format: "MP3",
                found: spec.samples,
                allowed,
            });
        }
        let id3 = tag(spec, tags, chapters)?;
        sink.put(&id3, "tags and chapters")?;
        let info_header = tag_header(&header);
        let stats = TagStats::new(info_header.frame_size());
        let mp3 = Self {
            spec: *spec,
            encoder: Mp3Encode::new(),
            header,
            info_header,
            stats,
            info_at: id3.len() as u64,
            block: Vec::with_capacity(FRAME),
            zeros_run: 0,
            silent: None,
            frames: 0,
        };
        sink.put(&mp3.info_frame(), "the head")?;
        Ok(mp3)
    }

    /// Appends samples.
    pub fn write<W: Write + Seek>(
        &mut self,
        sink: &mut Sink<W>,
        mut samples: &[i16],
    ) -> Result<(), FileError> {
        while !samples.is_empty() {
            let now = samples.len().min(FRAME - self.block.len());
            let scaled = samples[..now].iter().map(|s| f32::from(*s) / 32_768.0);
            self.block.extend(scaled);
            samples = &samples[now..];
            self.flush_if_full(sink)?;
        }
        Ok(())
    }

    /// Appends zeros; once the encoder has settled they repeat one frame's bytes.
    pub fn silence<W: Write + Seek>(
        &mut self,
        sink: &mut Sink<W>,
        mut n: u64,
    ) -> Result<(), FileError> {
        while n > 0 {
            let room = FRAME - self.block.len();
            let now = usize::try_from(n).unwrap_or(usize::MAX).min(room);
            self.block.resize(self.block.len() + now, 0.0);
            n -= now as u64;
            self.flush_if_full(sink)?;
        }
        Ok(())
    }

    /// Pads to whole frames that cover both delays, and completes the information frame.
    pub fn finish<W: Write + Seek>(mut self, sink: &mut Sink<W>) -> Result<(), FileError> {
        let frames = frames_for(self.spec.samples, ENCODER_DELAY, FRAME);
        while self.frames < frames {
            let room = FRAME - self.block.len();
            self.silence(sink, room as u64)?;
        }
        sink.patch(self.info_at, &self.info_frame(), "completing the head")
    }

    fn flush_if_full<W: Write + Seek>(&mut self, sink: &mut Sink<W>) -> Result<(), FileError> {
        if self.block.len() < FRAME {
            return Ok(());
        }
        let zeros = self.block.iter().all(|s| *s == 0.0);
        self.zeros_run = if zeros {
            self.zeros_run.saturating_add(1)
        } else {
            0
        };
        let coded = match &self.silent {
            Some(silent) if self.zeros_run > SETTLED => silent.clone(),
            _ => self.encode()?,
        };
        self.block.clear();
        self.stats.add_frame(&coded);
        self.frames += 1;
        sink.put(&coded, "a block of samples")?;
        if self.zeros_run == SETTLED {
            self.silent = Some(coded);
        }
        Ok(())
    }

    fn encode(&mut self) -> Result<Vec<u8>, FileError> {
        let both = [&self.block, &self.block];
        let channels = &both[..usize::from(self.spec.channels)];
        let coded = self.encoder.encode_frame(&self.header, channels, None);
        coded.map_err(|e| FileError::Encoder {
            format: "MP3",
            at: self.frames * FRAME as u64,
            found: e.to_string(),
        })
    }

    fn info_frame(&self) -> Vec<u8> {
        let padding = padding_for(self.spec.samples, ENCODER_DELAY, FRAME);
        let info = TagInfo {
            vbr: false,
            delay: ENCODER_DELAY,
            padding: usize::try_from(padding).unwrap_or(usize::MAX),
        };
        tag_frame(&self.info_header, &self.stats, &info)
    }
}
