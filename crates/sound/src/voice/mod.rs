//! Spoken announcements: a phrase in one of seven languages, in the longest form that fits the room.
//! Must not speak over a cue: a form that is longer than the room given is never returned.
//! Clips: `voices/`, made by `scripts/voice/make.py`; grammar and word order come from the TOML beside each file.

mod built_in;
mod compose;
mod decode;
mod error;
mod index;
mod label;
mod language;
mod phrase;
mod recordings;
mod resample;
mod shape;

use std::collections::{BTreeMap, HashMap};
use std::fmt;
use std::sync::{Arc, Mutex};

pub use error::VoiceError;
pub use language::Language;
pub use phrase::{Form, Phrase, Utterance};
pub use shape::TARGET_RMS;

/// Clips at a sample rate other than their own, by key and rate.
type Cache = HashMap<(String, u32), Arc<[f32]>>;

/// All clips of one language, ready to be put together at any sample rate from 8 to 192 kHz.
pub struct Voice {
    language: Language,
    forms: BTreeMap<String, Vec<Vec<String>>>,
    odd_seconds: Vec<u32>,
    clips: BTreeMap<String, Clip>,
    cache: Mutex<Cache>,
}

/// One utterance as stored: mono, at its own rate.
struct Clip {
    samples: Vec<f32>,
    rate: u32,
    text: String,
}

impl Voice {
    /// Decodes the voice that comes with the program.
    ///
    /// # Errors
    ///
    /// [`VoiceError::BuiltIn`] when the embedded file or its index is damaged.
    pub fn built_in(language: Language) -> Result<Self, VoiceError> {
        built_in::load(language)
    }

    /// Replaces clips by a user's own recordings: pairs of file name and content.
    ///
    /// The file's stem is the clip key (`stage.wav`, `14.flac`). Each recording is mixed to mono, high-passed,
    /// trimmed and brought to the loudness of the built-in clips. Clips without a recording stay as they are.
    ///
    /// # Errors
    ///
    /// A [`VoiceError`] that names the file, when a stem is unknown or given twice, or a recording cannot be
    /// read, is longer than 5 s, is silent, or has a sample rate outside 8 to 192 kHz.
    pub fn with_recordings(
        mut self,
        files: impl IntoIterator<Item = (String, Vec<u8>)>,
    ) -> Result<Self, VoiceError> {
        recordings::replace(&mut self.clips, files)?;
        self.cache = Mutex::default();
        Ok(self)
    }

    /// Returns the language spoken.
    pub fn language(&self) -> Language {
        self.language
    }

    /// Returns the keys of all clips, in the order of the alphabet.
    pub fn keys(&self) -> impl Iterator<Item = &str> {
        self.clips.keys().map(String::as_str)
    }

    /// Returns a clip as stored: its samples (mono) and their rate in Hz. `None` for an unknown key.
    pub fn clip(&self, key: &str) -> Option<(&[f32], u32)> {
        self.clips
            .get(key)
            .map(|clip| (clip.samples.as_slice(), clip.rate))
    }
}

impl fmt::Debug for Voice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Voice")
            .field("language", &self.language)
            .field("clips", &self.clips.len())
            .finish_non_exhaustive()
    }
}
