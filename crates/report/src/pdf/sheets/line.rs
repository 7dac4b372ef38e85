//! Data of the sheets at the line: the assessor's, with its ladder strip, and the lead's.
//! Must not print why anybody takes part in a changed form: only the words of the code arrive.

use serde_json::{Value, json};

use super::{place, shown};
use crate::ReportError;
use crate::format::number;
use crate::model::{
    AssessorSheet, DaySheets, LadderStrip, Participation, Runner, StripBout, WaveRunner, WaveSheet,
};
use crate::wording::clock;

/// Letters of a fingerprint that are printed.
const FINGERPRINT: usize = 8;
/// Warning boxes a row has room for; with a higher limit the misses are tallied.
const MOST_BOXES: u8 = 4;

/// Checks that every ladder referred to is there.
pub fn check(day: &DaySheets) -> Result<(), ReportError> {
    let assessors = day.assessors.iter().map(|a| {
        let place = format!(
            "the sheet of assessor `{}` for wave `{}`",
            a.assessor, a.wave
        );
        (place, &a.ladder)
    });
    let waves = day
        .waves
        .iter()
        .map(|w| (format!("the sheet of wave `{}`", w.wave), &w.ladder));
    for (place, id) in assessors.chain(waves) {
        if !day.ladders.iter().any(|l| l.id == *id) {
            return Err(ReportError::UnknownLadder {
                place,
                found: id.clone(),
                known: day.ladders.iter().map(|l| l.id.clone()).collect(),
            });
        }
    }
    Ok(())
}

/// Drops ladders that no chosen sheet refers to.
pub fn keep_used(day: &mut DaySheets) {
    let used = |id: &str| {
        day.assessors.iter().any(|a| a.ladder == id) || day.waves.iter().any(|w| w.ladder == id)
    };
    let kept = day
        .ladders
        .iter()
        .filter(|l| used(&l.id))
        .cloned()
        .collect();
    day.ladders = kept;
}

/// Returns the first letters of a fingerprint.
pub fn short(fingerprint: &str) -> String {
    fingerprint.trim().chars().take(FINGERPRINT).collect()
}

/// Returns the data of one assessor's sheet.
pub fn assessor(day: &DaySheets, sheet: &AssessorSheet) -> Value {
    let ladder = ladder(day, &sheet.ladder);
    let limit = ladder.map_or(0, |l| l.miss_limit);
    let boxes = limit.saturating_sub(1);
    let letters: Vec<Value> = day
        .stop_letters
        .iter()
        .map(|l| json!([l.letter, l.meaning]))
        .collect();
    json!({
        "kind": "assessor",
        "place": place(day),
        "wave": shown(&sheet.wave),
        "assessor": shown(&sheet.assessor),
        "side": shown(&sheet.side),
        "start": shown(&sheet.start),
        "ladder": ladder.map(head),
        "limit": limit,
        "boxes": if boxes > MOST_BOXES { 0 } else { boxes },
        "runners": sheet.runners.iter().map(runner).collect::<Vec<_>>(),
        "letters": letters,
        "signs": day.stop_criteria.runner.join(" · "),
        "bouts": ladder.map_or_else(Vec::new, |l| l.bouts.iter().map(bout).collect()),
    })
}

/// Returns the data of the lead's sheet of one wave.
pub fn wave(day: &DaySheets, sheet: &WaveSheet) -> Value {
    let staff: Vec<Value> = sheet
        .staff
        .iter()
        .map(|s| json!([shown(&s.name), shown(&s.lanes)]))
        .collect();
    let start = |code: fn(Participation) -> bool| {
        let people = sheet.runners.iter();
        people.filter(|r| code(r.participation)).count()
    };
    json!({
        "kind": "wave",
        "place": place(day),
        "wave": shown(&sheet.wave),
        "lead": shown(&sheet.lead),
        "start": shown(&sheet.start),
        "course": shown(&sheet.course),
        "ladder": ladder(day, &sheet.ladder).map(head),
        "staff": staff,
        "expected": start(|p| p != Participation::NotToday),
        "away": start(|p| p == Participation::NotToday),
        "runners": sheet.runners.iter().map(wave_runner).collect::<Vec<_>>(),
    })
}

fn ladder<'a>(day: &'a DaySheets, id: &str) -> Option<&'a LadderStrip> {
    day.ladders.iter().find(|l| l.id == id)
}

fn head(ladder: &LadderStrip) -> Value {
    json!({
        "test": shown(&ladder.test_name),
        "id": ladder.id,
        "fingerprint": short(&ladder.fingerprint),
    })
}

fn called(name: &str, bib: &str, lane: u16) -> String {
    match (shown(name), shown(bib)) {
        ("", "") => format!("(no name, lane {lane})"),
        ("", bib) => format!("(no name, bib {bib})"),
        (name, _) => name.to_owned(),
    }
}

fn runner(runner: &Runner) -> Value {
    json!({
        "lane": runner.lane.to_string(),
        "bib": shown(&runner.bib),
        "name": called(&runner.name, &runner.bib, runner.lane),
        "code": runner.participation.words(),
        "plain": runner.participation == Participation::Full,
        "runs": runner.participation != Participation::NotToday,
    })
}

fn wave_runner(runner: &WaveRunner) -> Value {
    json!({
        "lane": runner.lane.to_string(),
        "bib": shown(&runner.bib),
        "name": called(&runner.name, &runner.bib, runner.lane),
        "code": runner.participation.words(),
        "plain": runner.participation == Participation::Full,
        "runs": runner.participation != Participation::NotToday,
        "assessor": shown(&runner.assessor),
    })
}

/// Label, distance (m), speed (km/h) and test clock at the end of a bout, as texts.
fn bout(bout: &StripBout) -> Value {
    let places = usize::from(bout.distance_m.fract().abs() > 0.005);
    let speed = number(bout.speed_kmh, 1);
    // A speed of a fine ladder keeps its second decimal.
    let fine = (bout.speed_kmh * 10.0 - (bout.speed_kmh * 10.0).round()).abs() > 0.05;
    let speed = if fine {
        number(bout.speed_kmh, 2)
    } else {
        speed
    };
    json!([
        bout.label,
        number(bout.distance_m, places),
        speed,
        clock(bout.finish_s)
    ])
}
