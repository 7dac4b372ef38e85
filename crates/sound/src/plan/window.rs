//! Which stretch of the timeline a track has, and the cues in it.

use std::collections::BTreeMap;

use plimsoll_ladder::{Cue, CueKind, Instant, Ladder, Test};

use super::options::{PlanError, TrackOptions, Until};
use crate::code::{CodeKind, Payload};
use crate::sounds::Sound;

/// A cue of the timeline that the track sounds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TimelineCue {
    /// When, on the timeline of the whole test.
    pub at: Instant,
    /// What sounds.
    pub sound: Sound,
    /// Number of the bout.
    pub bout: u32,
    /// Label of the bout, or of the stage.
    pub label: String,
    /// What its tone code says; a cue that sounds with another has none.
    pub payload: Option<Payload>,
}

/// A stretch of the timeline.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Window {
    pub start: Instant,
    pub end: Instant,
    /// Whether runners are stopped by the clock and not by the ladder.
    pub stopped: bool,
    pub cues: Vec<TimelineCue>,
}

/// Returns every cue of a test with what its code says, for this ladder identity.
///
/// Of several cues at one instant the last in the order of kinds carries the code.
pub fn coded_cues(test: &Test, identity: u16) -> Result<Vec<TimelineCue>, PlanError> {
    let mut parts: BTreeMap<(u32, CueKind), u8> = BTreeMap::new();
    let cues = test.cues();
    let mut out = Vec::with_capacity(cues.len());
    for (i, cue) in cues.iter().enumerate() {
        let alone = cues.get(i + 1).is_none_or(|next| next.at != cue.at);
        let part = parts.entry((cue.bout, cue.kind)).or_default();
        let payload = Payload {
            ladder: identity,
            bout: u16::try_from(cue.bout).unwrap_or(u16::MAX),
            kind: CodeKind::from(cue.kind),
            part: *part,
        };
        *part = part.saturating_add(1);
        if payload.bout > Payload::MAX_BOUT || payload.part > Payload::MAX_PART {
            return Err(PlanError::NoCode {
                test: test.id().to_owned(),
                bout: cue.bout,
            });
        }
        out.push(TimelineCue {
            at: cue.at,
            sound: sound(cue.kind),
            bout: cue.bout,
            label: cue.label.clone(),
            payload: alone.then_some(payload),
        });
    }
    Ok(out)
}

/// Returns every cue of a test that has more of them than codes can say.
fn uncoded_cues(test: &Test) -> Vec<TimelineCue> {
    let bare = |cue: Cue| TimelineCue {
        at: cue.at,
        sound: sound(cue.kind),
        bout: cue.bout,
        label: cue.label,
        payload: None,
    };
    test.cues().into_iter().map(bare).collect()
}

const fn sound(kind: CueKind) -> Sound {
    match kind {
        CueKind::Stage => Sound::Stage,
        CueKind::Start => Sound::Start,
        CueKind::Turn => Sound::Turn,
        CueKind::Line => Sound::Line,
        CueKind::Finish => Sound::Finish,
    }
}

/// Returns the stretch that the options ask for.
pub(super) fn window(
    test: &Test,
    ladder: &Ladder,
    options: &TrackOptions,
    identity: u16,
) -> Result<Window, PlanError> {
    let find = |label: &str| {
        ladder
            .by_label(label)
            .ok_or_else(|| PlanError::NoSuchLabel {
                test: test.id().to_owned(),
                label: label.to_owned(),
            })
    };
    let first = match &options.from {
        Some(label) => Some(find(label)?),
        None => ladder.bouts().first(),
    };
    let start = first.map_or(Instant::START, |bout| bout.start);
    let last = ladder.last().map_or(Instant::START, |bout| bout.finish);
    let (end, stopped) = match &options.until {
        None => (last, false),
        Some(Until::Label(label)) => (find(label)?.finish, false),
        Some(Until::Seconds(seconds)) => {
            let at = Instant::from_nanos(start.as_nanos() + i64::from(*seconds) * 1_000_000_000);
            if at < last { (at, true) } else { (last, false) }
        }
    };
    if end <= start {
        return Err(PlanError::Backwards {
            start: clock(start),
            end: clock(end),
        });
    }
    let keep = |cue: &TimelineCue| {
        let inside = cue.at >= start && if stopped { cue.at < end } else { cue.at <= end };
        // A stage or a rest that begins exactly with the end belongs to what is not run.
        let beyond = cue.at == end && matches!(cue.sound, Sound::Stage | Sound::Start);
        // The finish of the bout before a start in the middle is not this track's.
        let before = first.is_some_and(|f| cue.bout < f.number);
        inside && !beyond && !before
    };
    let mut cues = match coded_cues(test, identity) {
        Err(_) if !options.code => uncoded_cues(test),
        cues => cues?,
    };
    cues.retain(keep);
    open(
        &mut cues,
        start,
        first.map(|f| (f.number, f.label.clone())),
        identity,
    );
    close(&mut cues, end, stopped);
    Ok(Window {
        start,
        end,
        stopped,
        cues,
    })
}

/// Begins with a start: in the middle of a continuous test the cue there is a turn.
fn open(cues: &mut Vec<TimelineCue>, start: Instant, first: Option<(u32, String)>, identity: u16) {
    let there = cues
        .iter()
        .any(|cue| cue.at == start && cue.sound == Sound::Start);
    if let Some((bout, label)) = first
        && !there
    {
        cues.retain(|cue| cue.at > start || cue.sound == Sound::Stage);
        let payload = Payload {
            ladder: identity,
            bout: u16::try_from(bout).unwrap_or(Payload::MAX_BOUT),
            kind: CodeKind::Start,
            part: 0,
        };
        let place = cues.partition_point(|cue| cue.at <= start);
        let cue = TimelineCue {
            at: start,
            sound: Sound::Start,
            bout,
            label,
            payload: Some(payload),
        };
        cues.insert(place, cue);
    }
}

/// Ends with a finish, or with "stop" when the clock ends it.
fn close(cues: &mut Vec<TimelineCue>, end: Instant, stopped: bool) {
    let Some(last) = cues.last().cloned() else {
        return;
    };
    let code = |kind| {
        last.payload.map(|payload| Payload {
            kind,
            part: 0,
            ..payload
        })
    };
    if stopped {
        let payload = code(CodeKind::Stop);
        let cue = TimelineCue {
            at: end,
            sound: Sound::Stop,
            label: last.label.clone(),
            bout: last.bout,
            payload,
        };
        cues.push(cue);
    } else if last.at == end
        && matches!(last.sound, Sound::Turn | Sound::Line)
        && let Some(cue) = cues.last_mut()
    {
        cue.payload = code(CodeKind::Finish);
        cue.sound = Sound::Finish;
    }
}

fn clock(at: Instant) -> String {
    let seconds = at.as_secs_f64();
    format!("{}:{:04.1}", (seconds / 60.0).floor(), seconds % 60.0)
}
