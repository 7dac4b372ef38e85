//! The group card: one block a group with its run, a line a person, the figure, what it rests on.
//! Must not drop a person: those without a group stand under their own heading with the reason.

use jiff::civil::DateTime;
use serde_json::{Value, json};

use super::coach::picture;
use super::fonts::FontSet;
use super::{RenderedPdf, engine, families, screen, soften};
use crate::ReportError;
use crate::figure::figure_training;
use crate::format::{number, percent};
use crate::model::{TrainingCard, TrainingGroup, TrainingPerson};
use crate::wording::{capital, sentence};

/// Prints the group card.
///
/// # Errors
///
/// [`ReportError::NothingToPrint`] without people; [`ReportError::Layout`] and
/// [`ReportError::Export`] when the engine fails, which is a bug.
pub fn render_training_pdf(
    card: &TrainingCard,
    created: DateTime,
    extra_fonts: &[Vec<u8>],
) -> Result<RenderedPdf, ReportError> {
    if card.people.is_empty() {
        return Err(ReportError::NothingToPrint {
            found: "a group card without people".to_owned(),
            athletes: 0,
        });
    }
    let (fonts, mut warnings) = FontSet::new(extra_fonts);
    let (clean, replaced) = screen::screen_any(card, &|letters| fonts.covers(letters));
    let title = if screen::is_blank(&clean.title) {
        "Training groups"
    } else {
        clean.title.trim()
    };
    let data = json!({
        "title": title,
        "fonts": families(&fonts),
        "short": clean.cautions.short,
        "card": soften::all(data(&clean)),
        "replaced": soften::all(Value::Array(screen::list(&replaced))),
    });
    let written = engine::lay_out(engine::TRAINING, &fonts, &data, created)?.write()?;
    warnings.extend(written.warning);
    Ok(RenderedPdf {
        bytes: written.bytes,
        pages: written.pages,
        conforms: written.conforms,
        replaced,
        warnings,
    })
}

fn data(card: &TrainingCard) -> Value {
    let facts = [
        (
            "Work and rest",
            format!(
                "{} s run, {} s rest",
                short(card.work_s),
                short(card.rest_s)
            ),
        ),
        ("How hard", card.intensity.clone()),
        ("Where", card.course.clone()),
        ("How much", card.volume.clone()),
        ("Bands", card.width_basis.clone()),
    ];
    let facts: Vec<Value> = facts
        .iter()
        .filter(|(_, text)| !screen::is_blank(text))
        .map(|(what, text)| json!([what, sentence(&capital(text))]))
        .collect();
    let groups: Vec<Value> = card.groups.iter().map(|g| group(card, g)).collect();
    let apart: Vec<Value> = card.members(None).map(alone).collect();
    let notes: Vec<Value> = card
        .notes
        .iter()
        .map(|n| json!({ "text": sentence(&capital(&n.text)), "tag": n.tag.words() }))
        .collect();
    json!({
        "sub": card.origin,
        "facts": facts,
        "groups": groups,
        "apart": apart,
        "apart_head": if card.groups.is_empty() { "Own run" } else { "Not grouped" },
        "figure": figure_training(card).as_ref().map(picture),
        "notes": notes,
    })
}

fn group(card: &TrainingCard, group: &TrainingGroup) -> Value {
    let run = match (group.distance_m, group.speed_kmh) {
        (Some(distance), Some(speed)) => format!(
            "{} m{} at {} km/h",
            number(distance, 1),
            turns(group.turns),
            number(speed, 2)
        ),
        _ => "each their own run".to_owned(),
    };
    let members: Vec<Value> = card
        .members(Some(group.number))
        .map(|p| {
            let mut marks = p.marks.clone();
            marks.extend(
                p.moved_from
                    .map(|from| format!("moved by the coach from group {from}")),
            );
            if !p.refused.is_empty() {
                marks.push(p.refused.clone());
            }
            json!([
                p.name,
                speed(p),
                own(p),
                p.group_percent
                    .map_or_else(String::new, |v| format!("{} %", number(v, 0))),
                p.chance_other
                    .map_or_else(|| "not known".to_owned(), percent),
                marks.join("; "),
            ])
        })
        .collect();
    json!({
        "head": format!("Group {}", group.number),
        "band": format!(
            "{} to under {} km/h", number(group.low_kmh, 2), number(group.high_kmh, 2)
        ),
        "run": run,
        "members": members,
    })
}

fn alone(person: &TrainingPerson) -> Value {
    let why = if person.refused.is_empty() {
        person.marks.join("; ")
    } else {
        format!("{} {}", person.marks.join("; "), person.refused)
    };
    json!([person.name, speed(person), own(person), capital(why.trim())])
}

fn speed(person: &TrainingPerson) -> String {
    let error = person
        .error_kmh
        .map_or_else(String::new, |e| format!(" ± {}", number(e, 2)));
    person
        .reference_kmh
        .map_or_else(|| "none".to_owned(), |v| format!("{}{error}", number(v, 1)))
}

fn own(person: &TrainingPerson) -> String {
    person.distance_m.map_or_else(
        || "none".to_owned(),
        |d| format!("{} m{}", number(d, 1), turns(person.turns)),
    )
}

fn turns(turns: Option<u32>) -> String {
    match turns {
        None | Some(0) => String::new(),
        Some(1) => ", 1 turn".to_owned(),
        Some(n) => format!(", {n} turns"),
    }
}

fn short(value: f64) -> String {
    let text = number(value, 1);
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}
