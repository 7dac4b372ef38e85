//! A track rendered once and written as pieces of about 20 s beside the whole.

use std::fs;
use std::io::Cursor;
use std::path::Path;
use std::sync::Mutex;

use plimsoll_ladder::Instant;
use plimsoll_sound::file::{FileError, Format, Spec, Tags, Writer};
use plimsoll_sound::{Plan, Sink, measure, render};

/// Length of a piece, s.
const PIECE_S: u64 = 20;

/// One render at a time, so that two phones do not make the same pieces twice.
static ONE: Mutex<()> = Mutex::new(());

/// A piece of a track.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Piece {
    /// First sample.
    pub at: u64,
    /// Samples.
    pub length: u64,
}

impl Piece {
    /// Returns where it begins, s.
    pub fn at_s(&self, rate: u32) -> f64 {
        self.at as f64 / f64::from(rate)
    }

    /// Returns how long it is, s.
    pub fn length_s(&self, rate: u32) -> f64 {
        self.length as f64 / f64::from(rate)
    }
}

/// How a track is cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// Samples per second.
    pub rate: u32,
    /// Samples in all.
    pub samples: u64,
    /// Track time of the first start signal, s.
    pub zero_s: f64,
    /// The pieces in order.
    pub pieces: Vec<Piece>,
}

/// Why a track could not be cut.
#[derive(Debug, thiserror::Error)]
pub enum CutError {
    /// The encoder refused.
    #[error(transparent)]
    Sound(#[from] FileError),
    /// The disk refused.
    #[error(transparent)]
    Disk(#[from] std::io::Error),
}

impl Cut {
    /// Returns how a track is cut; nothing is written.
    pub fn of(plan: &Plan) -> Self {
        let each = PIECE_S * u64::from(plan.rate);
        let pieces = (0..plan.samples.div_ceil(each))
            .map(|n| Piece {
                at: n * each,
                length: each.min(plan.samples - n * each),
            })
            .collect();
        let zero = plan.lead.as_nanos() - plan.start.since(Instant::START).as_nanos();
        Self {
            rate: plan.rate,
            samples: plan.samples,
            zero_s: zero as f64 / 1e9,
            pieces,
        }
    }

    /// Makes the pieces in a folder, unless they are there.
    ///
    /// # Errors
    ///
    /// [`CutError`]; then the folder is as it was.
    pub fn make(plan: &Plan, folder: &Path) -> Result<Self, CutError> {
        let cut = Self::of(plan);
        let _one = ONE
            .lock()
            .unwrap_or_else(std::sync::PoisonError::into_inner);
        if folder.join("track.flac").is_file() {
            return Ok(cut);
        }
        let beside = folder.with_extension("new");
        if beside.exists() {
            fs::remove_dir_all(&beside)?;
        }
        fs::create_dir_all(&beside)?;
        let levels = measure(plan, 1);
        let tags = Tags {
            title: plan.name.clone(),
            ..Tags::default()
        };
        let spec = |samples| Spec {
            rate: plan.rate,
            channels: 1,
            samples,
        };
        let whole = fs::File::create(beside.join("track.flac"))?;
        let mut out = Pieces {
            whole: Writer::create(Format::Flac, whole, &spec(cut.samples), &tags, &[])?,
            cut: &cut,
            folder: &beside,
            spec: &spec,
            n: 0,
            current: None,
            left: 0,
        };
        render(plan, levels.gain_db, &mut out)?;
        out.whole.finish()?.sync_all()?;
        if folder.exists() {
            fs::remove_dir_all(folder)?;
        }
        fs::rename(&beside, folder)?;
        Ok(cut)
    }
}

struct Pieces<'a> {
    whole: Writer<fs::File>,
    cut: &'a Cut,
    folder: &'a Path,
    spec: &'a dyn Fn(u64) -> Spec,
    n: usize,
    current: Option<Writer<Cursor<Vec<u8>>>>,
    left: u64,
}

impl Pieces<'_> {
    /// Returns the piece that takes the next samples.
    fn piece(&mut self) -> Result<&mut Writer<Cursor<Vec<u8>>>, CutError> {
        if self.current.is_none() {
            let length = self.cut.pieces.get(self.n).map_or(0, |piece| piece.length);
            self.left = length;
            let sink = Cursor::new(Vec::new());
            let spec = (self.spec)(length);
            let made = Writer::create(Format::Flac, sink, &spec, &Tags::default(), &[])?;
            self.current = Some(made);
        }
        Ok(self.current.as_mut().expect("made just now"))
    }

    fn took(&mut self, samples: u64) -> Result<(), CutError> {
        self.left -= samples;
        if self.left == 0
            && let Some(done) = self.current.take()
        {
            let bytes = done.finish()?.into_inner();
            fs::write(self.folder.join(format!("{}.flac", self.n)), bytes)?;
            self.n += 1;
        }
        Ok(())
    }
}

impl Sink for Pieces<'_> {
    type Error = CutError;

    fn write(&mut self, samples: &[i16]) -> Result<(), CutError> {
        self.whole.write(samples)?;
        let mut rest = samples;
        while !rest.is_empty() {
            self.piece()?;
            let most = usize::try_from(self.left).unwrap_or(usize::MAX);
            let (now, later) = rest.split_at(rest.len().min(most));
            self.piece()?.write(now)?;
            self.took(now.len() as u64)?;
            rest = later;
        }
        Ok(())
    }

    fn silence(&mut self, samples: u64) -> Result<(), CutError> {
        self.whole.silence(samples)?;
        let mut rest = samples;
        while rest > 0 {
            self.piece()?;
            let now = rest.min(self.left);
            self.piece()?.silence(now)?;
            self.took(now)?;
            rest -= now;
        }
        Ok(())
    }
}
