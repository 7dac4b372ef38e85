//! What a track is before its first sample: rate, channels, length, tags and chapters.

use super::FileError;

/// Most bytes that tags and chapter titles may take together: 1 MiB.
const MAX_TEXT: usize = 1 << 20;

/// The shape of a track, known before it is rendered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Spec {
    /// Samples per second: 44100 or 48000.
    pub rate: u32,
    /// 1, or 2 with the same sound on both.
    pub channels: u16,
    /// Length in samples per channel.
    pub samples: u64,
}

/// What a player shows about a track.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Tags {
    /// The title line; left out when empty.
    pub title: String,
    /// A longer note; left out when empty.
    pub comment: String,
    /// Further names and values, such as `ARTIST`. Names are written in capitals.
    pub fields: Vec<(String, String)>,
}

/// A named part of a track.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chapter {
    /// First sample, from 0.
    pub at: u64,
    /// The sample after the last: greater than `at`, at most the length of the track.
    pub end: u64,
    /// What a player shows.
    pub title: String,
}

/// Checks what holds for all three formats.
pub(super) fn check(spec: &Spec, tags: &Tags, chapters: &[Chapter]) -> Result<(), FileError> {
    if !matches!(spec.rate, 44_100 | 48_000) {
        return Err(FileError::Rate { found: spec.rate });
    }
    if !matches!(spec.channels, 1 | 2) {
        return Err(FileError::Channels {
            found: spec.channels,
        });
    }
    let mut text = tags.title.len() + tags.comment.len();
    for (name, value) in &tags.fields {
        let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, ' ' | '-' | '_');
        if name.is_empty() || name.len() > 60 || !name.chars().all(plain) {
            return Err(FileError::TagName { name: name.clone() });
        }
        text += name.len() + value.len();
    }
    let mut before = 0;
    for (i, chapter) in chapters.iter().enumerate() {
        if chapter.at < before || chapter.at >= chapter.end || chapter.end > spec.samples {
            return Err(FileError::Chapter {
                number: i + 1,
                title: chapter.title.clone(),
                at: chapter.at,
                end: chapter.end,
                samples: spec.samples,
            });
        }
        before = chapter.at;
        text += chapter.title.len();
    }
    if text > MAX_TEXT {
        return Err(FileError::Tags {
            found: text,
            allowed: MAX_TEXT,
        });
    }
    Ok(())
}

/// Returns milliseconds at a sample, rounded half up.
pub(super) fn millis(sample: u64, rate: u32) -> u64 {
    let rate = u128::from(rate);
    u64::try_from((u128::from(sample) * 2000 + rate) / (2 * rate)).unwrap_or(u64::MAX)
}

/// Returns text without the NULs that end a string in WAV and ID3.
pub(super) fn without_nul(text: &str) -> String {
    text.replace('\0', " ")
}
