//! Where playback was not as it should be: pauses, jumps, restarts, and cues that were not heard.

use crate::heard::{Gap, GapKind, HeardCue};

/// How much of a cue was surely played when it was found, s: the rest may have been cut.
const SOUND_S: f64 = 0.2;
/// Cues missed in a row that make a gap.
const MISSED: usize = 2;

/// Returns the gaps in the order heard; `runs` says for each cue which run of playback it is in,
/// and how many times as slowly that was played.
pub(super) fn gaps(cues: &[HeardCue], runs: impl Iterator<Item = (usize, f64)>) -> Vec<Gap> {
    let heard: Vec<(usize, (usize, f64), &HeardCue, f64)> = runs
        .zip(cues)
        .enumerate()
        .filter_map(|(i, (run, cue))| Some((i, run, cue, cue.heard_s?)))
        .collect();
    let mut out = Vec::new();
    for pair in heard.windows(2) {
        let ((i, (run_a, rate), a, heard_a), (j, (run_b, _), b, heard_b)) = (pair[0], pair[1]);
        let missed = j - i - 1;
        let next = cues.get(i + 1).unwrap_or(b);
        if run_a != run_b {
            out.push(broken((a, heard_a), (b, heard_b), next, rate));
        } else if missed >= MISSED {
            out.push(Gap {
                at_s: heard_a + SOUND_S,
                between_s: (heard_a, heard_b),
                length_s: heard_b - heard_a,
                kind: GapKind::Silent,
                from_bout: next.bout,
                to_bout: cues[j - 1].bout,
            });
        }
    }
    out
}

/// Playback did not run on between two cues.
fn broken(
    (a, heard_a): (&HeardCue, f64),
    (b, heard_b): (&HeardCue, f64),
    next: &HeardCue,
    rate: f64,
) -> Gap {
    let track = b.timeline_s - a.timeline_s;
    let lost = (heard_b - heard_a) - rate * track;
    let (kind, length_s) = if track <= 0.0 {
        (GapKind::Restart, -track)
    } else if lost > 0.0 {
        (GapKind::Pause, lost)
    } else {
        (GapKind::Jump, -lost)
    };
    let from = heard_a + SOUND_S;
    let to = match kind {
        GapKind::Pause => heard_b - lost,
        _ => heard_b,
    };
    let between_s = (from, to.max(from));
    Gap {
        at_s: f64::midpoint(between_s.0, between_s.1),
        between_s,
        length_s,
        kind,
        from_bout: next.bout.min(b.bout),
        to_bout: b.bout,
    }
}
