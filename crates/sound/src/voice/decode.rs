//! Sound files to mono samples, with symphonia. Must not read more than it is told to.

use symphonia::core::codecs::audio::AudioDecoderOptions;
use symphonia::core::errors::Error;
use symphonia::core::formats::probe::Hint;
use symphonia::core::formats::{FormatOptions, TrackType};
use symphonia::core::io::{MediaSource, MediaSourceStream};
use symphonia::core::meta::MetadataOptions;
use thiserror::Error as ThisError;

/// Mono samples and their rate in Hz.
pub(super) struct Sound {
    pub samples: Vec<f32>,
    pub rate: u32,
}

/// Why there are no samples.
#[derive(Debug, ThisError)]
pub(super) enum DecodeError {
    #[error("it holds no sound")]
    Empty,
    #[error("it changes its sample rate or its number of channels")]
    Changes,
    #[error("it holds samples that are not numbers")]
    NotNumbers,
    #[error("it is longer than allowed")]
    TooLong,
    #[error(transparent)]
    Symphonia(#[from] Error),
}

/// Decodes the first sound track and mixes its channels; stops with an error past `longest_s` seconds.
pub(super) fn mono(
    source: impl MediaSource + 'static,
    extension: &str,
    longest_s: u32,
) -> Result<Sound, DecodeError> {
    let stream = MediaSourceStream::new(Box::new(source), Default::default());
    let mut hint = Hint::new();
    hint.with_extension(extension);
    let mut format = symphonia::default::get_probe().probe(
        &hint,
        stream,
        FormatOptions::default(),
        MetadataOptions::default(),
    )?;
    let track = format
        .default_track(TrackType::Audio)
        .ok_or(DecodeError::Empty)?;
    let track_id = track.id;
    let parameters = track
        .codec_params
        .as_ref()
        .and_then(|parameters| parameters.audio())
        .ok_or(DecodeError::Empty)?;
    let mut decoder = symphonia::default::get_codecs()
        .make_audio_decoder(parameters, &AudioDecoderOptions::default())?;

    let mut spec = None;
    let mut samples: Vec<f32> = Vec::new();
    let mut packet_samples: Vec<f32> = Vec::new();
    while let Some(packet) = format.next_packet()? {
        if packet.track_id != track_id {
            continue;
        }
        let buffer = decoder.decode(&packet)?;
        let found = (buffer.spec().rate(), buffer.spec().channels().count());
        if *spec.get_or_insert(found) != found {
            return Err(DecodeError::Changes);
        }
        buffer.copy_to_vec_interleaved(&mut packet_samples);
        let channels = found.1.max(1);
        let mix = |frame: &[f32]| frame.iter().sum::<f32>() / channels as f32;
        samples.extend(packet_samples.chunks_exact(channels).map(mix));
        if samples.len() as u64 > u64::from(found.0) * u64::from(longest_s) {
            return Err(DecodeError::TooLong);
        }
    }
    if samples.iter().any(|sample| !sample.is_finite()) {
        return Err(DecodeError::NotNumbers);
    }
    match spec {
        Some((rate, _)) if !samples.is_empty() => Ok(Sound { samples, rate }),
        _ => Err(DecodeError::Empty),
    }
}
