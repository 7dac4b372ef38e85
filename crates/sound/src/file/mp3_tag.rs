//! The ID3v2.3 tag in front of an MP3 file: title, comment, further names, chapters.
//! Facts: ID3v2.3 and its chapter addendum; times there are whole milliseconds.

use id3::frame::{Chapter as Chap, Comment, ExtendedText, Frame, TableOfContents};
use id3::{Tag, TagLike, Version};

use super::spec::{millis, without_nul};
use super::{Chapter, FileError, Spec, Tags};

/// The table of contents counts its entries in one byte.
const MAX_CHAPTERS: usize = 255;
/// Says that an offset in bytes is not given.
const NO_OFFSET: u32 = u32::MAX;

/// Names with a text frame of their own; others go into `TXXX`.
const FRAMES: [(&str, &str); 5] = [
    ("ALBUM", "TALB"),
    ("ARTIST", "TPE1"),
    ("COPYRIGHT", "TCOP"),
    ("ENCODER", "TSSE"),
    ("GENRE", "TCON"),
];

/// Returns the tag's bytes; empty when there is nothing to say.
pub(super) fn tag(spec: &Spec, tags: &Tags, chapters: &[Chapter]) -> Result<Vec<u8>, FileError> {
    if chapters.len() > MAX_CHAPTERS {
        return Err(FileError::Chapters {
            format: "MP3",
            found: chapters.len(),
            allowed: MAX_CHAPTERS,
        });
    }
    let mut tag = Tag::new();
    if !tags.title.is_empty() {
        tag.set_title(without_nul(&tags.title));
    }
    if !tags.comment.is_empty() {
        tag.add_frame(Comment {
            lang: "eng".to_owned(),
            description: String::new(),
            text: without_nul(&tags.comment),
        });
    }
    for (name, value) in &tags.fields {
        let name = name.to_ascii_uppercase();
        let value = without_nul(value);
        match FRAMES.iter().find(|(known, _)| *known == name) {
            Some((_, id)) => tag.set_text(*id, value),
            None => {
                tag.add_frame(ExtendedText {
                    description: name,
                    value,
                });
            }
        }
    }
    let ms = |sample| u32::try_from(millis(sample, spec.rate)).unwrap_or(u32::MAX);
    for (i, chapter) in chapters.iter().enumerate() {
        tag.add_frame(Chap {
            element_id: format!("chp{i}"),
            start_time: ms(chapter.at),
            end_time: ms(chapter.end),
            start_offset: NO_OFFSET,
            end_offset: NO_OFFSET,
            frames: vec![Frame::text("TIT2", without_nul(&chapter.title))],
        });
    }
    if !chapters.is_empty() {
        tag.add_frame(TableOfContents {
            element_id: "toc".to_owned(),
            top_level: true,
            ordered: true,
            elements: (0..chapters.len()).map(|i| format!("chp{i}")).collect(),
            frames: Vec::new(),
        });
    }
    let mut out = Vec::new();
    if tag.frames().next().is_some() {
        tag.write_to(&mut out, Version::Id3v23)
            .map_err(|e| FileError::Encoder {
                format: "MP3",
                at: 0,
                found: e.to_string(),
            })?;
    }
    Ok(out)
}
