//! Any recording a phone makes, as blocks of mono samples at its own rate, hours of them.
//! Must not trust a byte of it: every length is bounded and a failing reader becomes an error.
//! Formats: WAV, FLAC, MP3, AAC, M4A/MP4/MOV, Ogg, MKV/WebM; Opus by a decoder of its own.

mod clip;
mod coded;
mod error;
mod guard;
mod open;
mod opus;
mod pull;
mod recording;
mod source;

pub use clip::ClippedSpan;
pub use error::ReadError;
pub use open::open;
pub use recording::Recording;
pub use source::ReadSeek;

/// Lowest sample rate accepted, in hertz.
pub const MIN_RATE: u32 = 4_000;
/// Highest sample rate accepted, in hertz.
pub const MAX_RATE: u32 = 384_000;
/// Most channels accepted.
pub const MAX_CHANNELS: usize = 8;
/// Longest recording accepted, in hours.
pub const MAX_HOURS: u64 = 12;
