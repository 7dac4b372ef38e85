//! The bytes of a recording, as the demuxers want them.

use std::io::{Read, Result, Seek, SeekFrom};

use symphonia::core::io::MediaSource;

/// Anything that can be read and sought, such as an open file or bytes in memory.
pub trait ReadSeek: Read + Seek {}

impl<T: Read + Seek> ReadSeek for T {}

/// A source whose length was asked for once.
pub(super) struct Source {
    inner: Box<dyn ReadSeek + Send + Sync>,
    length: u64,
}

impl Source {
    /// Asks for the length and goes back to the start.
    pub fn new(mut inner: Box<dyn ReadSeek + Send + Sync>) -> Result<Self> {
        let length = inner.seek(SeekFrom::End(0))?;
        inner.seek(SeekFrom::Start(0))?;
        Ok(Self { inner, length })
    }

    /// Returns the length in bytes.
    pub const fn length(&self) -> u64 {
        self.length
    }

    /// Returns up to `most` bytes from the start, and goes back there.
    pub fn first_bytes(&mut self, most: u64) -> Result<Vec<u8>> {
        let mut first = Vec::new();
        Read::by_ref(&mut self.inner)
            .take(most)
            .read_to_end(&mut first)?;
        self.inner.seek(SeekFrom::Start(0))?;
        Ok(first)
    }
}

impl Read for Source {
    fn read(&mut self, buffer: &mut [u8]) -> Result<usize> {
        self.inner.read(buffer)
    }
}

impl Seek for Source {
    fn seek(&mut self, to: SeekFrom) -> Result<u64> {
        self.inner.seek(to)
    }
}

impl MediaSource for Source {
    fn is_seekable(&self) -> bool {
        true
    }

    fn byte_len(&self) -> Option<u64> {
        Some(self.length)
    }
}
