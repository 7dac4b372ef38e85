//! The cues of a ladder in the order in which they sound. Sound, screen and paper are views of it.

use std::fmt;

use serde::Serialize;

use crate::definition::{Definition, Shape};
use crate::ladder::{Bout, Ladder, SignalKind};
use crate::units::Instant;

/// What a cue means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum CueKind {
    /// The speed changes here; sounds with, never instead of, another cue.
    Stage,
    /// Go.
    Start,
    /// Be at the far line and turn.
    Turn,
    /// Be at this line or cone and run on.
    Line,
    /// Be over the finish line; the rest begins.
    Finish,
}

impl CueKind {
    /// Returns the word used in files.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Stage => "stage",
            Self::Start => "start",
            Self::Turn => "turn",
            Self::Line => "line",
            Self::Finish => "finish",
        }
    }
}

impl fmt::Display for CueKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

/// One cue.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Cue {
    /// When it sounds.
    pub at: Instant,
    /// What it means.
    pub kind: CueKind,
    /// Number of the bout it belongs to.
    pub bout: u32,
    /// Label of that bout; for a stage cue, of the stage.
    pub label: String,
}

/// Returns every cue of a ladder, by instant, then kind.
///
/// In a continuous test a leg ends where the next begins: one cue, not two. It is a turn on a
/// shuttle course, a line on a loop, and the last one is the finish.
pub(crate) fn cues(definition: &Definition, ladder: &Ladder) -> Vec<Cue> {
    let mut cues: Vec<Cue> = ladder
        .stages()
        .iter()
        .enumerate()
        .filter_map(|(index, stage)| {
            let first = ladder.bouts().iter().find(|b| b.stage >= index)?;
            let (bout, label) = (first.number, stage.label.clone());
            Some(Cue {
                at: stage.start,
                kind: CueKind::Stage,
                bout,
                label,
            })
        })
        .collect();
    let continuous = definition.shape == Shape::Continuous;
    for bout in ladder.bouts() {
        let cue = |at, kind| Cue {
            at,
            kind,
            bout: bout.number,
            label: bout.label.clone(),
        };
        if !continuous || bout.number == 1 {
            cues.push(cue(bout.start, CueKind::Start));
        }
        cues.extend(bout.signals.iter().map(|s| {
            let kind = match s.kind {
                SignalKind::Turn => CueKind::Turn,
                SignalKind::Line => CueKind::Line,
            };
            cue(s.at, kind)
        }));
        cues.push(cue(bout.finish, finish_kind(definition, ladder, bout)));
    }
    cues.sort_by_key(|cue| (cue.at, cue.kind, cue.bout));
    cues
}

/// Returns what the end of a bout asks of the runner.
fn finish_kind(definition: &Definition, ladder: &Ladder, bout: &Bout) -> CueKind {
    let last = ladder.last().is_some_and(|l| l.number == bout.number);
    if definition.shape != Shape::Continuous || last {
        CueKind::Finish
    } else if definition.course.is_loop {
        CueKind::Line
    } else {
        CueKind::Turn
    }
}
