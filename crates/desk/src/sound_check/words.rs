//! The words of a sound certificate: kind, test, deviation, gaps, and the sentences about the day.
//! Must not soften a deviation: another test than the day's comes first wherever it is said.

use plimsoll_archive::SoundCheckKind;
use plimsoll_listen::{Gap, GapKind, Heard, HeardCue, Kind};
use plimsoll_report::format::{number, signed, with_unit};
use plimsoll_report::{SoundCertificate, SoundRecording, SoundSpan, clock};

/// Longest name of a test or a bout that is shown, characters.
const NAME: usize = 40;

/// Returns what was recorded.
pub(super) const fn kind(kind: SoundCheckKind) -> &'static str {
    match kind {
        SoundCheckKind::Before => "check before the test",
        SoundCheckKind::During => "recording of the test itself",
    }
}

/// Returns which test was heard.
pub(super) fn heard(heard: &Heard) -> String {
    let test = heard.test.iter().cloned().collect::<Vec<_>>();
    match heard.kind {
        Kind::NotRecognised => "no known test".to_owned(),
        Kind::Own => format!(
            "{}, one of our tracks, known by its tone codes",
            list(&test)
        ),
        Kind::Foreign => format!(
            "{}, another track, known by when its cues sound",
            list(&test)
        ),
        Kind::Shared => format!(
            "one of {}: they sound the same on what was heard",
            list(&heard.shared)
        ),
    }
}

/// Returns how the test heard is not one of the day's; empty when it is, or when none was known.
pub(super) fn deviation(heard: &Heard, tests: &[String]) -> String {
    let found: Vec<String> = match heard.kind {
        Kind::NotRecognised => return String::new(),
        // Tests with the same cues and announcements have the same track.
        Kind::Own | Kind::Foreign => heard.test.iter().chain(&heard.shared).cloned().collect(),
        Kind::Shared => heard.shared.clone(),
    };
    if found.is_empty() || tests.is_empty() || found.iter().any(|test| tests.contains(test)) {
        return String::new();
    }
    let one_of = if found.len() > 1 { "one of " } else { "" };
    format!(
        "the recording is of {one_of}{}, the day says {}",
        list(&found),
        list(tests)
    )
}

/// Returns a gap with its time, its length and the bouts concerned.
pub(super) fn gap(gap: &Gap, cues: &[HeardCue]) -> SoundSpan {
    let length = gap.length_s.abs();
    let long = with_unit(number(length, 1), "s");
    let at = clock(gap.at_s);
    let what = match gap.kind {
        GapKind::Pause => format!("at {at} playback stood still for {long}"),
        GapKind::Jump => format!("at {at} playback left out {long} of the track"),
        GapKind::Restart => format!("at {at} playback went back and played {long} again"),
        GapKind::Silent => format!("from {at} no cue was heard for {long}"),
    };
    let (from, to) = (label(gap.from_bout, cues), label(gap.to_bout, cues));
    let bouts = if from == to {
        format!("bout {from}")
    } else {
        format!("bouts {from} to {to}")
    };
    let takes_time = matches!(gap.kind, GapKind::Pause | GapKind::Silent);
    SoundSpan {
        from_s: gap.at_s,
        to_s: if takes_time {
            gap.at_s + length
        } else {
            gap.at_s
        },
        words: format!("{what} ({bouts})"),
    }
}

/// Returns from when to when.
pub(super) fn stretch(from_s: f64, to_s: f64) -> String {
    format!("{} to {}", clock(from_s), clock(to_s))
}

/// Returns a text of at most so many characters; what is cut ends in "…".
pub(super) fn short(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    text.chars()
        .take(most.saturating_sub(1))
        .chain(['…'])
        .collect()
}

/// Returns the label of a bout, as its cues have it; its number when none has.
fn label(bout: u32, cues: &[HeardCue]) -> String {
    let found = cues
        .iter()
        .find(|cue| cue.bout == bout && !cue.label.trim().is_empty());
    found.map_or_else(|| format!("no. {bout}"), |cue| short(&cue.label, NAME))
}

