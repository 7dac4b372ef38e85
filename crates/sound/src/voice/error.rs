//! What can be wrong with a voice, each with where, what was found, what is allowed and what to do next.

use thiserror::Error;

/// A fault in a language name, a built-in voice or a user's recording.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum VoiceError {
    /// The language has no voice.
    #[error("language: found \"{found}\"; allowed: {allowed}; name one of these")]
    UnknownLanguage {
        /// What was given.
        found: String,
        /// The codes there are.
        allowed: String,
    },
    /// The embedded file or its index is damaged.
    #[error("built-in voice {language}: {problem}; the program file is damaged, install it again")]
    BuiltIn {
        /// Code of the language.
        language: &'static str,
        /// What is wrong.
        problem: String,
    },
    /// The file name is not the key of a clip.
    #[error(
        "recording {file}: no clip is called \"{stem}\"; allowed: {allowed}; rename the file or take it out of the \
         folder"
    )]
    UnknownClip {
        /// Name of the file.
        file: String,
        /// Its stem.
        stem: String,
        /// All keys.
        allowed: String,
    },
    /// Two files are for the same clip.
    #[error(
        "recording {file}: {other} is a recording of the same clip \"{stem}\"; allowed: one file for each clip; \
         take one of the two away"
    )]
    Repeated {
        /// The second file.
        file: String,
        /// The first file.
        other: String,
        /// The clip both are for.
        stem: String,
    },
    /// The file is no sound file, or a damaged one.
    #[error(
        "recording {file}: cannot be read ({problem}); allowed: WAV, FLAC, Ogg Vorbis or MP3; save it again as WAV"
    )]
    Unreadable {
        /// Name of the file.
        file: String,
        /// What the decoder said.
        problem: String,
    },
    /// The file is larger than any clip needs.
    #[error(
        "recording {file}: {found_bytes} bytes; allowed: up to {allowed_bytes} bytes; save one clip to a file, \
         without a picture"
    )]
    TooLarge {
        /// Name of the file.
        file: String,
        /// Its size in bytes.
        found_bytes: usize,
        /// The limit in bytes.
        allowed_bytes: usize,
    },
    /// The recording is too long to be an announcement.
    #[error(
        "recording {file}: lasts more than {allowed_ms} ms; allowed: up to {allowed_ms} ms; record only the words of \
         the clip and cut the rest"
    )]
    TooLong {
        /// Name of the file.
        file: String,
        /// The limit in ms.
        allowed_ms: u32,
    },
    /// Nothing is heard in the recording.
    #[error(
        "recording {file}: found no sound above {floor_db} dB of full scale; allowed: speech of at least \
         {least_ms} ms; record it again, nearer to the microphone"
    )]
    Silent {
        /// Name of the file.
        file: String,
        /// The level under which a file counts as silent, in dB of full scale.
        floor_db: i32,
        /// The shortest clip that is taken, in ms.
        least_ms: u32,
    },
    /// The sample rate is out of range.
    #[error(
        "recording {file}: sample rate {found_hz} Hz; allowed: 8000 to 192000 Hz; save it again at 48000 Hz"
    )]
    Rate {
        /// Name of the file.
        file: String,
        /// The rate in Hz.
        found_hz: u32,
    },
}
