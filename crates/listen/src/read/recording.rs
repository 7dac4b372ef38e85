//! A recording as it is read: blocks of mono samples, with what was overdriven or damaged.
//! Must not hold more than one packet of sound. A damaged packet becomes silence of its length.

use super::clip::{ClippedSpan, Clips};
use super::coded::{Coded, Shape};
use super::pull::{Pull, Pulled};
use super::{MAX_CHANNELS, MAX_HOURS, MAX_RATE, MIN_RATE, ReadError};

/// Longest silence put in place of one damaged packet, in seconds.
const LONGEST_GAP: f64 = 2.0;
/// A recording that ends this much before its announced end is called cut off, in seconds.
const CUT_SLACK: f64 = 0.25;
/// Largest sample let through, as a multiple of full scale: float files may exceed 1.
const LOUDEST: f32 = 1_000.0;

/// A recording being read.
pub struct Recording {
    pull: Pull,
    coded: Coded,
    shape: Shape,
    pending: Vec<f32>,
    peaks: Vec<f32>,
    clips: Clips,
    samples: u64,
    damaged: u64,
    last: usize,
    failed: Option<ReadError>,
    over: bool,
}

impl std::fmt::Debug for Recording {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Recording")
            .field("codec", &self.coded.name())
            .field("shape", &self.shape)
            .field("samples", &self.samples)
            .field("damaged", &self.damaged)
            .finish_non_exhaustive()
    }
}

impl Recording {
    /// Decodes up to the first samples and checks the bounds.
    pub(super) fn start(pull: Pull, coded: Coded) -> Result<Self, ReadError> {
        let mut recording = Self {
            pull,
            coded,
            shape: Shape {
                rate: 0,
                channels: 0,
            },
            pending: Vec::new(),
            peaks: Vec::new(),
            clips: Clips::new(0, None),
            samples: 0,
            damaged: 0,
            last: 0,
            failed: None,
            over: false,
        };
        while recording.pending.is_empty() {
            recording.advance();
            if recording.over && recording.pending.is_empty() {
                let codec = recording.coded.name().to_owned();
                return Err(recording.failed.unwrap_or(ReadError::NoSamples { codec }));
            }
        }
        Ok(recording)
    }

    /// Returns samples per second: 4,000 to 384,000.
    #[must_use]
    pub const fn rate(&self) -> u32 {
        self.shape.rate
    }

    /// Returns the channels whose mean the samples are: 1 to 8.
    #[must_use]
    pub const fn channels(&self) -> usize {
        self.shape.channels
    }

    /// Returns a short name of the coding, such as `aac`, `opus` or `pcm_s16le`.
    #[must_use]
    pub fn codec(&self) -> &str {
        self.coded.name()
    }

    /// Returns samples per channel decoded so far, silence for damaged packets included.
    #[must_use]
    pub const fn samples(&self) -> u64 {
        self.samples
    }

    /// Returns overdriven samples so far: in runs of three or more at full scale, in any channel.
    #[must_use]
    pub fn clipped(&self) -> u64 {
        self.clips.count()
    }

    /// Returns where it was overdriven so far, at most 1,000 spans, in order.
    pub fn clipped_spans(&mut self) -> &[ClippedSpan] {
        self.clips.spans()
    }

    /// Returns packets so far that could not be decoded and were replaced by silence.
    #[must_use]
    pub const fn damaged(&self) -> u64 {
        self.damaged
    }

    /// Appends the next block of samples, full scale being -1 to 1, and returns whether there
    /// was one. After an error or the end it returns `false`.
    ///
    /// # Errors
    ///
    /// The first error ends the recording; what was appended before it holds.
    pub fn next(&mut self, block: &mut Vec<f32>) -> Result<bool, ReadError> {
        while self.pending.is_empty() && !self.over {
            self.advance();
        }
        if !self.pending.is_empty() {
            block.append(&mut self.pending);
            return Ok(true);
        }
        self.failed.take().map_or(Ok(false), Err)
    }

