//! What the coach page reads: every number already a text.
//! Must not rank: the table of results is alphabetical and has no place column.

use serde_json::{Value, json};

use crate::figure::{Anchor, Figure, figure_change_in_parts, figure_distribution, figure_sound};
use crate::format::{amount, count, date, percent, signed_amount, signed_range};
use crate::model::{AthleteLine, Bound, ChangeLine, DayReport};
use crate::order::alphabetical;
use crate::wording::{SOUND_DEVIATION, sentence};
use crate::{lead_paragraph, sound_facts};

/// Most rows of the change figure that still fit on the first page, below the decisions.
const PAGE_ROWS: usize = 28;

/// Returns the data of the coach page.
pub fn data(report: &DayReport, title: &str) -> Value {
    let lead = if report.lead.trim().is_empty() {
        lead_paragraph(report)
    } else {
        report.lead.clone()
    };
    let people = alphabetical(&report.athletes);
    let results: Vec<Value> = people
        .iter()
        .map(|&i| result(report, &report.athletes[i]))
        .collect();
    let decisions: Vec<Value> = report
        .decisions
        .iter()
        .map(|d| json!([d.person, d.what, d.choices]))
        .collect();
    let held: Vec<Value> = report
        .held
        .iter()
        .map(|h| json!([h.row, h.column, h.found, h.why, h.suggestion]))
        .collect();
    let sources: Vec<Value> = report
        .sources
        .iter()
        .map(|s| json!({ "key": s.key, "text": sentence(&s.text), "tag": s.tag.words() }))
        .collect();
    let cautions: Vec<Value> = report
        .cautions
        .full
        .iter()
        .map(|(head, text)| json!([head, text]))
        .collect();
    let changes: Vec<Value> = figure_change_in_parts(report, PAGE_ROWS)
        .iter()
        .map(picture)
        .collect();
    json!({
        "title": title,
        "sub": sub(report),
        "status": report.day.test_status.words(),
        "lead": lead,
        "decisions": decisions,
        "changes": changes,
        "doubt": doubt(report),
        "how_sure": how_sure(report),
        "squad": figure_distribution(report).as_ref().map(picture),
        "results": results,
        "held": held,
        "sound": sound(report),
        "cautions": cautions,
        "caution_origin": report.cautions.origin,
        "day": day(report),
        "how": how(report, &people),
        "sources": sources,
    })
}

/// Returns a figure as the templates read it: its texts are set by the layout engine, which shapes
/// every script and keeps the standards; the engine that draws SVG does not.
pub fn picture(figure: &Figure) -> Value {
    let labels: Vec<Value> = figure
        .labels
        .iter()
        .map(|label| {
            let anchor = match label.anchor {
                Anchor::Start => "start",
                Anchor::Middle => "middle",
                Anchor::End => "end",
            };
            json!({
                "x": label.at.0,
                "y": label.at.1,
                "size": label.size,
                "anchor": anchor,
                "fill": label.colour,
                "label": label.text,
            })
        })
        .collect();
    json!({ "svg": figure.bare, "alt": figure.alt, "width": figure.width, "labels": labels })
}

/// Returns the certificate: for each recording its facts and, where cues were heard, a figure.
fn sound(report: &DayReport) -> Value {
    let Some(sound) = &report.sound else {
        return Value::Null;
    };
    let recordings: Vec<Value> = sound
        .recordings
        .iter()
        .map(|one| {
            // A deviation stands in a frame above the table.
            let facts: Vec<Value> = sound_facts(one)
                .into_iter()
                .filter(|(fact, _)| *fact != SOUND_DEVIATION)
                .map(|(fact, text)| json!([fact, text]))
                .collect();
            let meaning: Vec<String> = one.meaning.iter().map(|m| sentence(m)).collect();
            json!({
                "file": one.file_name,
                "deviation": sentence(&one.deviation),
                "facts": facts,
                "meaning": meaning.join(" "),
                "figure": figure_sound(one).as_ref().map(picture),
            })
        })
        .collect();
    let unread: Vec<Value> = sound
        .unread
        .iter()
        .map(|one| json!([one.file_name, sentence(&one.why)]))
        .collect();
    json!({ "recordings": recordings, "unread": unread })
}

