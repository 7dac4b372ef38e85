//! The file being written: buffered, counted, and every refusal said with its place.

use std::io::{BufWriter, Seek, SeekFrom, Write};

use super::FileError;

/// Bytes held back before they are handed on; larger pieces pass straight through.
const BUFFER: usize = 1 << 16;

/// A counted, buffered sink that starts wherever the caller's stream stood.
pub(super) struct Sink<W: Write + Seek> {
    inner: BufWriter<W>,
    format: &'static str,
    start: u64,
    at: u64,
}

impl<W: Write + Seek> Sink<W> {
    /// Takes over a stream at its present position.
    pub fn new(mut inner: W, format: &'static str) -> Result<Self, FileError> {
        let start = inner.stream_position().map_err(|source| FileError::Sink {
            format,
            at: 0,
            doing: "asking where the file starts",
            source,
        })?;
        Ok(Self {
            inner: BufWriter::with_capacity(BUFFER, inner),
            format,
            start,
            at: 0,
        })
    }

    /// Appends bytes.
    pub fn put(&mut self, bytes: &[u8], doing: &'static str) -> Result<(), FileError> {
        self.inner
            .write_all(bytes)
            .map_err(|source| self.refused(doing, source))?;
        self.at += bytes.len() as u64;
        Ok(())
    }

    /// Writes over bytes already written and comes back to the end.
    pub fn patch(&mut self, at: u64, bytes: &[u8], doing: &'static str) -> Result<(), FileError> {
        let (there, back) = (self.start + at, self.start + self.at);
        self.inner
            .seek(SeekFrom::Start(there))
            .and_then(|_| self.inner.write_all(bytes))
            .and_then(|()| self.inner.seek(SeekFrom::Start(back)))
            .map(|_| ())
            .map_err(|source| self.refused(doing, source))
    }

    /// Hands on what is held back and returns the stream.
    pub fn finish(mut self) -> Result<W, FileError> {
        const DOING: &str = "writing the last bytes";
        self.inner
            .flush()
            .map_err(|source| self.refused(DOING, source))?;
        let (format, at) = (self.format, self.at);
        self.inner.into_inner().map_err(|error| FileError::Sink {
            format,
            at,
            doing: DOING,
            source: error.into_error(),
        })
    }

    fn refused(&self, doing: &'static str, source: std::io::Error) -> FileError {
        FileError::Sink {
            format: self.format,
            at: self.at,
            doing,
            source,
        }
    }
}
