//! A track written to disk while it is rendered: WAV, FLAC and MP3, in constant memory.
//! Must not render, open files or read a clock: the caller brings samples and an open sink.
//! Container facts: RFC 9639 (FLAC), RIFF/WAVE chunks, ID3v2.3 with its chapter addendum.

mod error;
mod flac;
mod flac_frame;
mod format;
mod mp3;
mod mp3_tag;
mod sink;
mod spec;
mod wav;
mod wav_tail;
mod writer;

pub use error::FileError;
pub use format::Format;
pub use spec::{Chapter, Spec, Tags};
pub use writer::Writer;