fn sub(report: &DayReport) -> String {
    let (day, counts) = (&report.day, report.counts);
    let place = [
        date(day.date),
        day.venue.clone(),
        day.surface.clone(),
        day.conditions.clone(),
    ];
    let place: Vec<String> = place.into_iter().filter(|p| !p.trim().is_empty()).collect();
    let mut numbers = vec![
        format!("{} ran", counts.ran),
        format!("{} complete", counts.scored),
    ];
    let more = [
        (counts.lower_bounds, "“at least”"),
        (counts.held, "held back"),
        (counts.not_started, "not started"),
    ];
    numbers.extend(
        more.iter()
            .filter(|(n, _)| *n > 0)
            .map(|(n, what)| format!("{n} {what}")),
    );
    format!(
        "{} · {} · {}",
        day.test_name,
        place.join(", "),
        numbers.join(", ")
    )
}

fn doubt(report: &DayReport) -> String {
    let band = &report.smallest_worthwhile;
    let size = amount(band.value, &band.unit);
    let why = if band.source.trim().is_empty() {
        String::new()
    } else {
        format!(" ({})", band.source.trim())
    };
    format!("Changes smaller than {size} are taken as too small to matter{why}.")
}

fn result(report: &DayReport, line: &AthleteLine) -> Value {
    let unit = &report.quantity.unit;
    let result = match line.value {
        None => "no result".to_owned(),
        Some(value) if line.lower_bound => format!("at least {}", amount(value, unit)),
        Some(value) => amount(value, unit),
    };
    let speed = line
        .final_speed_kmh
        .map(|s| amount(s, "km/h"))
        .unwrap_or_default();
    let (change, says) = match &line.change {
        Some(change) => (difference(change), says(line, change)),
        None if line.level.is_some() => (String::new(), level_says(line)),
        None if line.value.is_some() => (String::new(), "nothing to compare with yet".to_owned()),
        None => (String::new(), String::new()),
    };
    let mut marks = line.flags.clone();
    if line.ceiling {
        marks.insert(0, "reached the end of the test".to_owned());
    }
    if line.lower_bound && !line.reason.is_empty() {
        marks.insert(0, format!("cut short: {}", line.reason));
    }
    let marks = marks.join("; ");
    json!([line.name, line.label, result, speed, change, says, marks])
}

fn difference(change: &ChangeLine) -> String {
    let text = signed_amount(change.difference, &change.unit);
    match change.bound {
        Bound::AtLeast => format!("at least {text}"),
        Bound::AtMost => format!("at most {text}"),
        Bound::Exact if change.low90.is_none() && change.high90.is_none() => text,
        Bound::Exact => {
            let range = signed_range(change.low90, change.high90, &change.unit);
            format!("{text} ({range})")
        }
    }
}

fn how_sure(report: &DayReport) -> String {
    let parts = [&report.wave, &report.how_sure].map(|words| sentence(words));
    parts.join(" ").trim().to_owned()
}

/// The level from all results first, the two tests alone after it.
fn says(line: &AthleteLine, change: &ChangeLine) -> String {
    match &line.level {
        Some(level) => format!(
            "{}; the two tests alone: {}",
            level.verdict,
            verdict(change)
        ),
        None => verdict(change),
    }
}

fn level_says(line: &AthleteLine) -> String {
    let verdict = line.level.as_ref().map(|level| &level.verdict);
    verdict.cloned().unwrap_or_default()
}

fn verdict(change: &ChangeLine) -> String {
    if !change.verdict.trim().is_empty() {
        return change.verdict.clone();
    }
    let Some(up) = change.p_up else {
        return String::new();
    };
    format!("{} up", percent(up))
}

fn day(report: &DayReport) -> Vec<Value> {
    let day = &report.day;
    let ladder = format!("{}, fingerprint {}", day.test_id, day.ladder_fingerprint);
    let rows = [
        ("Course", &day.course),
        ("Sound", &day.sound),
        ("Ladder", &ladder),
    ];
    let known = rows.into_iter().filter(|(_, text)| !text.trim().is_empty());
    known
        .map(|(head, text)| json!([head, sentence(text)]))
        .collect()
}

/// Groups equal how lines, so that a line true of everybody is printed once.
fn how(report: &DayReport, people: &[usize]) -> Vec<Value> {
    let mut groups: Vec<(&str, Vec<&str>)> = Vec::new();
    for line in people.iter().map(|&i| &report.athletes[i]) {
        let how = line.how.trim();
        if how.is_empty() {
            continue;
        }
        match groups.iter_mut().find(|(text, _)| *text == how) {
            Some((_, names)) => names.push(&line.name),
            None => groups.push((how, vec![&line.name])),
        }
    }
    let everybody = groups.len() == 1;
    groups
        .into_iter()
        .map(|(text, names)| {
            let who = if everybody && names.len() > 1 {
                vec![count(names.len(), "athlete", "athletes")]
            } else {
                names.into_iter().map(str::to_owned).collect()
            };
            json!({ "who": who, "text": sentence(text) })
        })
        .collect()
}
