//! Why a recording cannot be read: where, what was found, what is allowed, what to do.

use super::{MAX_CHANNELS, MAX_HOURS, MAX_RATE, MIN_RATE};

/// What every message offers as the way out.
const FORMATS: &str = "WAV, FLAC, MP3, AAC, M4A, MP4, MOV, Ogg, MKV or WebM";

/// Why a recording cannot be read, or not further.
#[derive(Debug, thiserror::Error)]
pub enum ReadError {
    /// There is not one byte.
    #[error("the recording holds 0 bytes; copy it from the phone again")]
    Empty,
    /// The bytes are in no format that is known here.
    #[error(
        "the recording starts with {found}, which is no sound file known here; \
         allowed are {FORMATS}; convert it to M4A or WAV"
    )]
    Unknown {
        /// What the first bytes look like.
        found: String,
    },
    /// The file is well formed up to where it stops too early, before any sound.
    #[error(
        "the recording of {bytes} bytes stops inside its head ({found}), so no sound can be read; \
         copy it from the phone again"
    )]
    TruncatedHead {
        /// Bytes there are.
        bytes: u64,
        /// What the reader said.
        found: String,
    },
    /// The sound stops before the length the head announces. What came before holds.
    #[error(
        "the recording stops after {seconds:.1} s although its head announces {announced:.1} s; \
         what was read up to there holds; copy it from the phone again for the rest"
    )]
    Truncated {
        /// Seconds that could be read.
        seconds: f64,
        /// Seconds announced.
        announced: f64,
    },
    /// A known container without a sound track.
    #[error(
        "the {container} file has {tracks} tracks and none of them is sound; \
         choose the recording that has sound"
    )]
    NoSound {
        /// The container, as its reader calls it.
        container: String,
        /// Tracks there are.
        tracks: usize,
    },
    /// A sound track that ends without one sample.
    #[error(
        "the {codec} sound of the recording has a length of 0 samples; choose another recording"
    )]
    NoSamples {
        /// How the sound is coded.
        codec: String,
    },
    /// A sound track coded in a way that cannot be decoded here.
    #[error(
        "the sound in the {container} file is coded as {codec}, which cannot be decoded here \
         ({found}); convert it to M4A (AAC-LC) or WAV"
    )]
    Codec {
        /// The container, as its reader calls it.
        container: String,
        /// How the sound is coded.
        codec: String,
        /// What the decoder said.
        found: String,
    },
    /// A sample rate out of bounds.
    #[error(
        "the recording has {found} samples per second; allowed are {MIN_RATE} to {MAX_RATE}; \
         convert it to a WAV file at 48000"
    )]
    Rate {
        /// The rate found, in hertz.
        found: u32,
    },
    /// Too many channels.
    #[error(
        "the recording has {found} channels; allowed are 1 to {MAX_CHANNELS}; \
         convert it to a WAV file with one"
    )]
    Channels {
        /// The channels found.
        found: usize,
    },
    /// Rate or channels change on the way.
    #[error(
        "at {seconds:.1} s the recording changes from {before} to {after}; one form throughout is \
         allowed; cut it there, or convert it to WAV"
    )]
    Changed {
        /// Where, in seconds.
        seconds: f64,
        /// Rate and channels before.
        before: String,
        /// Rate and channels after.
        after: String,
    },
    /// Longer than anything that is meant to be listened to here.
    #[error("the recording is longer than {MAX_HOURS} hours; cut out the test and try again")]
    TooLong,
    /// The structure is broken beyond this point. What came before holds.
    #[error(
        "the recording is damaged at {seconds:.1} s ({found}); what was read up to there holds; \
         copy it from the phone again, or convert it to WAV"
    )]
    Damaged {
        /// Where, in seconds.
        seconds: f64,
        /// What the reader said.
        found: String,
    },
    /// The disk or network under the file refused.
    #[error(
        "the recording could not be read from its place: {source}; check that place and try again"
    )]
    Io {
        /// What the source said.
        #[from]
        source: std::io::Error,
    },
}
