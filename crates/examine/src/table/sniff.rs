//! First look at a file: its digest, its kind, and for text its encoding.
//! Reads the bytes once from start to end and keeps none of them.

use std::io::{self, Read};

use chardetng::{EncodingDetector, Iso2022JpDetection, Utf8Detection};
use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1250, WINDOWS_1252};
use sha2::{Digest, Sha256};

/// What a file is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// Delimited text in an encoding; whether a byte-order mark said so.
    Text(&'static Encoding, bool),
    /// A package of parts: a workbook, or something else that is zipped.
    Package,
    /// Something else, in words.
    Other(&'static str),
}

/// What the first look found.
#[derive(Debug, Clone)]
pub(crate) struct Sniffed {
    /// What the file is.
    pub kind: Kind,
    /// Bytes read.
    pub bytes: u64,
    /// SHA-256 of the bytes, lower-case hexadecimal.
    pub sha256: String,
}

/// Signatures of files people pick by mistake.
const SIGNATURES: [(&[u8], &str); 6] = [
    (b"%PDF", "a PDF"),
    (b"\xD0\xCF\x11\xE0", "an old or password-protected workbook"),
    (b"\x89PNG", "a picture"),
    (b"\xFF\xD8\xFF", "a picture"),
    (b"SQLite format 3\0", "a database"),
    (b"{\\rtf", "a word-processor document"),
];

/// Reads everything and says what it is, stopping early once more than `limit` bytes came.
pub(crate) fn sniff(mut input: impl Read, limit: u64) -> io::Result<Sniffed> {
    let mut head: Vec<u8> = Vec::new();
    let mut hash = Sha256::new();
    let mut detector = EncodingDetector::new(Iso2022JpDetection::Deny);
    let mut utf8 = Utf8Check::default();
    let mut nul = [0_u64; 2];
    let mut low_letters = false;
    let mut bytes = 0_u64;
    let mut buffer = vec![0_u8; 64 << 10];
    loop {
        let n = match input.read(&mut buffer) {
            Ok(0) => break,
            Ok(n) => n,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
            Err(error) => return Err(error),
        };
        let chunk = buffer.get(..n).unwrap_or_default();
        if head.len() < 16 {
            head.extend(chunk.iter().take(16));
        }
        for (i, byte) in chunk.iter().enumerate() {
            if *byte == 0 {
                nul[(bytes as usize + i) % 2] += 1;
            }
            low_letters |= is_low_letter(*byte);
        }
        hash.update(chunk);
        detector.feed(chunk, false);
        utf8.feed(chunk);
        bytes += n as u64;
        if bytes > limit {
            break;
        }
    }
    detector.feed(b"", true);
    let sha256 = hash.finalize().iter().map(|b| format!("{b:02x}")).collect();
    let kind = kind(&head, bytes, nul, utf8.finish(), || {
        let guess = detector.guess(None, Utf8Detection::Deny);
        // Short western and central European texts look alike to the detector; the letters that
        // only the central European set has lie below 0xC0.
        if guess == WINDOWS_1250 && !low_letters {
            WINDOWS_1252
        } else {
            guess
        }
    });
    Ok(Sniffed {
        kind,
        bytes,
        sha256,
    })
}

/// Returns whether a byte from 0x80 to 0xBF is a letter in windows-1250 and not common punctuation.
const fn is_low_letter(byte: u8) -> bool {
    matches!(byte, 0x8A | 0x8C..=0x8F | 0x9A | 0x9C..=0x9F | 0xA3 | 0xA5 | 0xAA | 0xAF | 0xB3 | 0xB9 | 0xBA | 0xBC | 0xBE | 0xBF)
}

fn kind(
    head: &[u8],
    bytes: u64,
    nul: [u64; 2],
    is_utf8: bool,
    guess: impl FnOnce() -> &'static Encoding,
) -> Kind {
    if head.starts_with(b"PK\x03\x04") || head.starts_with(b"PK\x05\x06") {
        return Kind::Package;
    }
    if let Some((_, what)) = SIGNATURES.iter().find(|(sign, _)| head.starts_with(sign)) {
        return Kind::Other(what);
    }
    if let Some((encoding, _)) = Encoding::for_bom(head) {
        return Kind::Text(encoding, true);
    }
    // Text of 16-bit units without a mark: nearly every second byte is zero.
    let half = bytes / 2;
    let wide = bytes >= 8 && bytes.is_multiple_of(2);
    if wide && nul[1] * 10 >= half * 4 && nul[0] * 100 <= half {
        return Kind::Text(UTF_16LE, false);
    }
    if wide && nul[0] * 10 >= half * 4 && nul[1] * 100 <= half {
        return Kind::Text(UTF_16BE, false);
    }
    if nul[0] + nul[1] > 0 {
        return Kind::Other("binary data");
    }
    if is_utf8 {
        return Kind::Text(UTF_8, false);
    }
    Kind::Text(guess(), false)
}

/// Checks UTF-8 over chunks that may cut a character in two.
#[derive(Debug, Default)]
struct Utf8Check {
    tail: Vec<u8>,
    broken: bool,
}

impl Utf8Check {
    fn feed(&mut self, chunk: &[u8]) {
        if self.broken {
            return;
        }
        let joined;
        let bytes = if self.tail.is_empty() {
            chunk
        } else {
            joined = [self.tail.as_slice(), chunk].concat();
            joined.as_slice()
        };
        let rest = match std::str::from_utf8(bytes) {
            Ok(_) => Vec::new(),
            Err(error) if error.error_len().is_some() => {
                self.broken = true;
                Vec::new()
            }
            Err(error) => bytes
                .get(error.valid_up_to()..)
                .unwrap_or_default()
                .to_vec(),
        };
        self.tail = rest;
    }

    fn finish(&self) -> bool {
        !self.broken && self.tail.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kind_of(bytes: &[u8]) -> Kind {
        sniff(bytes, u64::MAX).expect("memory").kind
    }

    #[test]
    fn encodings_are_told_apart() {
        assert_eq!(
            kind_of("name,level\nZoë,5.2\n".as_bytes()),
            Kind::Text(UTF_8, false)
        );
        assert_eq!(kind_of(b"\xEF\xBB\xBFname\n"), Kind::Text(UTF_8, true));
        let wide: Vec<u8> = "name\tlevel\n"
            .encode_utf16()
            .flat_map(u16::to_le_bytes)
            .collect();
        assert_eq!(kind_of(&wide), Kind::Text(UTF_16LE, false));
        let western = b"name;niveau\nHel\xE8ne;5.2\nJos\xE9;6.1\n";
        assert_eq!(kind_of(western), Kind::Text(WINDOWS_1252, false));
    }

    #[test]
    fn other_files_are_named() {
        assert_eq!(kind_of(b"%PDF-1.7 ..."), Kind::Other("a PDF"));
        assert_eq!(kind_of(b"PK\x03\x04...."), Kind::Package);
        assert_eq!(kind_of(b"a\0b,c"), Kind::Other("binary data"));
    }

    #[test]
    fn a_character_cut_between_two_chunks_is_still_utf8() {
        let mut check = Utf8Check::default();
        check.feed(b"Zo\xC3");
        check.feed(b"\xAB");
        assert!(check.finish());
        check.feed(b"\xC3");
        assert!(!check.finish());
    }
}
