//! What the decoders of an independent library make of a file: samples per channel, as 16 bit.

use std::io::Cursor;

use symphonia::core::codecs::CodecParameters;
use symphonia::core::codecs::audio::AudioDecoderOptions;
use symphonia::core::formats::{FormatOptions, TrackType, probe::Hint};
use symphonia::core::io::MediaSourceStream;
use symphonia::core::meta::MetadataOptions;

/// A decoded file.
pub struct Decoded {
    pub rate: u32,
    pub channels: Vec<Vec<i16>>,
    /// What the decoder's own check of the MD5 digest said, where the format has one.
    pub verified: Option<bool>,
}

/// Decodes a whole file in memory.
pub fn decode(bytes: &[u8]) -> Decoded {
    let stream = MediaSourceStream::new(Box::new(Cursor::new(bytes.to_vec())), Default::default());
    let mut reader = symphonia::default::get_probe()
        .probe(
            &Hint::new(),
            stream,
            FormatOptions::default(),
            MetadataOptions::default(),
        )
        .expect("a known format");
    let track = reader
        .first_track(TrackType::Audio)
        .expect("a sound track")
        .clone();
    let Some(CodecParameters::Audio(params)) = &track.codec_params else {
        panic!("a sound track has sound parameters")
    };
    let mut decoder = symphonia::default::get_codecs()
        .make_audio_decoder(params, &AudioDecoderOptions::default().verify(true))
        .expect("a known coding");
    let mut out = Decoded {
        rate: params.sample_rate.expect("a rate"),
        channels: vec![Vec::new(); params.channels.as_ref().expect("channels").count()],
        verified: None,
    };
    while let Some(packet) = reader.next_packet().expect("whole packets") {
        let block = decoder.decode(&packet).expect("sound packets");
        let mut planes: Vec<Vec<i16>> = Vec::new();
        block.copy_to_vecs_planar(&mut planes);
        for (channel, plane) in out.channels.iter_mut().zip(&planes) {
            channel.extend_from_slice(plane);
        }
    }
    out.verified = decoder.finalize().verify_ok;
    out
}
