//! The cues at which a runner is judged, in order, and where on the ladder a moment falls.

use plimsoll_ladder::{Ladder, Test};
use serde::Serialize;

/// Nanoseconds in a millisecond.
const MS: i64 = 1_000_000;

/// A tap up to this long before a cue still belongs to it, ms: an assessor sees it coming.
/// Common practice, no source.
const AHEAD_MS: i64 = 300;

/// A cue at which a runner has to be somewhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct JudgedCue {
    /// The bout, from 1.
    pub bout: u32,
    /// Which cue of the bout, from 1; the finish is the last.
    pub cue: u32,
    /// When it sounds, nanoseconds of cue time.
    pub at_ns: i64,
    /// Whether it is the finish of its bout.
    pub finish: bool,
}

/// The judged cues of a ladder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CueIndex {
    cues: Vec<JudgedCue>,
    starts: Vec<i64>,
    finishes: Vec<i64>,
}

impl CueIndex {
    /// Returns the judged cues of a paced test; nothing for an unpaced one.
    pub fn of(test: &Test) -> Option<Self> {
        test.ladder().map(Self::of_ladder)
    }

    fn of_ladder(ladder: &Ladder) -> Self {
        let mut index = Self {
            cues: Vec::new(),
            starts: Vec::new(),
            finishes: Vec::new(),
        };
        for bout in ladder.bouts() {
            let inner = bout.signals.iter().map(|signal| signal.at.as_nanos());
            let all: Vec<i64> = inner.chain([bout.finish.as_nanos()]).collect();
            for (n, at_ns) in all.iter().enumerate() {
                index.cues.push(JudgedCue {
                    bout: bout.number,
                    cue: u32::try_from(n + 1).unwrap_or(u32::MAX),
                    at_ns: *at_ns,
                    finish: n + 1 == all.len(),
                });
            }
            index.starts.push(bout.start.as_nanos());
            index.finishes.push(bout.finish.as_nanos());
        }
        index
    }

    /// Returns every judged cue in order.
    pub fn cues(&self) -> &[JudgedCue] {
        &self.cues
    }

    /// Returns the number of bouts.
    pub fn bouts(&self) -> u32 {
        u32::try_from(self.finishes.len()).unwrap_or(u32::MAX)
    }

    /// Returns where a cue stands in the order, from 0.
    pub fn position(&self, bout: u32, cue: u32) -> Option<usize> {
        self.cues
            .binary_search_by_key(&(bout, cue), |c| (c.bout, c.cue))
            .ok()
    }

    /// Returns where the cue stands that a tap at this cue time is about: the last one sounded, or
    /// one about to sound.
    pub fn last_before(&self, cue_ms: i64) -> Option<usize> {
        let by = (cue_ms + AHEAD_MS) * MS;
        self.cues.partition_point(|c| c.at_ns <= by).checked_sub(1)
    }

    /// Returns how many bouts had finished at this cue time.
    pub fn finished_by(&self, cue_ms: i64) -> u32 {
        let n = self.finishes.partition_point(|at| *at <= cue_ms * MS);
        u32::try_from(n).unwrap_or(u32::MAX)
    }

    /// Returns the bout under way at this cue time; nothing in a rest.
    pub fn under_way(&self, cue_ms: i64) -> Option<u32> {
        let done = self.finished_by(cue_ms);
        let start = self.starts.get(done as usize)?;
        (*start <= cue_ms * MS).then_some(done + 1)
    }

    /// Returns milliseconds since the last finish; nothing before the first.
    pub fn since_finish(&self, cue_ms: i64) -> Option<i64> {
        let last = (self.finished_by(cue_ms) as usize).checked_sub(1)?;
        Some(cue_ms - self.finishes[last] / MS)
    }

    /// Returns the cue time of the last finish, ms, rounded up.
    pub fn end_ms(&self) -> i64 {
        self.finishes.last().map_or(0, |at| at.div_euclid(MS) + 1)
    }
}
