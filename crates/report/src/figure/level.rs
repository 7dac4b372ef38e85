//! A person's level over time: a band for what is believed, the line of its middle, results as dots.

use jiff::civil::Date;

use super::Figure;
use super::axis::Axis;
use super::kit::{Anchor, INK, Pen, RULE, SLATE};
use super::marks;
use super::measure::width;
use crate::format::{amount, date, month_year, number, with_unit};

const WIDTH: f64 = 640.0;
const TOP: f64 = 18.0;
const BOTTOM: f64 = 262.0;
const RIGHT: f64 = 622.0;
const ARROW: f64 = 22.0;

/// A level on a date.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelMark {
    /// The date.
    pub date: Date,
    /// The level, in the unit of the figure.
    pub level: f64,
    /// Lower end of its 90 % interval.
    pub lower: f64,
    /// Upper end of its 90 % interval.
    pub upper: f64,
    /// The result of that date, if there was one.
    pub result: Option<f64>,
    /// Whether the result is known only as "at least".
    pub bound: bool,
}

/// Draws a level over time; nothing without a date.
pub fn figure_level(name: &str, unit: &str, marks: &[LevelMark]) -> Option<Figure> {
    let mut all: Vec<&LevelMark> = marks.iter().filter(|m| m.level.is_finite()).collect();
    all.sort_by_key(|m| m.date);
    let (first, last) = (all.first()?.date, all.last()?.date);
    let values = all
        .iter()
        .flat_map(|m| [Some(m.lower), Some(m.upper), m.result])
        .flatten();
    let y_axis = Axis::new(values, BOTTOM, TOP + 14.0, 4.0);
    let ticks: Vec<(f64, String)> = y_axis
        .ticks()
        .into_iter()
        .map(|t| (t, with_unit(number(t, y_axis.decimals()), unit)))
        .collect();
    let widest = ticks.iter().map(|(_, t)| width(t, 11.0));
    let left = widest.fold(20.0, f64::max) + 18.0;
    let days = |d: Date| f64::from((d - first).get_days());
    let x_axis = Axis::new([0.0, days(last)], left, RIGHT, 4.0);
    let at = |m: &LevelMark, value: f64| (x_axis.at(days(m.date)), y_axis.at(value));
    let mut pen = Pen::new();
    for (tick, text) in &ticks {
        let y = y_axis.at(*tick);
        pen.line((left - 6.0, y), (RIGHT + 6.0, y), RULE, 0.6);
        pen.text((left - 10.0, y + 4.0), 11.0, Anchor::End, SLATE, text);
    }
    pen.line((left - 6.0, BOTTOM), (RIGHT + 6.0, BOTTOM), SLATE, 0.8);
    for pair in all.windows(2) {
        let [a, b] = pair else { continue };
        for (from, to) in [(a.lower, b.lower), (a.upper, b.upper)] {
            pen.dashed(at(a, from), at(b, to), SLATE, 1.0, "5 4");
        }
        pen.line(at(a, a.level), at(b, b.level), INK, 1.6);
    }
    for mark in &all {
        let (low, high) = (at(mark, mark.lower), at(mark, mark.upper));
        pen.line(low, high, INK, 1.2);
        for (x, y) in [low, high] {
            pen.line((x - 4.0, y), (x + 4.0, y), INK, 1.2);
        }
        match mark.result {
            Some(result) if mark.bound => {
                marks::arrow(&mut pen, at(mark, result), (0.0, -1.0), ARROW)
            }
            Some(result) => marks::dot(&mut pen, at(mark, result), 4.0),
            None => {}
        }
    }
    let mut free_from = f64::INFINITY;
    for mark in all.iter().rev() {
        let (x, _) = at(mark, mark.level);
        pen.line((x, BOTTOM), (x, BOTTOM + 4.0), SLATE, 0.8);
        let text = month_year(mark.date);
        let half = width(&text, 11.0) / 2.0;
        let middle = x.clamp(half, WIDTH - half);
        if middle + half + 10.0 <= free_from {
            pen.text((middle, BOTTOM + 18.0), 11.0, Anchor::Middle, SLATE, &text);
            free_from = middle - half;
        }
    }
    let told: Vec<String> = all
        .iter()
        .map(|m| {
            format!(
                "{}: level {} ({} to {})",
                date(m.date),
                amount(m.level, unit),
                number(m.lower, 0),
                amount(m.upper, unit)
            )
        })
        .collect();
    let alt = format!(
        "Level of {name}, with its 90 % interval. {}.",
        told.join("; ")
    );
    Some(pen.finish(WIDTH, BOTTOM + 26.0, "Level over time", alt))
}
