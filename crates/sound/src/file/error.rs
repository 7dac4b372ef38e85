//! What can go wrong while a track is written, each with what was found and what is allowed.

/// Why a sound file could not be written.
#[derive(Debug, thiserror::Error)]
pub enum FileError {
    /// The file name does not end in a known extension.
    #[error(
        "the sound file \"{name}\" {found}; allowed are .wav, .flac and .mp3; \
         give the file one of these endings"
    )]
    UnknownFormat {
        /// The name that was given.
        name: String,
        /// What the name ends in, in words.
        found: String,
    },
    /// The sample rate is not one of the two that every player and all three formats take.
    #[error(
        "a sound file at {found} Hz was asked for; allowed are 44100 and 48000; ask for one of these"
    )]
    Rate {
        /// The rate asked for, in hertz.
        found: u32,
    },
    /// The number of channels is neither one nor two.
    #[error(
        "a sound file with {found} channels was asked for; allowed are 1 and 2; ask for one of these"
    )]
    Channels {
        /// The channels asked for.
        found: u16,
    },
    /// The track is longer than the format can say.
    #[error(
        "a {format} file of {found} samples was asked for; at most {allowed} fit; \
         split the track or choose FLAC"
    )]
    TooLong {
        /// The format, as people write it.
        format: &'static str,
        /// Samples per channel asked for.
        found: u64,
        /// Most samples per channel that fit.
        allowed: u64,
    },
    /// A chapter lies outside the track, is empty, or starts before the one ahead of it.
    #[error(
        "chapter {number} \"{title}\" runs from sample {at} to {end} in a track of {samples}; \
         a chapter ends after it starts, inside the track, and starts no earlier than the one \
         before it; correct its two samples"
    )]
    Chapter {
        /// Which chapter, counted from 1.
        number: usize,
        /// Its title.
        title: String,
        /// Its first sample.
        at: u64,
        /// The sample after its last.
        end: u64,
        /// Samples per channel of the track.
        samples: u64,
    },
    /// More chapters than the format can list.
    #[error(
        "a {format} file with {found} chapters was asked for; at most {allowed} can be listed; leave some out"
    )]
    Chapters {
        /// The format, as people write it.
        format: &'static str,
        /// Chapters asked for.
        found: usize,
        /// Most that can be listed.
        allowed: usize,
    },
    /// A tag name that no format could keep.
    #[error(
        "the tag name \"{name}\" cannot be written; allowed are 1 to 60 of the characters \
         A-Z, a-z, 0-9, space, - and _; rename it"
    )]
    TagName {
        /// The name that was given.
        name: String,
    },
    /// The tags and chapter titles together are too large.
    #[error(
        "the tags take {found} bytes; at most {allowed} are allowed; shorten the comment or the chapter titles"
    )]
    Tags {
        /// Bytes they take.
        found: usize,
        /// Most bytes allowed.
        allowed: usize,
    },
    /// More samples were written than announced.
    #[error(
        "sample {found} was written to a track announced as {announced} samples; announce the true length first"
    )]
    TooMany {
        /// Samples per channel that had come, with the last write.
        found: u64,
        /// Samples per channel announced.
        announced: u64,
    },
    /// Fewer samples were written than announced.
    #[error(
        "a track announced as {announced} samples was closed after {found}; write the rest or announce the true length"
    )]
    TooFew {
        /// Samples per channel that had come.
        found: u64,
        /// Samples per channel announced.
        announced: u64,
    },
    /// The sink refused: a full disk, a closed pipe, a missing right.
    #[error(
        "the {format} file could not be written at byte {at} ({doing}): {source}; \
         the file is incomplete; make room or choose another place, then write it again"
    )]
    Sink {
        /// The format, as people write it.
        format: &'static str,
        /// Bytes accepted before.
        at: u64,
        /// What was being written.
        doing: &'static str,
        /// What the sink said.
        source: std::io::Error,
    },
    /// The encoder gave up. Not known to happen; reported rather than hidden.
    #[error(
        "the {format} encoder failed at sample {at}: {found}; write a WAV file instead and report this"
    )]
    Encoder {
        /// The format, as people write it.
        format: &'static str,
        /// First sample of the block, per channel.
        at: u64,
        /// What the encoder said.
        found: String,
    },
}
