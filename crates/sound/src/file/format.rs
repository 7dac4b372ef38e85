//! The three kinds of sound file, and how a file name tells which.

use std::path::Path;

use super::FileError;

/// A kind of sound file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Format {
    /// Uncompressed, 16 bit: opens anywhere, large.
    Wav,
    /// Lossless, 16 bit: exact and small. The one to prefer.
    Flac,
    /// Lossy, constant bit rate: for old players only.
    Mp3,
}

impl Format {
    /// All formats, the preferred one first.
    pub const ALL: [Self; 3] = [Self::Flac, Self::Wav, Self::Mp3];

    /// Returns the format that the ending of `path` names, whatever its case.
    ///
    /// # Errors
    ///
    /// [`FileError::UnknownFormat`] for any other ending, or none.
    pub fn from_path(path: &Path) -> Result<Self, FileError> {
        let ending = path
            .extension()
            .map(|e| e.to_string_lossy().to_ascii_lowercase());
        match ending.as_deref() {
            Some("wav") => Ok(Self::Wav),
            Some("flac") => Ok(Self::Flac),
            Some("mp3") => Ok(Self::Mp3),
            other => Err(FileError::UnknownFormat {
                name: path
                    .file_name()
                    .unwrap_or(path.as_os_str())
                    .to_string_lossy()
                    .into_owned(),
                found: match other {
                    Some(other) => format!("ends in .{other}"),
                    None => "has no ending".to_owned(),
                },
            }),
        }
    }

    /// Returns the usual ending, without the dot.
    #[must_use]
    pub const fn extension(self) -> &'static str {
        match self {
            Self::Wav => "wav",
            Self::Flac => "flac",
            Self::Mp3 => "mp3",
        }
    }

    /// Returns the name as people write it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Wav => "WAV",
            Self::Flac => "FLAC",
            Self::Mp3 => "MP3",
        }
    }
}
