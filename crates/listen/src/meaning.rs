//! What was heard, in sentences a coach can act on.
//! Says what is not known as plainly as what is; never excuses or accuses anyone.

use plimsoll_ladder::Catalogue;

use crate::heard::{Gap, GapKind, Heard, Kind};

/// Speed error below which nothing is said of bouts, ppm: a fifth of a bout at most.
const SLIGHT_PPM: f64 = 500.0;
/// Level above the background asked of a danger signal, dB: ISO 7731, from memory.
const LEVEL_DB: f64 = 15.0;
/// The level given where there is no background, dB.
const SILENT_DB: f64 = 90.0;

/// Returns the sentences, the most important first.
pub(crate) fn sentences(
    heard: &Heard,
    catalogue: &Catalogue,
    expected: Option<&str>,
) -> Vec<String> {
    let mut out = vec![what(heard, catalogue)];
    if let Some(wanted) = expected {
        match (&heard.test, heard.kind) {
            (Some(test), _) if test != wanted => out.push(format!(
                "This is not the test expected: `{wanted}` was to be played. Results of this wave \
                 belong to `{test}`."
            )),
            (None, Kind::Shared) if !heard.shared.iter().any(|id| id == wanted) => {
                out.push(format!("The test expected, `{wanted}`, is not among them."))
            }
            _ => {}
        }
    }
    if heard.kind == Kind::NotRecognised {
        return out;
    }
    out.extend(speed(heard));
    out.extend(heard.gaps.iter().map(|gap| gap_words(gap, heard)));
    out.extend(missed(heard));
    out.extend(level(heard));
    if !heard.overdriven.is_empty() {
        let cues = heard.cues.iter().filter(|c| c.overdriven).count();
        out.push(format!(
            "The recording is overdriven in {} places{}: turn the recorder down or move it away.",
            heard.overdriven.len(),
            if cues > 0 {
                format!(", {cues} of them at cues")
            } else {
                String::new()
            },
        ));
    }
    if heard.damaged > 0 {
        out.push(format!(
            "{} damaged parts of the file were skipped; times after them may be late.",
            heard.damaged
        ));
    }
    out
}

fn what(heard: &Heard, catalogue: &Catalogue) -> String {
    let name = |id: &str| {
        let name = catalogue.get(id).map_or("", |t| t.name());
        format!("`{id}` ({name})")
    };
    match (heard.kind, &heard.test) {
        (Kind::Own, Some(id)) => {
            let script = heard.script.as_deref().unwrap_or("none").replace('_', " ");
            format!(
                "The recording is of {}, a track of ours with the announcements \"{script}\"{}: {} of {} \
                 cues confirmed.",
                name(id),
                if heard.shared.is_empty() {
                    String::new()
                } else {
                    format!(" ({} have this very track)", list(&heard.shared))
                },
                heard.cues_heard,
                heard.cues_expected
            )
        }
        (Kind::Foreign, Some(id)) => format!(
            "The cues are those of {}: {} of {} were heard.",
            name(id),
            heard.cues_heard,
            heard.cues_expected
        ),
        (Kind::Shared, _) => format!(
            "The cues heard are the same on {}; what was recorded cannot tell them apart.",
            list(&heard.shared)
        ),
        _ => format!(
            "Not recognised: in {} no known test was heard. Record nearer to the loudspeaker, and at \
             least three bouts; a test of your own must be among the definitions.",
            clock(heard.duration_s)
        ),
    }
}

fn speed(heard: &Heard) -> Vec<String> {
    let mut out = Vec::new();
    let changed = heard
        .speeds
        .windows(2)
        .any(|p| (p[0].error_ppm - p[1].error_ppm).abs() > SLIGHT_PPM);
    if let (Some(ppm), Some((low, high))) = (heard.speed_error_ppm, heard.speed_interval_ppm) {
        let worth = heard.speeds.last().and_then(|p| p.worth_bouts);
        // A recorder's own clock is seldom better than a part in a million.
        let half = ((high - low) / 2.0).max(1.0);
        let said = match worth {
            _ if changed => "see the stretches below".to_owned(),
            _ if ppm.abs() < SLIGHT_PPM => "which no runner can tell".to_owned(),
            Some(worth) => worth_words(worth),
            None => "worth nothing on a ladder of one speed".to_owned(),
        };
        out.push(format!(
            "Playback speed: {} ({:+.0} ± {half:.0} ppm), {said}.",
            slow_or_fast(ppm),
            // No minus before a nought.
            ppm.round() + 0.0
        ));
    }
    if changed {
        for piece in &heard.speeds {
            let worth = piece
                .worth_bouts
                .map_or_else(String::new, |w| format!(": {}", worth_words(w)));
            out.push(format!(
                "From bout {} to {} the track ran {}{worth}.",
                piece.from_bout,
                piece.to_bout,
                slow_or_fast(piece.error_ppm)
            ));
        }
    }
    out
}

