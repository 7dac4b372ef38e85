//! Recordings attached to a test day: keeping what was heard, and a certificate made of it.
//! Must not change a result or a day: a recording is evidence. A document that cannot be read
//! becomes a note.

mod words;

use plimsoll_archive::{
    ArchiveError, DayId, SoundCheck, SoundCheckFacts, SoundCheckId, SoundCheckKind, Writer,
};
use plimsoll_listen::{Heard, HeardCue, Kind};
use plimsoll_report::{SoundCertificate, SoundCue, SoundRecording, SoundSpan, SoundUnread};

pub use words::{sound_sentence, sound_words};

/// Version of the document that is read.
const FORMAT: u32 = 1;
/// Most sentences of meaning that are shown; common practice, no source.
const SENTENCES: usize = 12;
/// Longest sentence that is shown, characters.
const LONGEST: usize = 400;
/// Numbers at least this large are no measurement of sound: not shown.
const BEYOND: f64 = 1e9;

/// Why a recording cannot be attached.
#[derive(Debug, thiserror::Error)]
pub enum AttachError {
    /// The archive refused.
    #[error(transparent)]
    Archive(#[from] ArchiveError),
    /// What was heard does not come back from its own document.
    #[error(
        "what was heard in `{file_name}` cannot be kept: {why}; allowed are finite numbers and \
         format {FORMAT}; this is a fault of the program that listened, not of the recording: \
         please report it with the recording"
    )]
    NotKept {
        /// The recording.
        file_name: String,
        /// What went wrong.
        why: String,
    },
}

/// Keeps what was heard in a recording beside a test day.
///
/// Of `file_name` only the part after the last `/` or `\` is kept. `sha256` is the digest of the
/// recording's file, 64 lower-case hexadecimal digits.
///
/// # Errors
///
/// [`AttachError::NotKept`] when the document would not read back, and those of
/// [`Writer::add_sound_check`].
pub fn attach(
    writer: &mut Writer,
    day: DayId,
    kind: SoundCheckKind,
    file_name: &str,
    sha256: &str,
    heard: &Heard,
) -> Result<SoundCheckId, AttachError> {
    let name = file_name.rsplit(['/', '\\']).next().unwrap_or_default();
    let document = serde_json::to_string(heard).map_err(|error| error.to_string());
    let document = document.and_then(|text| read(&text).map(|_| text));
    let document = document.map_err(|why| AttachError::NotKept {
        file_name: name.to_owned(),
        why,
    })?;
    let facts = SoundCheckFacts {
        kind,
        file_name: name.to_owned(),
        file_sha256: sha256.to_owned(),
        heard: document,
    };
    Ok(writer.add_sound_check(day, &facts)?)
}

/// Returns the certificate of a day's sound checks; nothing when there are none.
///
/// `tests` are the ids of the tests that the day says were run.
pub fn certificate(checks: &[SoundCheck], tests: &[String]) -> Option<SoundCertificate> {
    if checks.is_empty() {
        return None;
    }
    let mut out = SoundCertificate::default();
    for check in checks {
        match read(&check.facts.heard) {
            Ok(heard) => out.recordings.push(of_check(check, &heard, tests)),
            Err(why) => out.unread.push(SoundUnread {
                file_name: check.facts.file_name.clone(),
                why: format!(
                    "its document of what was heard cannot be read ({why}); listen to the \
                     recording again and attach the new document"
                ),
            }),
        }
    }
    Some(out)
}

/// Returns the error of the playback speed as a share, positive when fast, where a recording of the test tells it:
/// of the test itself before one made beforehand, and the largest of several.
pub fn playback_error(checks: &[SoundCheck], test: &str) -> Option<f64> {
    let of = |kind: SoundCheckKind| {
        checks
            .iter()
            .filter(|check| check.facts.kind == kind)
            .filter_map(|check| read(&check.facts.heard).ok())
            .filter(|heard| heard.test.as_deref() == Some(test))
            .filter_map(|heard| heard.speed_error_ppm.filter(|ppm| ppm.is_finite()))
            .max_by(|a, b| a.abs().total_cmp(&b.abs()))
    };
    of(SoundCheckKind::During)
        .or_else(|| of(SoundCheckKind::Before))
        .map(|ppm| ppm / 1e6)
}

fn read(text: &str) -> Result<Heard, String> {
    let heard: Heard = serde_json::from_str(text).map_err(|error| error.to_string())?;
    if heard.format == FORMAT {
        Ok(heard)
    } else {
        Err(format!("format {} instead of {FORMAT}", heard.format))
    }
}

fn of_check(check: &SoundCheck, heard: &Heard, tests: &[String]) -> SoundRecording {
    SoundRecording {
        file_sha256: check.facts.file_sha256.clone(),
        kind: words::kind(check.facts.kind).to_owned(),
        deviation: words::deviation(heard, tests),
        ..recording(&check.facts.file_name, heard)
    }
}

/// Returns what was heard in a recording that no day has, ready to be drawn.
pub fn recording(file_name: &str, heard: &Heard) -> SoundRecording {
    let cues = confirmed_part(heard);
    let interval = heard.speed_interval_ppm;
    SoundRecording {
        file_name: file_name.to_owned(),
        file_sha256: String::new(),
        kind: String::new(),
        heard: words::heard(heard),
        deviation: words::deviation(heard, &[]),
        duration_s: sane(Some(heard.duration_s)),
        cues_confirmed: whole(heard.cues_heard),
        cues_expected: whole(heard.cues_expected),
        worst_interval_ms: sane(heard.worst_interval_ms),
        residual_ms: sane(heard.residual_ms),
        speed_error_ppm: sane(heard.speed_error_ppm),
        speed_low_ppm: sane(interval.map(|i| i.0)),
        speed_high_ppm: sane(interval.map(|i| i.1)),
        worst_level_db: sane(heard.worst_level_db),
        gaps: heard
            .gaps
            .iter()
            .map(|g| words::gap(g, &heard.cues))
            .collect(),
        overdriven: heard
            .overdriven
            .iter()
            .map(|&(from_s, to_s)| SoundSpan {
                from_s,
                to_s,
                words: words::stretch(from_s, to_s),
            })
            .collect(),
        damaged: heard.damaged,
        meaning: heard
            .meaning
            .iter()
            .take(SENTENCES)
            .map(|sentence| words::short(sentence, LONGEST))
            .collect(),
        cues: cues
            .iter()
            .filter(|cue| sane(Some(cue.expected_s)).is_some())
            .map(|cue| SoundCue {
                at_s: cue.expected_s,
                error_ms: sane(cue.heard_s.and(cue.error_ms)),
            })
            .collect(),
    }
}

/// Returns the cues from the first to the last that was heard: what lies outside was not recorded.
fn confirmed_part(heard: &Heard) -> &[HeardCue] {
    let was_heard = |cue: &HeardCue| cue.heard_s.is_some();
    let first = heard.cues.iter().position(was_heard);
    let last = heard.cues.iter().rposition(was_heard);
    match (first, last) {
        (Some(first), Some(last)) if heard.kind != Kind::NotRecognised => &heard.cues[first..=last],
        _ => &[],
    }
}

fn sane(value: Option<f64>) -> Option<f64> {
    value.filter(|v| v.abs() < BEYOND)
}

fn whole(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}
