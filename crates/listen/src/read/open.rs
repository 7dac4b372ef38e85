//! Opening a recording: what kind it is, which track is sound, and whether it is in bounds.

use symphonia::core::codecs::CodecParameters;
use symphonia::core::codecs::audio::AudioCodecParameters;
use symphonia::core::codecs::audio::well_known as ids;
use symphonia::core::common::Limit;
use symphonia::core::errors::Error;
use symphonia::core::formats::probe::Hint;
use symphonia::core::formats::{FormatOptions, FormatReader, Track, TrackType};
use symphonia::core::io::{MediaSourceStream, MediaSourceStreamOptions};
use symphonia::core::meta::MetadataOptions;

use super::coded::Coded;
use super::guard::guarded;
use super::pull::Pull;
use super::source::Source;
use super::{ReadError, ReadSeek, Recording};

/// Bytes looked at to say what an unknown file is.
const FIRST: u64 = 64;
/// Most bytes of a tag or a picture: neither is used.
const MOST_TAG: usize = 64 * 1024;

/// Opens a recording and decodes its first block, so that rate and channels are what they are.
///
/// `name_hint` is the ending of the file name without its dot, where there is one; the bytes
/// decide when the two disagree.
///
/// # Errors
///
/// Says what the bytes are instead, or which bound is broken.
pub fn open(
    source: Box<dyn ReadSeek + Send + Sync>,
    name_hint: Option<&str>,
) -> Result<Recording, ReadError> {
    let mut source = Source::new(source)?;
    let bytes = source.length();
    if bytes == 0 {
        return Err(ReadError::Empty);
    }
    let first = source.first_bytes(FIRST)?;
    let reader = probe(source, name_hint).map_err(|error| refused(error, bytes, &first))?;
    let container = reader.format_info().short_name.to_owned();
    let Some((track, params)) = first_sound(reader.as_ref()) else {
        return Err(ReadError::NoSound {
            container,
            tracks: reader.tracks().len(),
        });
    };
    let track = track.clone();
    let coded = Coded::new(&params).map_err(|error| ReadError::Codec {
        container: container.clone(),
        codec: codec_name(&params),
        found: error.to_string(),
    })?;
    Recording::start(Pull::new(reader, &track), coded)
}

/// Returns the first sound track whose coding is known, or else the first one.
pub(super) fn first_sound(reader: &dyn FormatReader) -> Option<(&Track, AudioCodecParameters)> {
    let track = reader
        .first_track_known_codec(TrackType::Audio)
        .or_else(|| reader.first_track(TrackType::Audio))?;
    match &track.codec_params {
        Some(CodecParameters::Audio(params)) => Some((track, params.clone())),
        _ => None,
    }
}

fn probe(
    source: Source,
    name_hint: Option<&str>,
) -> symphonia::core::errors::Result<Box<dyn FormatReader>> {
    let mut hint = Hint::new();
    if let Some(ending) = name_hint {
        hint.with_extension(ending);
    }
    let limit = Limit::Maximum(MOST_TAG);
    let meta = MetadataOptions::default()
        .limit_tag_bytes(limit)
        .limit_visual_bytes(limit);
    guarded(|| {
        let stream = MediaSourceStream::new(Box::new(source), MediaSourceStreamOptions::default());
        symphonia::default::get_probe().probe(&hint, stream, FormatOptions::default(), meta)
    })
}

fn refused(error: Error, bytes: u64, first: &[u8]) -> ReadError {
    let early_end = |e: &std::io::Error| e.kind() == std::io::ErrorKind::UnexpectedEof;
    match error {
        Error::IoError(e) if !early_end(&e) && e.raw_os_error().is_some() => e.into(),
        Error::IoError(e) => ReadError::TruncatedHead {
            bytes,
            found: e.to_string(),
        },
        Error::Unsupported(what) if what.contains("no suitable format") => ReadError::Unknown {
            found: describe(first),
        },
        other => ReadError::Damaged {
            seconds: 0.0,
            found: other.to_string(),
        },
    }
}

fn describe(first: &[u8]) -> String {
    let valid = match std::str::from_utf8(first) {
        Ok(text) => text,
        Err(e) if e.error_len().is_none() => {
            std::str::from_utf8(&first[..e.valid_up_to()]).unwrap_or_default()
        }
        Err(_) => "",
    };
    let text = valid.trim_start_matches('\u{feff}');
    if !text.is_empty()
        && text
            .chars()
            .all(|c| !c.is_control() || c.is_ascii_whitespace())
    {
        let line: String = text
            .lines()
            .next()
            .unwrap_or_default()
            .chars()
            .take(24)
            .collect();
        return format!("the text \"{line}\"");
    }
    let hex: Vec<String> = first.iter().take(8).map(|b| format!("{b:02X}")).collect();
    format!("the bytes {}", hex.join(" "))
}

/// Names a coding that no decoder here knows.
fn codec_name(params: &AudioCodecParameters) -> String {
    let name = match params.codec {
        ids::CODEC_ID_OPUS => "Opus",
        ids::CODEC_ID_AAC => "AAC",
        ids::CODEC_ID_AC3 => "AC-3",
        ids::CODEC_ID_EAC3 => "E-AC-3",
        ids::CODEC_ID_AC4 => "AC-4",
        ids::CODEC_ID_DCA => "DTS",
        ids::CODEC_ID_SPEEX => "Speex",
        ids::CODEC_ID_MP1 => "MPEG layer I",
        ids::CODEC_ID_MP2 => "MPEG layer II",
        ids::CODEC_ID_WMA => "WMA",
        ids::CODEC_ID_WAVPACK => "WavPack",
        ids::CODEC_ID_TRUEHD => "TrueHD",
        other => match symphonia::default::get_codecs().get_audio_decoder(other) {
            Some(known) => return known.codec.info.long_name.to_owned(),
            None => "something unknown",
        },
    };
    name.to_owned()
}
