//! The recording at the working rate, as 32-bit numbers on a scratch file: read again by place.
//! Two to three gigabytes would be a day; an hour is 115 MB.

use std::io::{Read, Seek, SeekFrom, Write};

use crate::error::ListenError;

/// Bytes of a sample.
const WIDTH: usize = 4;
/// Samples kept before they are written.
const BLOCK: usize = 1 << 15;

/// A recording that can be read again.
pub struct Scratch<F> {
    file: F,
    samples: u64,
    waiting: Vec<u8>,
    bytes: Vec<u8>,
}

impl<F: Read + Write + Seek> Scratch<F> {
    /// Starts on an empty file.
    pub(super) fn new(mut file: F) -> Result<Self, ListenError> {
        file.seek(SeekFrom::Start(0))
            .map_err(ListenError::Scratch)?;
        Ok(Self {
            file,
            samples: 0,
            waiting: Vec::with_capacity(BLOCK * WIDTH),
            bytes: Vec::new(),
        })
    }

    pub(super) fn append(&mut self, samples: &[f32]) -> Result<(), ListenError> {
        for sample in samples {
            self.waiting.extend_from_slice(&sample.to_le_bytes());
        }
        self.samples += samples.len() as u64;
        if self.waiting.len() >= BLOCK * WIDTH {
            self.complete()?;
        }
        Ok(())
    }

    pub(super) fn complete(&mut self) -> Result<(), ListenError> {
        self.file
            .write_all(&self.waiting)
            .and_then(|()| self.file.flush())
            .map_err(ListenError::Scratch)?;
        self.waiting.clear();
        Ok(())
    }

    /// Returns the length, samples.
    pub const fn length(&self) -> u64 {
        self.samples
    }

    /// Reads `out.len()` samples from `at` on; what lies outside the recording is silence.
    pub fn read(&mut self, at: i64, out: &mut [f32]) -> Result<(), ListenError> {
        out.fill(0.0);
        let end = at.saturating_add(i64::try_from(out.len()).unwrap_or(i64::MAX));
        let all = i64::try_from(self.samples).unwrap_or(i64::MAX);
        let (from, to) = (at.clamp(0, all), end.clamp(0, all));
        if from >= to {
            return Ok(());
        }
        let count = usize::try_from(to - from).unwrap_or(0);
        self.bytes.resize(count * WIDTH, 0);
        let place = from.unsigned_abs() * WIDTH as u64;
        self.file
            .seek(SeekFrom::Start(place))
            .and_then(|_| self.file.read_exact(&mut self.bytes))
            .map_err(ListenError::Scratch)?;
        let first = usize::try_from(from - at).unwrap_or(0);
        let (samples, _) = self.bytes.as_chunks::<WIDTH>();
        for (to, bytes) in out[first..].iter_mut().zip(samples) {
            *to = f32::from_le_bytes(*bytes);
        }
        Ok(())
    }
}
