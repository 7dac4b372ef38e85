//! What follows the samples of a WAV file: `LIST`/`INFO` tags, `cue ` points, their labels.
//! `INFO` has fixed four-letter names, so a tag without one becomes a line of the comment.

use super::spec::without_nul;
use super::{Chapter, Tags};

/// Names with an `INFO` code of their own (registered in the RIFF specification of 1991;
/// codes from memory, read back by ffprobe).
const CODES: [(&str, &[u8; 4]); 7] = [
    ("ALBUM", b"IPRD"),
    ("ARTIST", b"IART"),
    ("COPYRIGHT", b"ICOP"),
    ("DATE", b"ICRD"),
    ("ENCODER", b"ISFT"),
    ("GENRE", b"IGNR"),
    ("LANGUAGE", b"ILNG"),
];

/// Returns all chunks after the samples; empty when there is nothing to say.
pub(super) fn tail(tags: &Tags, chapters: &[Chapter]) -> Vec<u8> {
    let mut out = Vec::new();
    let info = info(tags);
    if !info.is_empty() {
        chunk(&mut out, b"LIST", &[b"INFO", info.as_slice()].concat());
    }
    if !chapters.is_empty() {
        chunk(&mut out, b"cue ", &points(chapters));
        chunk(
            &mut out,
            b"LIST",
            &[b"adtl", labels(chapters).as_slice()].concat(),
        );
    }
    out
}

fn info(tags: &Tags) -> Vec<u8> {
    let mut out = Vec::new();
    let mut comment = tags.comment.clone();
    if !tags.title.is_empty() {
        text_chunk(&mut out, b"INAM", &[], &tags.title);
    }
    for (name, value) in &tags.fields {
        let name = name.to_ascii_uppercase();
        match CODES.iter().find(|(known, _)| *known == name) {
            Some((_, code)) => text_chunk(&mut out, code, &[], value),
            None => {
                if !comment.is_empty() {
                    comment.push('\n');
                }
                comment.push_str(&format!("{name}={value}"));
            }
        }
    }
    if !comment.is_empty() {
        text_chunk(&mut out, b"ICMT", &[], &comment);
    }
    out
}

fn points(chapters: &[Chapter]) -> Vec<u8> {
    let mut out = le32(chapters.len() as u64).to_vec();
    for (i, chapter) in chapters.iter().enumerate() {
        out.extend_from_slice(&le32(i as u64 + 1));
        out.extend_from_slice(&le32(chapter.at));
        out.extend_from_slice(b"data");
        out.extend_from_slice(&[0; 8]);
        out.extend_from_slice(&le32(chapter.at));
    }
    out
}

fn labels(chapters: &[Chapter]) -> Vec<u8> {
    let mut out = Vec::new();
    for (i, chapter) in chapters.iter().enumerate() {
        text_chunk(&mut out, b"labl", &le32(i as u64 + 1), &chapter.title);
    }
    out
}

fn text_chunk(out: &mut Vec<u8>, id: &[u8; 4], before: &[u8], text: &str) {
    let mut body = before.to_vec();
    body.extend_from_slice(without_nul(text).as_bytes());
    body.push(0);
    chunk(out, id, &body);
}

fn chunk(out: &mut Vec<u8>, id: &[u8; 4], body: &[u8]) {
    out.extend_from_slice(id);
    out.extend_from_slice(&le32(body.len() as u64));
    out.extend_from_slice(body);
    if body.len() % 2 == 1 {
        out.push(0);
    }
}

/// Saturates; a position beyond 32 bits is refused before any of this is written.
fn le32(n: u64) -> [u8; 4] {
    u32::try_from(n).unwrap_or(u32::MAX).to_le_bytes()
}