    fn advance(&mut self) {
        let packet = match self.pull.next() {
            Pulled::Packet(packet) => packet,
            Pulled::Renewed(coded) => {
                self.coded = *coded;
                return;
            }
            Pulled::End | Pulled::Cut => return self.end(),
            Pulled::Broken(found) => {
                let error = ReadError::Damaged {
                    seconds: self.seconds(),
                    found,
                };
                return self.fail(error);
            }
            Pulled::Io(error) => return self.fail(error.into()),
        };
        match self.coded.decode(&packet) {
            Ok((_, [])) => self.pull.gave(false),
            Ok((shape, samples)) => {
                if let Err(error) = check(self.shape, shape, self.samples) {
                    return self.fail(error);
                }
                mix(samples, shape.channels, &mut self.pending, &mut self.peaks);
                if self.shape != shape {
                    self.shape = shape;
                    self.clips = Clips::new(shape.rate, self.coded.bits());
                }
                self.last = self.pending.len();
                self.pull.gave(true);
                self.took();
            }
            Err(_) => {
                self.damaged += 1;
                self.pull.gave(false);
                let gap = self.gap(self.pull.seconds(&packet));
                self.pending.resize(gap, 0.0);
                self.peaks.clear();
                self.peaks.resize(gap, 0.0);
                self.took();
            }
        }
    }

    /// Samples for a lost packet: its length, or where that is unknown the one before it's.
    fn gap(&self, seconds: f64) -> usize {
        let seconds = seconds.clamp(0.0, LONGEST_GAP);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most 2 s at 384 kHz, and not negative"
        )]
        let gap = (seconds * f64::from(self.shape.rate)).round() as usize;
        if gap == 0 { self.last } else { gap }
    }

    fn took(&mut self) {
        self.clips.look(if self.shape.channels == 1 {
            &self.pending
        } else {
            &self.peaks
        });
        self.samples += self.pending.len() as u64;
        if self.samples > MAX_HOURS * 3_600 * u64::from(self.shape.rate) {
            self.pending.clear();
            self.fail(ReadError::TooLong);
        }
    }

    fn end(&mut self) {
        self.over = true;
        let rate = f64::from(self.shape.rate.max(1));
        #[expect(
            clippy::cast_precision_loss,
            reason = "lengths of hours, shown to 0.1 s"
        )]
        let announced = self.pull.announced().map_or(0.0, |n| n as f64 / rate);
        let seconds = self.seconds();
        if self.samples > 0 && announced > seconds + CUT_SLACK {
            self.failed = Some(ReadError::Truncated { seconds, announced });
        }
    }

    fn fail(&mut self, error: ReadError) {
        self.over = true;
        self.failed = Some(error);
    }

    #[expect(
        clippy::cast_precision_loss,
        reason = "lengths of hours, shown to 0.1 s"
    )]
    fn seconds(&self) -> f64 {
        self.samples as f64 / f64::from(self.shape.rate.max(1))
    }
}

fn check(before: Shape, now: Shape, samples: u64) -> Result<(), ReadError> {
    if before == now {
        return Ok(());
    }
    if !(MIN_RATE..=MAX_RATE).contains(&now.rate) {
        return Err(ReadError::Rate { found: now.rate });
    }
    if !(1..=MAX_CHANNELS).contains(&now.channels) {
        return Err(ReadError::Channels {
            found: now.channels,
        });
    }
    if before.channels != 0 {
        #[expect(
            clippy::cast_precision_loss,
            reason = "lengths of hours, shown to 0.1 s"
        )]
        let seconds = samples as f64 / f64::from(before.rate.max(1));
        let (before, after) = (before.to_string(), now.to_string());
        return Err(ReadError::Changed {
            seconds,
            before,
            after,
        });
    }
    Ok(())
}

/// Puts the mean over the channels into `mono` and the largest by size into `peaks`, which is
/// left alone for one channel. What is not a number becomes 0; what is absurdly loud is held.
fn mix(samples: &[f32], channels: usize, mono: &mut Vec<f32>, peaks: &mut Vec<f32>) {
    let finite = |s: f32| {
        if s.is_nan() {
            0.0
        } else {
            s.clamp(-LOUDEST, LOUDEST)
        }
    };
    mono.clear();
    if channels == 1 {
        mono.extend(samples.iter().map(|s| finite(*s)));
        return;
    }
    #[expect(clippy::cast_precision_loss, reason = "at most 8")]
    let part = 1.0 / channels as f32;
    let frames = samples.chunks_exact(channels);
    mono.extend(
        frames
            .clone()
            .map(|f| f.iter().map(|s| finite(*s)).sum::<f32>() * part),
    );
    peaks.clear();
    peaks.extend(frames.map(|f| f.iter().fold(0.0_f32, |most, s| most.max(finite(*s).abs()))));
}
