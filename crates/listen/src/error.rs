//! Why a recording could not be listened to.

use thiserror::Error;

use crate::read::ReadError;

/// Why a recording could not be listened to.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum ListenError {
    /// The recording cannot be read.
    #[error(transparent)]
    Read(#[from] ReadError),
    /// The scratch file failed.
    #[error(
        "the working copy of the recording could not be kept: {0}; make room on the disk (115 MB an \
         hour) and run it again"
    )]
    Scratch(std::io::Error),
    /// The sampling rate could not be changed; a fault of ours.
    #[error("the recording could not be brought to 8,000 samples a second: {0}")]
    Resample(String),
    /// A test that is not in the catalogue, or has no cues.
    #[error("`{0}` is not a test paced by cues; `plimsoll tests` shows them")]
    NotPaced(String),
}
