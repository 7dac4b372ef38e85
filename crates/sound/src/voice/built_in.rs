//! The voices compiled into the program: one Ogg Vorbis file and one index for each language.
//! Must not touch the disk.

use std::io::Cursor;

use super::index::Index;
use super::{Clip, Language, Voice, VoiceError, decode};

macro_rules! files {
    ($code:literal) => {
        (
            include_bytes!(concat!("../../voices/", $code, ".ogg")).as_slice(),
            include_str!(concat!("../../voices/", $code, ".toml")),
        )
    };
}

/// Longest built-in file that is decoded, in seconds: ours are under 110 s.
const LONGEST_S: u32 = 300;

fn files(language: Language) -> (&'static [u8], &'static str) {
    match language {
        Language::English => files!("en"),
        Language::Spanish => files!("es"),
        Language::French => files!("fr"),
        Language::German => files!("de"),
        Language::Portuguese => files!("pt"),
        Language::Japanese => files!("ja"),
        Language::Arabic => files!("ar"),
    }
}

pub(super) fn load(language: Language) -> Result<Voice, VoiceError> {
    let damaged = |problem: String| VoiceError::BuiltIn {
        language: language.code(),
        problem,
    };
    let (ogg, index) = files(language);
    let index: Index = toml::from_str(index).map_err(|error| damaged(error.to_string()))?;
    let sound = decode::mono(Cursor::new(ogg), "ogg", LONGEST_S)
        .map_err(|error| damaged(error.to_string()))?;
    if index.language != language.code() || index.rate != sound.rate {
        let found = format!("{} at {} Hz", index.language, index.rate);
        return Err(damaged(format!("the index is for {found}")));
    }

    let mut clips = std::collections::BTreeMap::new();
    for (key, place) in index.clips {
        let (from, to) = place.bounds(sound.rate);
        let samples = sound
            .samples
            .get(from..to)
            .ok_or_else(|| damaged(format!("clip {key} lies outside the file")))?
            .to_vec();
        let clip = Clip {
            samples,
            rate: sound.rate,
            text: place.text,
        };
        clips.insert(key, clip);
    }
    Ok(Voice {
        language,
        forms: index.forms,
        odd_seconds: index.odd_seconds,
        clips,
        cache: std::sync::Mutex::default(),
    })
}
