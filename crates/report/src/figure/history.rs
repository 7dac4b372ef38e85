//! Results of one athlete over time with error bars; what was different is lettered.
//! Must not join points by a fitted line: a trend is the statistics' business, not the pen's.

use jiff::civil::Date;

use super::axis::Axis;
use super::kit::{Anchor, INK, Pen, RULE, SLATE};
use super::measure::{width, wrap};
use super::{Figure, marks};
use crate::format::{amount, count, date, month_year, number, range, with_unit};
use crate::model::{AthleteLine, DayReport, HistoryPoint};

const WIDTH: f64 = 360.0;
const TOP: f64 = 14.0;
const BOTTOM: f64 = 142.0;
const RIGHT: f64 = 346.0;
const ARROW: f64 = 20.0;

/// Draws one athlete's results over time; nothing when there are none.
///
/// Today is a diamond, earlier results are dots, lower bounds open arrows pointing up; a day on
/// which something was different carries a letter that is explained below.
pub fn figure_history(report: &DayReport, line: &AthleteLine) -> Option<Figure> {
    let mut points: Vec<&HistoryPoint> = line
        .history
        .iter()
        .filter(|p| p.value.is_finite())
        .collect();
    points.sort_by_key(|p| p.date);
    let (first, last) = (points.first()?.date, points.last()?.date);
    let unit = &report.quantity.unit;
    let values = points
        .iter()
        .flat_map(|p| [Some(p.value), p.low, p.high])
        .flatten();
    let y_axis = Axis::new(values, BOTTOM, TOP + 14.0, 4.0);
    let ticks: Vec<(f64, String)> = y_axis
        .ticks()
        .into_iter()
        .map(|t| (t, with_unit(number(t, y_axis.decimals()), unit)))
        .collect();
    let left = ticks
        .iter()
        .map(|(_, t)| width(t, 10.0))
        .fold(20.0, f64::max)
        + 16.0;
    let days = |d: Date| f64::from((d - first).get_days());
    let x_axis = Axis::new([0.0, days(last)], left, RIGHT, 4.0);
    let mut pen = Pen::new();
    for (tick, text) in &ticks {
        let y = y_axis.at(*tick);
        pen.line((left - 6.0, y), (RIGHT + 6.0, y), RULE, 0.6);
        pen.text((left - 10.0, y + 3.5), 10.0, Anchor::End, SLATE, text);
    }
    pen.line((left - 6.0, BOTTOM), (RIGHT + 6.0, BOTTOM), SLATE, 0.8);
    let mut letters = ('a'..='z').cycle();
    let mut notes = Vec::new();
    for point in &points {
        let x = x_axis.at(days(point.date));
        if !point.note.trim().is_empty() {
            let letter = letters.next().unwrap_or('a');
            pen.dashed((x, TOP), (x, BOTTOM), SLATE, 0.7, "2 3");
            pen.text(
                (x, TOP - 3.0),
                10.0,
                Anchor::Middle,
                INK,
                &letter.to_string(),
            );
            notes.push(format!(
                "{letter}  {}: {}",
                date(point.date),
                point.note.trim()
            ));
        }
        draw(&mut pen, point, x, &y_axis, point.date == report.day.date);
    }
    dates(&mut pen, &points, &|d| x_axis.at(days(d)));
    let mut y = BOTTOM + 34.0;
    for text in notes
        .iter()
        .flat_map(|note| wrap(note, 10.0, WIDTH - 4.0, 2))
    {
        pen.text((0.0, y), 10.0, Anchor::Start, SLATE, &text);
        y += 13.0;
    }
    let alt = describe(line, &points, unit);
    let end = if notes.is_empty() {
        BOTTOM + 24.0
    } else {
        y - 6.0
    };
    Some(pen.finish(WIDTH, end, "Results over time", alt))
}

fn draw(pen: &mut Pen, point: &HistoryPoint, x: f64, axis: &Axis, today: bool) {
    let y = axis.at(point.value);
    if point.lower_bound {
        marks::arrow(pen, (x, y), (0.0, -1.0), ARROW);
        return;
    }
    if let (Some(low), Some(high)) = (point.low, point.high) {
        let (low, high) = (axis.at(low), axis.at(high));
        pen.line((x, low), (x, high), INK, 1.2);
        for end in [low, high] {
            pen.line((x - 3.5, end), (x + 3.5, end), INK, 1.2);
        }
    }
    if today {
        marks::diamond(pen, (x, y), 6.0);
    } else {
        marks::dot(pen, (x, y), 4.0);
    }
}

/// Writes as many dates as fit, the newest first.
fn dates(pen: &mut Pen, points: &[&HistoryPoint], at: &dyn Fn(Date) -> f64) {
    let mut free_from = f64::INFINITY;
    let mut written = String::new();
    for point in points.iter().rev() {
        let x = at(point.date);
        pen.line((x, BOTTOM), (x, BOTTOM + 4.0), SLATE, 0.8);
        let text = month_year(point.date);
        let half = width(&text, 10.0) / 2.0;
        let middle = x.clamp(half, WIDTH - half);
        if middle + half + 8.0 <= free_from && text != written {
            pen.text((middle, BOTTOM + 16.0), 10.0, Anchor::Middle, SLATE, &text);
            free_from = middle - half;
            written = text;
        }
    }
}

fn describe(line: &AthleteLine, points: &[&HistoryPoint], unit: &str) -> String {
    let list: Vec<String> = points
        .iter()
        .map(|p| {
            let mut text = format!("{} ", date(p.date));
            if p.lower_bound {
                text.push_str("at least ");
            }
            text.push_str(&amount(p.value, unit));
            if let (Some(low), Some(high), false) = (p.low, p.high, p.lower_bound) {
                text.push_str(&format!(" ({})", range(low, high, unit)));
            }
            if !p.note.trim().is_empty() {
                text.push_str(&format!(", {}", p.note.trim()));
            }
            text
        })
        .collect();
    format!(
        "{} of {} over time, n = {}: {}.",
        if points.len() == 1 {
            "Result"
        } else {
            "Results"
        },
        line.name,
        count(points.len(), "test", "tests"),
        list.join("; ")
    )
}
