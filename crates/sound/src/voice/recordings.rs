//! A user's own recordings in place of the built-in clips.
//! Must not open files: the caller passes name and content.

use std::collections::BTreeMap;
use std::io::Cursor;

use super::decode::{self, DecodeError};
use super::{Clip, VoiceError, compose, shape};

/// Longest recording of one clip, in seconds.
const LONGEST_S: u32 = 5;

/// Largest file: 5 s of stereo at 192 kHz in 32 bits are 7.7 MB; the rest is for a picture or tags.
const LARGEST_BYTES: usize = 16 * 1024 * 1024;

pub(super) fn replace(
    clips: &mut BTreeMap<String, Clip>,
    files: impl IntoIterator<Item = (String, Vec<u8>)>,
) -> Result<(), VoiceError> {
    let mut seen: BTreeMap<String, String> = BTreeMap::new();
    for (file, bytes) in files {
        let (stem, extension) = parts(&file);
        let Some(clip) = clips.get_mut(&stem) else {
            let allowed = allowed(clips.keys());
            return Err(VoiceError::UnknownClip {
                file,
                stem,
                allowed,
            });
        };
        if let Some(other) = seen.insert(stem.clone(), file.clone()) {
            return Err(VoiceError::Repeated { file, other, stem });
        }
        (clip.samples, clip.rate) = read(file, bytes, &extension)?;
    }
    Ok(())
}

/// Splits a file name into stem and extension, both in small letters.
fn parts(file: &str) -> (String, String) {
    let name = file
        .rsplit(['/', '\\'])
        .next()
        .unwrap_or(file)
        .to_lowercase();
    match name.rsplit_once('.') {
        Some((stem, extension)) => (stem.to_owned(), extension.to_owned()),
        None => (name, String::new()),
    }
}

fn read(file: String, bytes: Vec<u8>, extension: &str) -> Result<(Vec<f32>, u32), VoiceError> {
    if bytes.len() > LARGEST_BYTES {
        return Err(VoiceError::TooLarge {
            file,
            found_bytes: bytes.len(),
            allowed_bytes: LARGEST_BYTES,
        });
    }
    let sound = match decode::mono(Cursor::new(bytes), extension, LONGEST_S) {
        Ok(sound) => sound,
        Err(DecodeError::TooLong) => {
            let allowed_ms = LONGEST_S * 1000;
            return Err(VoiceError::TooLong { file, allowed_ms });
        }
        Err(problem) => {
            let problem = problem.to_string();
            return Err(VoiceError::Unreadable { file, problem });
        }
    };
    if !compose::RATES.contains(&sound.rate) {
        let found_hz = sound.rate;
        return Err(VoiceError::Rate { file, found_hz });
    }
    match shape::shape(sound.samples, sound.rate) {
        Some(samples) => Ok((samples, sound.rate)),
        None => Err(VoiceError::Silent {
            file,
            floor_db: shape::SILENT_DB,
            least_ms: shape::LEAST_MS,
        }),
    }
}

/// Names all keys, the run of numbers as one.
fn allowed<'a>(keys: impl Iterator<Item = &'a String>) -> String {
    let (numbers, words): (Vec<_>, Vec<_>) = keys.partition(|key| key.parse::<u32>().is_ok());
    let greatest = numbers
        .iter()
        .filter_map(|key| key.parse::<u32>().ok())
        .max();
    let words: Vec<&str> = words.into_iter().map(String::as_str).collect();
    match greatest {
        Some(greatest) => format!("0 to {greatest}, {}", words.join(", ")),
        None => words.join(", "),
    }
}
