//! Opus packets to samples: head, delay and gain are ours, the decoding is `opus-pure`'s.
//! Facts: RFC 7845, section 5.1 (the head), and RFC 6716 (at most 120 ms in a packet).

use opus_pure::{OpusDecoder, OpusMSDecoder};
use symphonia::core::codecs::audio::AudioCodecParameters;
use symphonia::core::errors::{Error, Result};

/// Opus always decodes to 48 kHz here.
pub(super) const RATE: u32 = 48_000;
/// Samples per channel of the longest packet: 120 ms.
const LONGEST: usize = 5_760;

enum Streams {
    /// One or two channels.
    Plain(Box<OpusDecoder>),
    /// Three to eight channels.
    Many(Box<OpusMSDecoder>),
}

/// A decoder and what of its first samples is still to be dropped.
pub(super) struct Opus {
    streams: Streams,
    channels: usize,
    skip: usize,
    gain: f32,
    out: Vec<f32>,
}

impl Opus {
    /// Reads the head, which all containers carry: the MP4 form has version 0 and big-endian
    /// numbers.
    pub fn new(params: &AudioCodecParameters) -> Result<Self> {
        let head = params.extra_data.as_deref().unwrap_or_default();
        if head.len() < 19 || !head.starts_with(b"OpusHead") {
            return Err(Error::DecodeError("the Opus head is missing or too short"));
        }
        let big_endian = head[8] == 0;
        let two = |at: usize| {
            let pair = [head[at], head[at + 1]];
            if big_endian {
                u16::from_be_bytes(pair)
            } else {
                u16::from_le_bytes(pair)
            }
        };
        let (channels, family) = (usize::from(head[9]), head[18]);
        let failed = |_| Error::Unsupported("this arrangement of Opus channels");
        let streams = match (channels, family) {
            (1 | 2, 0 | 1) => Streams::Plain(Box::new(
                OpusDecoder::new(48_000, channels).map_err(failed)?,
            )),
            (3..=8, 1) => {
                let many = OpusMSDecoder::new(48_000, channels, family).map_err(failed)?;
                Streams::Many(Box::new(many))
            }
            _ => return Err(Error::Unsupported("this arrangement of Opus channels")),
        };
        let gain = f32::from(two(16).cast_signed()) / (20.0 * 256.0);
        Ok(Self {
            streams,
            channels,
            skip: usize::from(two(10)),
            gain: 10_f32.powf(gain),
            out: vec![0.0; LONGEST * channels],
        })
    }

    /// Returns the channels of the output.
    pub const fn channels(&self) -> usize {
        self.channels
    }

    /// Decodes a packet to interleaved samples, without the delay at the start and without
    /// `trim_end` samples per channel.
    pub fn decode(&mut self, packet: &[u8], trim_end: u64) -> Result<&[f32]> {
        if packet.is_empty() {
            return Err(Error::DecodeError("an Opus packet of 0 bytes"));
        }
        let decoded = match &mut self.streams {
            Streams::Plain(decoder) => decoder.decode(packet, LONGEST, &mut self.out),
            Streams::Many(decoder) => decoder.decode(packet, LONGEST, &mut self.out),
        };
        let samples = decoded.map_err(|_| Error::DecodeError("an Opus packet that is broken"))?;
        let start = self.skip.min(samples);
        self.skip -= start;
        let trim_end = usize::try_from(trim_end).unwrap_or(usize::MAX);
        let end = samples.saturating_sub(trim_end).max(start);
        let out = &mut self.out[start * self.channels..end * self.channels];
        #[expect(clippy::float_cmp, reason = "exactly 1 is what a gain of 0 dB gives")]
        if self.gain != 1.0 {
            out.iter_mut().for_each(|s| *s *= self.gain);
        }
        Ok(out)
    }
}