fn list(tests: &[String]) -> String {
    const LISTED: usize = 6;
    let mut names: Vec<String> = tests
        .iter()
        .take(LISTED)
        .map(|test| format!("“{}”", short(test, NAME)))
        .collect();
    if tests.len() > LISTED {
        names.push(format!("{} more", tests.len() - LISTED));
    }
    match names.split_last() {
        None => "a test without a name".to_owned(),
        Some((last, [])) => last.clone(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
    }
}

/// Returns the day's sound in words: each recording, deviations first.
pub fn sound_words(sound: Option<&SoundCertificate>) -> String {
    let Some(sound) = sound else {
        return "not checked".to_owned();
    };
    let mut recordings: Vec<&SoundRecording> = sound.recordings.iter().collect();
    recordings.sort_by_key(|one| one.deviation.is_empty());
    let mut parts: Vec<String> = recordings.into_iter().map(facts).collect();
    let unread = sound.unread.iter();
    parts.extend(unread.map(|one| format!("recording {}: {}", one.file_name, one.why)));
    parts.join("; ")
}

/// Returns one short sentence about the day's sound, to be read aloud.
///
/// A deviation is said first; then the newest recording of the test itself counts, then the newest
/// check before it.
pub fn sound_sentence(sound: Option<&SoundCertificate>) -> String {
    let Some(sound) = sound else {
        return "The sound was not checked.".to_owned();
    };
    if let Some(one) = sound
        .recordings
        .iter()
        .find(|one| !one.deviation.is_empty())
    {
        return format!(
            "The sound was not that of the day’s test: {}.",
            one.deviation
        );
    }
    let during = kind(SoundCheckKind::During);
    let newest = sound.recordings.iter().rev().find(|one| one.kind == during);
    let Some(one) = newest.or_else(|| sound.recordings.last()) else {
        return "The sound check that is attached could not be read, so the sound was not checked."
            .to_owned();
    };
    if one.cues_confirmed == 0 {
        return "No known test was heard in the recording, so the sound was not checked."
            .to_owned();
    }
    let mut parts = vec![format!("{} cues confirmed", confirmed(one))];
    parts.extend(
        one.worst_interval_ms
            .map(|ms| format!("largest interval error {}", time(ms))),
    );
    parts.extend(broke(one));
    let when = if one.kind == during {
        "during the test"
    } else {
        "before the test"
    };
    format!("The sound was checked {when}: {}.", parts.join(", "))
}

fn facts(one: &SoundRecording) -> String {
    let mut parts = Vec::new();
    if !one.deviation.is_empty() {
        parts.push(format!("NOT THE DAY’S TEST: {}", one.deviation));
    }
    if one.cues_confirmed == 0 {
        parts.push("no known test was heard".to_owned());
    } else {
        parts.push(format!("{} cues confirmed", confirmed(one)));
        let worst = one.worst_interval_ms;
        parts.extend(worst.map(|ms| format!("largest interval error {}", time(ms))));
        let speed = one
            .speed_error_ppm
            .map(|ppm| with_unit(signed(ppm, 0), "ppm"));
        parts.extend(speed.map(|ppm| format!("speed {ppm}")));
        let level = one.worst_level_db.map(|db| with_unit(number(db, 0), "dB"));
        parts.extend(level.map(|db| format!("lowest level {db} over the background")));
        parts.extend(broke(one));
        if !one.overdriven.is_empty() {
            parts.push("overdriven in places".to_owned());
        }
    }
    format!(
        "{}: {} (recording {})",
        one.kind,
        parts.join(", "),
        one.file_name
    )
}

fn confirmed(one: &SoundRecording) -> String {
    let count = |n: u32| number(f64::from(n), 0);
    format!(
        "{} of {}",
        count(one.cues_confirmed),
        count(one.cues_expected)
    )
}

fn broke(one: &SoundRecording) -> Option<String> {
    match one.gaps.len() {
        0 => None,
        1 => Some("playback broke once".to_owned()),
        n => Some(format!("playback broke {n} times")),
    }
}

/// Returns milliseconds, whole from 1 ms on.
fn time(ms: f64) -> String {
    with_unit(number(ms, usize::from(ms.abs() < 1.0)), "ms")
}
