//! SHA-256 in the form in which the archive keeps it: 64 lower-case hexadecimal digits.
//! Pure; the algorithm is FIPS 180-4, from the sha2 crate.

use std::fmt::Write as _;
use std::io::{self, Read, Write};

use sha2::{Digest, Sha256};

/// Returns the SHA-256 of bytes as 64 lower-case hexadecimal digits.
pub fn sha256_hex(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// Returns the SHA-256 of everything a reader gives, as 64 lower-case hexadecimal digits.
///
/// # Errors
///
/// Those of the reader.
pub fn sha256_of(reader: &mut impl Read) -> io::Result<String> {
    let mut digesting = Digesting::new(reader);
    io::copy(&mut digesting, &mut io::sink())?;
    Ok(digesting.finish().1)
}

/// Returns bytes as lower-case hexadecimal digits.
pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// Passes bytes on, in or out, and digests them on the way.
pub(crate) struct Digesting<T> {
    inner: T,
    digest: Sha256,
    left: usize,
}

impl<T> Digesting<T> {
    /// Returns a passage without a limit.
    pub(crate) fn new(inner: T) -> Self {
        Self {
            inner,
            digest: Sha256::new(),
            left: usize::MAX,
        }
    }

    /// Lets at most this many more bytes be read; a read beyond is an error.
    pub(crate) fn allow(&mut self, bytes: usize) {
        self.left = bytes;
    }

    /// Returns what was passed to, and the SHA-256 of what was passed.
    pub(crate) fn finish(self) -> (T, String) {
        (self.inner, hex(&self.digest.finalize()))
    }
}

impl<W: Write> Write for Digesting<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let written = self.inner.write(bytes)?;
        self.digest.update(&bytes[..written]);
        Ok(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.inner.flush()
    }
}

impl<R: Read> Read for Digesting<R> {
    fn read(&mut self, bytes: &mut [u8]) -> io::Result<usize> {
        let read = self.inner.read(bytes)?;
        self.digest.update(&bytes[..read]);
        self.left = self.left.checked_sub(read).ok_or_else(|| {
            io::Error::new(io::ErrorKind::InvalidData, "a row is longer than is read")
        })?;
        Ok(read)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: FIPS 180-2 (2002), appendix B.1, the message `abc`. From memory, and the same as
    /// the `sha256sum` of Debian's coreutils gives.
    #[test]
    fn the_standard_message_has_the_standard_digest() {
        assert_eq!(
            sha256_hex(b"abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}
