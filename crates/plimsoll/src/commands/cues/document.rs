//! The cue list: as a document, the same in `FILE.cues.json` and with `--json`, and as a table.

use plimsoll_ladder::Span;
use plimsoll_sound::TrackCue;
use serde_json::{Value, json};

use super::Track;
use super::files::Places;
use crate::failure::Failure;
use crate::print::number;

/// Returns the document.
pub fn json(track: &Track<'_>, places: &Places) -> Value {
    let plan = &track.plan;
    let cues = plan.cues.iter().map(|cue| {
        json!({
            "t_s": seconds(cue.at),
            "sample": cue.sample,
            "kind": cue.sound.as_str(),
            "label": cue.label,
            "bout": cue.bout,
            "code": cue.word.is_some(),
        })
    });
    let spoken = plan.spoken.iter().map(|spoken| {
        json!({
            "t_s": seconds(spoken.at(plan.rate)),
            "text": spoken.utterance.text,
            "shortened": spoken.shortened,
        })
    });
    json!({
        "test": plan.test,
        "fingerprint": plan.fingerprint,
        "script": plan.script.as_str(),
        "language": track.language.map(|l| l.code()),
        "duration_s": number(plan.duration_s()),
        "sample_rate": plan.rate,
        "channels": track.spec.channels,
        "samples": plan.samples,
        "integrated_lufs": number(track.levels.integrated_lufs),
        "true_peak_dbtp": number(track.levels.true_peak_dbtp),
        "cues": cues.collect::<Vec<_>>(),
        "spoken": spoken.collect::<Vec<_>>(),
        "files": places.all().map(|p| p.display().to_string()),
    })
}

/// Returns the table: a row for each cue and each announcement, by time.
pub fn csv(track: &Track<'_>) -> Result<Vec<u8>, Failure> {
    let plan = &track.plan;
    let cue = |cue: &TrackCue| {
        let row = [
            seconds(cue.at).to_string(),
            cue.sample.to_string(),
            cue.sound.as_str().to_owned(),
            cue.label.clone(),
            cue.bout.map_or_else(String::new, |b| b.to_string()),
            cue.word.is_some().to_string(),
            String::new(),
            String::new(),
        ];
        (cue.sample, row)
    };
    let mut rows: Vec<(u64, [String; 8])> = plan.cues.iter().map(cue).collect();
    rows.extend(plan.spoken.iter().map(|spoken| {
        let mut row: [String; 8] = std::array::from_fn(|_| String::new());
        row[0] = seconds(spoken.at(plan.rate)).to_string();
        row[1] = spoken.sample.to_string();
        row[2] = "speech".to_owned();
        row[6].clone_from(&spoken.utterance.text);
        row[7] = spoken.shortened.to_string();
        (spoken.sample, row)
    }));
    rows.sort_by_key(|(sample, _)| *sample);
    let mut out = csv::Writer::from_writer(Vec::new());
    let head = [
        "t_s",
        "sample",
        "kind",
        "label",
        "bout",
        "code",
        "text",
        "shortened",
    ];
    out.write_record(head).map_err(Failure::new)?;
    for (_, row) in rows {
        out.write_record(row).map_err(Failure::new)?;
    }
    out.into_inner().map_err(Failure::new)
}

/// Returns exact seconds: nanoseconds of any track fit a double.
fn seconds(at: Span) -> Value {
    number(at.as_secs_f64())
}
