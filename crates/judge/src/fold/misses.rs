//! The misses of one lane and what the rule of the wave makes of them.

use std::collections::BTreeMap;

use super::cues::CueIndex;
use super::rulings::Rulings;
use super::state::{AssessorCall, Conflict, ConflictKind, MissMark, MissStanding, Warning};
use crate::event::{Event, Lane, MissPlace, Side, What};
use crate::settings::{MissCounting, Settings};

/// The misses of a lane, judged.
pub(super) struct Judged {
    /// In order.
    pub(super) misses: Vec<MissMark>,
    /// Where the runner stands.
    pub(super) warning: Warning,
    /// The last bout that counts, where the rule ends the run.
    pub(super) last_counted: Option<u32>,
    /// Disagreements.
    pub(super) conflicts: Vec<Conflict>,
}

/// A miss being put together from its calls.
struct Draft {
    position: Option<usize>,
    bout: Option<u32>,
    cue: Option<u32>,
    place: MissPlace,
    calls: Vec<AssessorCall>,
}

/// Judges the misses of a lane; `events` are those in force about it, in order.
pub(super) fn judge(
    lane: Lane,
    events: &[&Event],
    index: &CueIndex,
    settings: &Settings,
    rulings: &Rulings,
) -> Judged {
    let mut drafts: BTreeMap<(usize, String), Draft> = BTreeMap::new();
    for event in events {
        let (bout, cue, place, says_so) = match &event.what {
            What::Miss {
                bout, cue, place, ..
            } => (*bout, *cue, *place, true),
            What::Reached { bout, cue, .. } => (Some(*bout), Some(*cue), MissPlace::Line, false),
            _ => continue,
        };
        let position = match (bout, cue, event.cue_ms) {
            (Some(bout), Some(cue), _) => index.position(bout, cue),
            (_, _, Some(at)) => index.last_before(at),
            _ => None,
        };
        let at = position.map(|p| index.cues()[p]);
        let (bout, cue) = (at.map(|c| c.bout).or(bout), at.map(|c| c.cue));
        let key = at.map_or_else(
            || event.id.hyphenated().to_string(),
            |c| format!("{}.{}", c.bout, c.cue),
        );
        let draft = drafts
            .entry((position.unwrap_or(usize::MAX), key))
            .or_insert(Draft {
                position,
                bout,
                cue,
                place: MissPlace::Line,
                calls: Vec::new(),
            });
        if says_so && place == MissPlace::Zone {
            draft.place = MissPlace::Zone;
        }
        // A device that changes its mind has the last word of its own.
        draft.calls.retain(|call| call.device != event.device);
        draft.calls.push(AssessorCall {
            event: event.id,
            device: event.device.clone(),
            by: event.by.clone(),
            says_so,
            completed: None,
            reason: None,
            cue_ms: event.cue_ms,
        });
    }
    let excuses: BTreeMap<_, &str> = events
        .iter()
        .filter_map(|event| match &event.what {
            What::Excused { miss, why, .. } => Some((*miss, why.as_str())),
            _ => None,
        })
        .collect();
    let mut judged = Judged {
        misses: Vec::new(),
        warning: Warning {
            limit: settings.miss_limit,
            ..Warning::default()
        },
        last_counted: None,
        conflicts: Vec::new(),
    };
    let mut counted: Vec<(Option<usize>, Option<u32>, MissPlace)> = Vec::new();
    for ((_, key), draft) in drafts {
        if draft.calls.iter().all(|call| !call.says_so) {
            continue;
        }
        let about = format!("miss:{key}");
        let split = draft.calls.iter().any(|call| !call.says_so);
        let ruling = rulings.get(lane, &about);
        let excuse = draft
            .calls
            .iter()
            .find_map(|call| excuses.get(&call.event).map(|why| (*why).to_owned()));
        let standing = match (&excuse, split, ruling) {
            (Some(_), ..) => MissStanding::Excused,
            (None, _, Some(Side::None)) => MissStanding::Dismissed,
            (None, true, None) => MissStanding::Disputed,
            _ => MissStanding::Counts,
        };
        if split && excuse.is_none() {
            judged.conflicts.push(Conflict {
                lane,
                kind: ConflictKind::Miss,
                about,
                calls: draft.calls.clone(),
                ruled: ruling.is_some(),
            });
        }
        if matches!(standing, MissStanding::Counts | MissStanding::Disputed) {
            counted.push((draft.position, draft.bout, draft.place));
        }
        judged.misses.push(MissMark {
            key,
            bout: draft.bout,
            cue: draft.cue,
            place: draft.place,
            standing,
            calls: draft.calls,
            excuse,
        });
    }
    apply_rule(&mut judged, &counted, index, settings);
    judged
}

/// Counts what counts, and finds where the rule ends the run.
fn apply_rule(
    judged: &mut Judged,
    counted: &[(Option<usize>, Option<u32>, MissPlace)],
    index: &CueIndex,
    settings: &Settings,
) {
    let limit = settings.miss_limit as usize;
    let zoned = settings.zone_mm > 0 && settings.line_limit > 0;
    let at_line = counted.iter().filter(|m| m.2 == MissPlace::Line).count();
    // Where zone and line are judged apart, the line has a count of its own.
    let in_rule: Vec<_> = counted
        .iter()
        .filter(|m| !zoned || m.2 == MissPlace::Zone)
        .collect();
    let warning = &mut judged.warning;
    warning.at_line = u32::try_from(at_line).unwrap_or(u32::MAX);
    let mut ends: Vec<u32> = Vec::new();
    match settings.counting {
        MissCounting::Cumulative => {
            warning.count = u32::try_from(in_rule.len()).unwrap_or(u32::MAX);
            if limit > 0 && in_rule.len() >= limit {
                warning.over = true;
                ends.extend(in_rule[limit - 1].1.map(|bout| bout.saturating_sub(1)));
            }
        }
        MissCounting::Consecutive => {
            let mut run: usize = 0;
            let mut last: Option<usize> = None;
            for (position, bout, _) in &in_rule {
                let follows = match (last, position) {
                    (Some(last), Some(now)) => *now == last + 1,
                    _ => false,
                };
                run = if follows { run + 1 } else { 1 };
                last = *position;
                if limit > 0 && run >= limit && !warning.over {
                    warning.over = true;
                    let first = position.map(|p| index.cues()[p + 1 - run].bout).or(*bout);
                    ends.extend(first.map(|bout| bout.saturating_sub(1)));
                }
            }
            warning.count = u32::try_from(run).unwrap_or(u32::MAX);
            warning.clears_at_ms = last
                .and_then(|p| index.cues().get(p + 1))
                .map(|next| next.at_ns / 1_000_000);
        }
    }
    if zoned && at_line >= settings.line_limit as usize {
        warning.over = true;
        let nth = counted
            .iter()
            .filter(|m| m.2 == MissPlace::Line)
            .nth(settings.line_limit as usize - 1);
        ends.extend(nth.and_then(|m| m.1).map(|bout| bout.saturating_sub(1)));
    }
    judged.last_counted = ends.into_iter().min();
}
