//! Listening: first for tone codes, then for any cues at all, then saying so when there are none.
//! The one place where a `Heard` is made.

use std::io::{Read, Seek, Write};

use plimsoll_ladder::Catalogue;

use crate::error::ListenError;
use crate::foreign::{Recogniser, candidates};
use crate::heard::{Heard, Kind};
use crate::intake::{self, Scratch, WORKING_RATE};
use crate::meaning;
use crate::other;
use crate::own::{self, Book, CodeFinder, OwnTrack};
use crate::read::Recording;

/// How much higher or lower the tones of a track may be played, tried when the pitch is not right.
const SCALES: [f64; 6] = [0.975, 1.025, 0.95, 1.05, 0.925, 1.075];
/// Standard errors on either side of a 95 % interval.
const NORMAL_95: f64 = 1.96;

/// Knows every test; made once, listens to many recordings.
pub struct Listener<'a> {
    catalogue: &'a Catalogue,
    book: Book,
    recogniser: Recogniser,
}

impl<'a> Listener<'a> {
    /// Prepares to hear any test of a catalogue.
    pub fn new(catalogue: &'a Catalogue) -> Self {
        Self {
            catalogue,
            book: Book::new(catalogue),
            recogniser: Recogniser::new(candidates(catalogue)),
        }
    }

    /// Listens to a recording. `file` is an empty scratch file of the caller, 115 MB an hour;
    /// `expected` is the test that was to be played.
    ///
    /// # Errors
    ///
    /// When the recording cannot be read, the scratch file fails, or `expected` is no paced test.
    pub fn listen<F: Read + Write + Seek>(
        &self,
        recording: &mut Recording,
        file: F,
        expected: Option<&str>,
    ) -> Result<Heard, ListenError> {
        if let Some(id) = expected {
            let paced = self.catalogue.get(id).is_some_and(|t| t.shape().is_paced());
            if !paced {
                return Err(ListenError::NotPaced(id.to_owned()));
            }
        }
        let mut finder = CodeFinder::new(1.0);
        let mut scratch = intake::take(recording, file, |block| finder.push(block))?;
        let find = |scratch: &mut Scratch<F>, finder: CodeFinder| {
            own::find(
                scratch,
                &finder.finish(),
                self.catalogue,
                &self.book,
                expected,
            )
        };
        let mut track = find(&mut scratch, finder)?;
        for scale in SCALES {
            if track.as_ref().is_some_and(OwnTrack::is_whole) {
                break;
            }
            let mut finder = CodeFinder::new(scale);
            each_block(&mut scratch, |block| finder.push(block))?;
            let other = find(&mut scratch, finder)?;
            if other.as_ref().map_or(0, OwnTrack::found) > track.as_ref().map_or(0, OwnTrack::found)
            {
                track = other;
            }
        }
        let mut heard = match track {
            Some(track) => own_track(track),
            None => other::hear(&mut scratch, &self.recogniser, self.catalogue, expected)?,
        };
        heard.duration_s = scratch.length() as f64 / f64::from(WORKING_RATE);
        heard.rate = recording.rate();
        recording.codec().clone_into(&mut heard.codec);
        heard.damaged = recording.damaged();
        heard.overdriven = overdriven(recording);
        for cue in &mut heard.cues {
            let at = cue.heard_s.unwrap_or(cue.expected_s);
            let mut spans = heard.overdriven.iter();
            cue.overdriven = spans.any(|(from, to)| at < *to && at + 0.3 > *from);
        }
        heard.meaning = meaning::sentences(&heard, self.catalogue, expected);
        Ok(heard)
    }
}

/// Listens to one recording; see [`Listener::listen`].
///
/// # Errors
///
/// As [`Listener::listen`].
pub fn listen<F: Read + Write + Seek>(
    recording: &mut Recording,
    file: F,
    catalogue: &Catalogue,
    expected: Option<&str>,
) -> Result<Heard, ListenError> {
    Listener::new(catalogue).listen(recording, file, expected)
}

/// Shows the kept recording again, block by block.
pub(crate) fn each_block<F: Read + Write + Seek>(
    scratch: &mut Scratch<F>,
    mut take: impl FnMut(&[f32]),
) -> Result<(), ListenError> {
    let mut block = vec![0.0; 1 << 15];
    let mut at = 0_u64;
    while at < scratch.length() {
        let now = usize::try_from(scratch.length() - at)
            .unwrap_or(usize::MAX)
            .min(block.len());
        scratch.read(i64::try_from(at).unwrap_or(i64::MAX), &mut block[..now])?;
        take(&block[..now]);
        at += now as u64;
    }
    Ok(())
}

fn own_track(track: OwnTrack) -> Heard {
    let levels = track.cues.iter().filter_map(|c| c.level_db);
    Heard {
        kind: Kind::Own,
        test: Some(track.test),
        script: Some(track.script.as_str().to_owned()),
        offset_s: Some(track.offset_s),
        speed_error_ppm: track.speed_ppm.map(|(ppm, _)| ppm),
        speed_interval_ppm: track
            .speed_ppm
            .map(|(ppm, error)| (ppm - NORMAL_95 * error, ppm + NORMAL_95 * error)),
        cues_heard: track.cues.iter().filter(|c| c.heard_s.is_some()).count(),
        cues_expected: track.cues.len(),
        worst_level_db: levels.min_by(f64::total_cmp),
        residual_ms: track.residual_ms,
        worst_interval_ms: track.worst_interval_ms,
        posterior: track
            .tests
            .iter()
            .map(|id| (id.clone(), 1.0 / track.tests.len() as f64))
            .collect(),
        shared: if track.tests.len() > 1 {
            track.tests
        } else {
            Vec::new()
        },
        gaps: track.gaps,
        speeds: track.speeds,
        cues: track.cues,
        ..Heard::nothing()
    }
}

fn overdriven(recording: &mut Recording) -> Vec<(f64, f64)> {
    let rate = f64::from(recording.rate());
    let spans = recording.clipped_spans().iter();
    spans
        .map(|s| (s.from as f64 / rate, s.to as f64 / rate))
        .collect()
}

impl Heard {
    /// Nothing heard.
    pub(crate) const fn nothing() -> Self {
        Self {
            format: 1,
            kind: Kind::NotRecognised,
            test: None,
            shared: Vec::new(),
            script: None,
            duration_s: 0.0,
            rate: 0,
            codec: String::new(),
            offset_s: None,
            speed_error_ppm: None,
            speed_interval_ppm: None,
            cues_heard: 0,
            cues_expected: 0,
            gaps: Vec::new(),
            residual_ms: None,
            worst_interval_ms: None,
            worst_level_db: None,
            speeds: Vec::new(),
            cues: Vec::new(),
            posterior: Vec::new(),
            overdriven: Vec::new(),
            damaged: 0,
            meaning: Vec::new(),
        }
    }
}
