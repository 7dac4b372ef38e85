//! The one writer over the three formats: counts samples and refuses too many or too few.

use std::io::{Seek, Write};

use super::flac::Flac;
use super::mp3::Mp3;
use super::sink::Sink;
use super::wav::Wav;
use super::{Chapter, FileError, Format, Spec, Tags, spec};
use crate::render;

enum Encoder {
    Wav(Wav),
    Flac(Box<Flac>),
    Mp3(Box<Mp3>),
}

/// A sound file being written. Its memory does not grow with the track.
pub struct Writer<W: Write + Seek> {
    sink: Sink<W>,
    encoder: Encoder,
    samples: u64,
    came: u64,
}

impl<W: Write + Seek> Writer<W> {
    /// Starts a file at the present position of `sink` and writes its head.
    ///
    /// # Errors
    ///
    /// Says what in `spec`, `tags` or `chapters` cannot be written, or how the sink refused.
    pub fn create(
        format: Format,
        sink: W,
        spec: &Spec,
        tags: &Tags,
        chapters: &[Chapter],
    ) -> Result<Self, FileError> {
        spec::check(spec, tags, chapters)?;
        let mut sink = Sink::new(sink, format.name())?;
        let encoder = match format {
            Format::Wav => Encoder::Wav(Wav::start(&mut sink, spec, tags, chapters)?),
            Format::Flac => Encoder::Flac(Box::new(Flac::start(&mut sink, spec, tags, chapters)?)),
            Format::Mp3 => Encoder::Mp3(Box::new(Mp3::start(&mut sink, spec, tags, chapters)?)),
        };
        Ok(Self {
            sink,
            encoder,
            samples: spec.samples,
            came: 0,
        })
    }

    /// Appends samples; in a stereo file both channels carry them.
    ///
    /// # Errors
    ///
    /// [`FileError::TooMany`] beyond the announced length, or how the sink refused.
    pub fn write(&mut self, samples: &[i16]) -> Result<(), FileError> {
        self.count(samples.len() as u64)?;
        match &mut self.encoder {
            Encoder::Wav(e) => e.write(&mut self.sink, samples),
            Encoder::Flac(e) => e.write(&mut self.sink, samples),
            Encoder::Mp3(e) => e.write(&mut self.sink, samples),
        }
    }

    /// Appends `n` samples of digital silence, at next to no cost.
    ///
    /// # Errors
    ///
    /// As [`Writer::write`].
    pub fn silence(&mut self, n: u64) -> Result<(), FileError> {
        self.count(n)?;
        match &mut self.encoder {
            Encoder::Wav(e) => e.silence(&mut self.sink, n),
            Encoder::Flac(e) => e.silence(&mut self.sink, n),
            Encoder::Mp3(e) => e.silence(&mut self.sink, n),
        }
    }

    /// Writes what is left, completes the head and returns the sink.
    ///
    /// # Errors
    ///
    /// [`FileError::TooFew`] short of the announced length, or how the sink refused.
    pub fn finish(mut self) -> Result<W, FileError> {
        if self.came != self.samples {
            return Err(FileError::TooFew {
                found: self.came,
                announced: self.samples,
            });
        }
        match self.encoder {
            Encoder::Wav(e) => e.finish(&mut self.sink)?,
            Encoder::Flac(e) => e.finish(&mut self.sink)?,
            Encoder::Mp3(e) => e.finish(&mut self.sink)?,
        }
        self.sink.finish()
    }

    fn count(&mut self, more: u64) -> Result<(), FileError> {
        let found = self.came.saturating_add(more);
        if found > self.samples {
            return Err(FileError::TooMany {
                found,
                announced: self.samples,
            });
        }
        self.came = found;
        Ok(())
    }
}

/// A track is rendered straight into a file.
impl<W: Write + Seek> render::Sink for Writer<W> {
    type Error = FileError;

    fn write(&mut self, samples: &[i16]) -> Result<(), FileError> {
        Writer::write(self, samples)
    }

    fn silence(&mut self, samples: u64) -> Result<(), FileError> {
        Writer::silence(self, samples)
    }
}