fn slow_or_fast(ppm: f64) -> String {
    let percent = (ppm / 1e4).abs();
    if percent < 0.005 {
        "right".to_owned()
    } else if ppm < 0.0 {
        format!("{percent:.2} % slow")
    } else {
        format!("{percent:.2} % fast")
    }
}

fn worth_words(bouts: f64) -> String {
    let size = bouts.abs();
    let much = if size < 0.1 {
        return "worth less than a tenth of a bout".to_owned();
    } else if size < 2.0 {
        format!("{size:.1} bouts")
    } else {
        format!("{size:.0} bouts")
    };
    let way = if bouts > 0.0 { "too high" } else { "too low" };
    format!("worth about {much} to everyone, scores come out {way}")
}

fn gap_words(gap: &Gap, heard: &Heard) -> String {
    let label = |bout: u32| {
        let cue = heard.cues.iter().find(|c| c.bout == bout);
        cue.map_or_else(
            || format!("bout {bout}"),
            |c| format!("bout {bout} ({})", c.label),
        )
    };
    let bouts = if gap.from_bout == gap.to_bout {
        label(gap.from_bout)
    } else {
        format!("{} to {}", label(gap.from_bout), label(gap.to_bout))
    };
    let (from, to) = (clock(gap.between_s.0), clock(gap.between_s.1));
    let length = gap.length_s;
    match gap.kind {
        GapKind::Pause => format!(
            "Playback stood still for {length:.1} s, beginning between {from} and {to} of the \
             recording: {bouts}. For those still running the rest was longer; say so beside their \
             results."
        ),
        GapKind::Jump => format!(
            "{length:.1} s of the track were left out between {from} and {to} of the recording: \
             {bouts}."
        ),
        GapKind::Restart => format!(
            "Between {from} and {to} of the recording playback began again {length:.1} s earlier on \
             the track: {bouts}."
        ),
        GapKind::Silent => format!(
            "Playback went on, but no cue was heard from {from} to {to} of the recording: {bouts}."
        ),
    }
}

fn missed(heard: &Heard) -> Option<String> {
    let missed: Vec<String> = heard
        .cues
        .iter()
        .filter(|c| c.heard_s.is_none())
        .map(|c| format!("{} of {}", c.kind, c.label))
        .collect();
    let shown = 6;
    match missed.len() {
        0 => None,
        n if n <= shown => Some(format!("Not heard: {}.", missed.join(", "))),
        n => Some(format!(
            "Not heard: {} and {} more.",
            missed[..shown].join(", "),
            n - shown
        )),
    }
}

fn level(heard: &Heard) -> Option<String> {
    let worst = heard.worst_level_db?;
    let cue = heard
        .cues
        .iter()
        .find(|c| c.level_db.is_some_and(|l| l <= worst))?;
    if worst >= SILENT_DB {
        return Some(
            "No background was heard: the recording is of a quiet room or of the file itself."
                .to_owned(),
        );
    }
    let said = if worst < LEVEL_DB {
        "; 15 dB is asked of a signal that must be heard (ISO 7731, from memory). Halving the way to \
         the loudspeaker gives 6 dB"
    } else {
        ""
    };
    Some(format!(
        "Lowest level over the background where it was recorded: {worst:.0} dB, at the {} of {}{said}.",
        cue.kind, cue.label
    ))
}

fn list(ids: &[String]) -> String {
    let quoted: Vec<String> = ids.iter().map(|id| format!("`{id}`")).collect();
    match quoted.as_slice() {
        [] => "no test".to_owned(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

fn clock(seconds: f64) -> String {
    let minutes = (seconds / 60.0).floor();
    format!("{minutes:.0}:{:04.1}", seconds - 60.0 * minutes)
}
