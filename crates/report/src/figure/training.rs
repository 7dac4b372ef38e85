//! People by reference speed with their typical error, over the bands of the groups.
//! Must not hide a doubt: first trials and bounds are open marks, moves are said in words.

use super::axis::Axis;
use super::kit::{Anchor, BAND, INK, Pen, RULE, SLATE};
use super::measure::wrap;
use super::{Figure, marks};
use crate::format::{count, number, percent};
use crate::model::{TrainingCard, TrainingPerson};

const WIDTH: f64 = 690.0;
const LEFT: f64 = 150.0;
const RIGHT: f64 = 560.0;
const ROW: f64 = 19.0;
const HEAD: f64 = 30.0;
/// Most rows of one figure; more people are said in words.
const MOST: usize = 60;

/// Draws people by speed with error bars over the bands; nothing when nobody has a speed.
pub fn figure_training(card: &TrainingCard) -> Option<Figure> {
    let fast = |p: &&TrainingPerson| p.reference_kmh.is_some_and(f64::is_finite);
    let all: Vec<&TrainingPerson> = card.people.iter().filter(fast).collect();
    let rows = &all[..all.len().min(MOST)];
    if rows.is_empty() {
        return None;
    }
    let ends = rows.iter().flat_map(|p| {
        let (v, e) = (p.reference_kmh.unwrap_or(0.0), p.error_kmh.unwrap_or(0.0));
        [v - e, v + e]
    });
    let bands = card.groups.iter().flat_map(|g| [g.low_kmh, g.high_kmh]);
    let axis = Axis::new(ends.chain(bands), LEFT, RIGHT, 8.0);
    let mut pen = Pen::new();
    let bottom = HEAD + rows.len() as f64 * ROW + 4.0;
    draw_bands(&mut pen, &axis, card, bottom);
    for (at, person) in rows.iter().enumerate() {
        row(
            &mut pen,
            &axis,
            person,
            HEAD + (at as f64 + 0.5) * ROW + 2.0,
        );
    }
    pen.line((LEFT, bottom), (RIGHT, bottom), SLATE, 0.8);
    for tick in axis.ticks() {
        let x = axis.at(tick);
        pen.line((x, bottom), (x, bottom + 4.0), SLATE, 0.8);
        let text = number(tick, axis.decimals());
        pen.text((x, bottom + 16.0), 10.0, Anchor::Middle, SLATE, &text);
    }
    let unit = "reference speed, km/h; bar: one typical error to each side";
    pen.text((LEFT, bottom + 32.0), 10.0, Anchor::Start, SLATE, unit);
    let mut end = bottom + 38.0;
    if rows.iter().any(|p| !p.marks.is_empty()) {
        marks::ring(&mut pen, (LEFT + 5.0, end + 8.0), 4.5);
        let text = "first trial, or only known as \u{201C}at least\u{201D}";
        pen.text((LEFT + 16.0, end + 11.5), 10.0, Anchor::Start, SLATE, text);
        end += 18.0;
    }
    if rows.iter().any(|p| p.moved_from.is_some()) {
        marks::diamond(&mut pen, (LEFT + 5.0, end + 8.0), 5.5);
        let text = "moved by the coach";
        pen.text((LEFT + 16.0, end + 11.5), 10.0, Anchor::Start, SLATE, text);
        end += 18.0;
    }
    if all.len() > MOST {
        let text = format!("{} more are in the list", all.len() - MOST);
        pen.text((LEFT, end + 11.5), 10.0, Anchor::Start, SLATE, &text);
        end += 18.0;
    }
    let alt = describe(card, &all);
    Some(pen.finish(WIDTH, end + 2.0, "People by speed and group", alt))
}

fn draw_bands(pen: &mut Pen, axis: &Axis, card: &TrainingCard, bottom: f64) {
    for (place, group) in card.groups.iter().enumerate() {
        let (a, b) = (axis.at(group.low_kmh), axis.at(group.high_kmh));
        if place % 2 == 0 {
            pen.rect(a, HEAD - 4.0, b - a, bottom - HEAD + 4.0, BAND);
        }
        for x in [a, b] {
            pen.dashed((x, HEAD - 4.0), (x, bottom), SLATE, 0.8, "3 3");
        }
        let middle = f64::midpoint(a, b);
        let name = if b - a > 56.0 {
            format!("group {}", group.number)
        } else {
            group.number.to_string()
        };
        pen.text((middle, 12.0), 10.5, Anchor::Middle, INK, &name);
        if b - a > 30.0 {
            let text = number(group.middle_kmh, 2);
            let text = text.trim_end_matches('0').trim_end_matches('.');
            pen.text((middle, 23.0), 9.0, Anchor::Middle, SLATE, text);
        }
    }
}

fn row(pen: &mut Pen, axis: &Axis, person: &TrainingPerson, y: f64) {
    let speed = person.reference_kmh.unwrap_or(0.0);
    let x = axis.at(speed);
    let name = wrap(&person.name, 10.5, LEFT - 14.0, 1);
    let name = name.first().map_or("", String::as_str);
    pen.text((0.0, y + 3.7), 10.5, Anchor::Start, INK, name);
    pen.line((LEFT, y + ROW / 2.0), (RIGHT, y + ROW / 2.0), RULE, 0.4);
    if let Some(error) = person.error_kmh {
        let (a, b) = (axis.at(speed - error), axis.at(speed + error));
        pen.line((a, y), (b, y), INK, 1.2);
        for end in [a, b] {
            pen.line((end, y - 3.5), (end, y + 3.5), INK, 1.2);
        }
    }
    if person.moved_from.is_some() {
        marks::diamond(pen, (x, y), 5.5);
    } else if person.marks.is_empty() {
        marks::dot(pen, (x, y), 4.0);
    } else {
        marks::ring(pen, (x, y), 4.5);
    }
    let text = match (person.group, person.moved_from, person.chance_other) {
        (Some(to), Some(_), _) => format!("into group {to}"),
        (_, _, Some(chance)) => format!("other group {}", percent(chance)),
        (None, ..) if !person.marks.is_empty() => person.marks.join(", "),
        _ => String::new(),
    };
    pen.text((RIGHT + 10.0, y + 3.7), 10.0, Anchor::Start, SLATE, &text);
}

fn describe(card: &TrainingCard, all: &[&TrainingPerson]) -> String {
    let mut text = format!(
        "{} by reference speed, {} of {} km/h.",
        count(all.len(), "person", "people"),
        count(card.groups.len(), "group", "groups"),
        card.width_kmh
            .map_or_else(|| "no".to_owned(), |w| number(w, 2)),
    );
    for group in &card.groups {
        let names: Vec<&str> = card
            .members(Some(group.number))
            .map(|p| p.name.as_str())
            .collect();
        text.push_str(&format!(
            " Group {}, {} to under {} km/h: {}.",
            group.number,
            number(group.low_kmh, 2),
            number(group.high_kmh, 2),
            names.join(", ")
        ));
    }
    let apart: Vec<&str> = card.members(None).map(|p| p.name.as_str()).collect();
    if !apart.is_empty() {
        text.push_str(&format!(" Not grouped: {}.", apart.join(", ")));
    }
    text
}
