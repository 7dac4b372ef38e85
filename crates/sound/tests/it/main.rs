//! What a track holds, checked from outside the crate.

mod code;
mod file;
mod file_decode;
mod file_errors;
mod loudness;
mod onsets;
mod plans;
mod voice;
mod voice_recordings;
mod voice_say;
