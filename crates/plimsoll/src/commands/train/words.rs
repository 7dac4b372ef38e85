//! The card of training in words for a terminal.

use plimsoll_report::{TrainingCard, TrainingPerson, format::percent};

use crate::print::{self, Align, hanging, short};

/// Width of a line of words.
const WIDE: usize = 92;

/// Returns the card in words.
pub fn card(card: &TrainingCard) -> String {
    let mut out = vec![
        format!("{}\n{}", card.title, card.origin),
        format!(
            "{} s run, {} s rest; {}; {}",
            short(card.work_s, 1),
            short(card.rest_s, 1),
            card.intensity,
            card.course
        ),
    ];
    if !card.volume.is_empty() {
        out.push(format!("volume: {}", card.volume));
    }
    if !card.width_basis.is_empty() {
        out.push(format!("bands: {}", card.width_basis));
    }
    for group in &card.groups {
        let run = match (group.distance_m, group.speed_kmh) {
            (Some(metres), Some(speed)) => format!(
                ": {} m{} at {} km/h",
                short(metres, 1),
                turns(group.turns),
                short(speed, 2)
            ),
            _ => ": each their own run".to_owned(),
        };
        out.push(format!(
            "\nGroup {}, {} to under {} km/h{run}",
            group.number,
            short(group.low_kmh, 2),
            short(group.high_kmh, 2)
        ));
        let members: Vec<&TrainingPerson> = card.members(Some(group.number)).collect();
        out.push(table(&members));
    }
    let apart: Vec<&TrainingPerson> = card.members(None).collect();
    if !apart.is_empty() {
        if !card.groups.is_empty() {
            out.push("\nNot grouped".to_owned());
        } else {
            out.push(String::new());
        }
        out.push(table(&apart));
    }
    out.push(String::new());
    for person in card.people.iter().filter(|p| !p.refused.is_empty()) {
        out.push(hanging(
            &format!("· {}: {}", person.name, person.refused),
            WIDE,
        ));
    }
    for note in &card.notes {
        out.push(hanging(
            &format!("· {} [{}]", note.text, note.tag.words()),
            WIDE,
        ));
    }
    out.push(hanging(&format!("caution: {}", card.cautions.short), WIDE));
    out.join("\n")
}

fn table(people: &[&TrainingPerson]) -> String {
    let head = [
        ("name", Align::Left),
        ("km/h", Align::Right),
        ("error", Align::Right),
        ("own run m", Align::Right),
        ("turns", Align::Right),
        ("group's run %", Align::Right),
        ("other group", Align::Right),
        ("marks", Align::Left),
    ];
    let number = |v: Option<f64>, places| v.map_or_else(String::new, |v| short(v, places));
    let rows: Vec<Vec<String>> = people
        .iter()
        .map(|p| {
            let mut marks = p.marks.clone();
            marks.extend(p.moved_from.map(|from| format!("moved from group {from}")));
            if !p.refused.is_empty() {
                marks.push("no run, see below".to_owned());
            }
            vec![
                p.name.clone(),
                number(p.reference_kmh, 2),
                number(p.error_kmh, 2),
                number(p.distance_m, 1),
                p.turns.map_or_else(String::new, |n| n.to_string()),
                number(p.group_percent, 0),
                p.chance_other.map_or_else(String::new, percent),
                marks.join("; "),
            ]
        })
        .collect();
    print::table(&head, &rows)
}

fn turns(turns: Option<u32>) -> String {
    match turns {
        None | Some(0) => String::new(),
        Some(1) => " with 1 turn".to_owned(),
        Some(n) => format!(" with {n} turns"),
    }
}
