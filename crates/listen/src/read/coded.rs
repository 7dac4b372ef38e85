//! One coded track to interleaved samples, whichever decoder it needs.
//! Must not end a recording for one bad packet: the caller is told and goes on.

use symphonia::core::codecs::audio::well_known::CODEC_ID_OPUS;
use symphonia::core::codecs::audio::{AudioCodecParameters, AudioDecoder, AudioDecoderOptions};
use symphonia::core::errors::Result;
use symphonia::core::packet::Packet;

use super::guard::{GAVE_UP, guarded};
use super::opus::{Opus, RATE};

enum Decoder {
    Opus(Box<Opus>),
    Other(Box<dyn AudioDecoder>),
}

/// A decoder together with what is needed to make it anew.
pub(super) struct Coded {
    params: AudioCodecParameters,
    decoder: Decoder,
    name: String,
    samples: Vec<f32>,
}

/// Rate and channels of decoded samples.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Shape {
    /// Samples per second.
    pub rate: u32,
    /// Channels, at least 1.
    pub channels: usize,
}

impl std::fmt::Display for Shape {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} Hz with {} channels", self.rate, self.channels)
    }
}

impl Coded {
    /// Makes the decoder for a track.
    pub fn new(params: &AudioCodecParameters) -> Result<Self> {
        let decoder = guarded(|| make(params))?;
        let name = match &decoder {
            Decoder::Opus(_) => "opus".to_owned(),
            Decoder::Other(decoder) => decoder.codec_info().short_name.to_owned(),
        };
        Ok(Self {
            params: params.clone(),
            decoder,
            name,
            samples: Vec::new(),
        })
    }

    /// Returns the short name of the coding.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Returns the bits per sample of uncompressed sound, where they are known.
    pub fn bits(&self) -> Option<u32> {
        self.params.bits_per_sample
    }

    /// Decodes a packet to interleaved samples.
    pub fn decode(&mut self, packet: &Packet) -> Result<(Shape, &[f32])> {
        let (decoder, samples) = (&mut self.decoder, &mut self.samples);
        let decoded = guarded(|| match decoder {
            Decoder::Opus(opus) => {
                let out = opus.decode(&packet.data, packet.trim_end.get())?;
                samples.clear();
                samples.extend_from_slice(out);
                Ok(Shape {
                    rate: RATE,
                    channels: opus.channels(),
                })
            }
            Decoder::Other(decoder) => {
                let out = decoder.decode(packet)?;
                let shape = Shape {
                    rate: out.spec().rate(),
                    channels: out.num_planes(),
                };
                samples.resize(out.samples_interleaved(), 0.0);
                out.copy_to_slice_interleaved(samples);
                Ok(shape)
            }
        });
        if let Err(error) = &decoded
            && error.to_string().contains(GAVE_UP)
            && let Ok(fresh) = guarded(|| make(&self.params))
        {
            self.decoder = fresh;
        }
        decoded.map(|shape| (shape, self.samples.as_slice()))
    }
}

fn make(params: &AudioCodecParameters) -> Result<Decoder> {
    if params.codec == CODEC_ID_OPUS {
        return Ok(Decoder::Opus(Box::new(Opus::new(params)?)));
    }
    let options = AudioDecoderOptions::default().gapless(true).verify(false);
    symphonia::default::get_codecs()
        .make_audio_decoder(params, &options)
        .map(Decoder::Other)
}
