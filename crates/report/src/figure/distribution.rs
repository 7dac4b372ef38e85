//! Where the squad's results lie today: one dot a score, one open arrow a lower bound.
//! Must not put a lower bound into median or quartiles, and must not name anybody.

use super::axis::Axis;
use super::kit::{Anchor, BAND, INK, Pen, SLATE};
use super::measure::width;
use super::swarm::{levels, quantile};
use super::{Figure, marks};
use crate::format::{amount, count, number, range, with_unit};
use crate::model::{AthleteLine, DayReport};

const WIDTH: f64 = 690.0;
/// Room for the names of the lanes, px.
const LEFT: f64 = 92.0;
const RIGHT: f64 = 670.0;
const DOT: f64 = 5.0;
const ARROW: f64 = 18.0;
/// Fewest scores for which quartiles say anything; below, only the median is drawn.
const QUARTILES_FROM: usize = 4;
/// Tallest stack of dots before they shrink, levels.
const TALL: f64 = 11.0;

struct Results<'a> {
    scores: Vec<(&'a AthleteLine, f64)>,
    bounds: Vec<f64>,
}

/// Draws the day's results to scale, with median and quartiles of the scores.
///
/// Nothing when nobody has a result. Lower bounds are drawn in a lane of their own and stay out
/// of the median and the quartiles (linear interpolation between order statistics).
pub fn figure_distribution(report: &DayReport) -> Option<Figure> {
    let with_value = || {
        let lines = report.athletes.iter();
        lines.filter_map(|a| Some((a, a.value.filter(|v| v.is_finite())?)))
    };
    let results = Results {
        scores: with_value().filter(|(a, _)| !a.lower_bound).collect(),
        bounds: with_value()
            .filter(|(a, _)| a.lower_bound)
            .map(|(_, v)| v)
            .collect(),
    };
    let all: Vec<f64> = with_value().map(|(_, v)| v).collect();
    if all.is_empty() {
        return None;
    }
    let unit = &report.quantity.unit;
    let axis = Axis::new(all, LEFT + 10.0, RIGHT - ARROW, 8.0);
    let mut pen = Pen::new();
    let mut y = 8.0;
    if !results.scores.is_empty() {
        y = scores(&mut pen, &axis, &results, y);
        y = middle(&mut pen, &axis, &results, unit, y);
    }
    if !results.bounds.is_empty() {
        y = lane(&mut pen, &axis, &results.bounds, y);
    }
    pen.line((LEFT, y), (RIGHT, y), SLATE, 0.8);
    for tick in axis.ticks() {
        let x = axis.at(tick);
        pen.line((x, y), (x, y + 4.0), SLATE, 0.8);
        let text = with_unit(number(tick, axis.decimals()), unit);
        pen.text((x, y + 16.0), 10.0, Anchor::Middle, SLATE, &text);
    }
    y += 22.0;
    if results.scores.iter().any(|(a, _)| a.ceiling) {
        marks::capped(&mut pen, (6.0, y + 9.0), DOT);
        let text = "reached the end of the test: may be worth more";
        pen.text((20.0, y + 12.5), 10.0, Anchor::Start, SLATE, text);
        y += 18.0;
    }
    let alt = describe(report, &results);
    Some(pen.finish(WIDTH, y + 2.0, "Results of the squad today", alt))
}

fn scores(pen: &mut Pen, axis: &Axis, results: &Results<'_>, top: f64) -> f64 {
    let places: Vec<f64> = results.scores.iter().map(|(_, v)| axis.at(*v)).collect();
    let levels = levels(&places, 2.0 * DOT + 1.5);
    let high = levels.iter().copied().max().unwrap_or(0);
    let low = levels.iter().copied().min().unwrap_or(0);
    let stack = f64::from(high - low + 1);
    let r = DOT * (TALL / stack).min(1.0);
    let step = 2.0 * r + 1.0;
    let zero = top + r + 1.0 + f64::from(high) * step;
    for (i, (line, _)) in results.scores.iter().enumerate() {
        let at = (places[i], zero - f64::from(levels[i]) * step);
        if line.ceiling {
            marks::capped(pen, at, r);
        } else {
            marks::dot(pen, at, r);
        }
    }
    label(pen, zero, &format!("complete, n = {}", places.len()));
    top + stack * step + 12.0
}

fn middle(pen: &mut Pen, axis: &Axis, results: &Results<'_>, unit: &str, top: f64) -> f64 {
    let values: Vec<f64> = results.scores.iter().map(|(_, v)| *v).collect();
    let Some(median) = quantile(&values, 0.5) else {
        return top;
    };
    let y = top + 6.0;
    let mut text = format!("median {}", amount(median, unit));
    let (mut left, mut right) = (axis.at(median), axis.at(median));
    if let Some((low, high)) = quartiles(&values) {
        let (a, b) = (axis.at(low), axis.at(high));
        let box_path = format!(
            "M{a:.2} {t:.2} L{b:.2} {t:.2} L{b:.2} {u:.2} L{a:.2} {u:.2} Z",
            t = y - 5.0,
            u = y + 5.0
        );
        pen.path("middle-half", &box_path, BAND, INK, 0.9);
        text = format!("{text}, middle half {}", range(low, high, unit));
        (left, right) = (a, b);
    }
    let x = axis.at(median);
    pen.line((x, y - 8.0), (x, y + 8.0), INK, 2.4);
    label(
        pen,
        y,
        if quartiles(&values).is_some() {
            "middle half"
        } else {
            "median"
        },
    );
    let wide = width(&text, 10.5);
    if right + 10.0 + wide <= WIDTH {
        pen.text((right + 10.0, y + 3.7), 10.5, Anchor::Start, INK, &text);
        y + 20.0
    } else if left - 10.0 - wide >= LEFT + 4.0 {
        pen.text((left - 10.0, y + 3.7), 10.5, Anchor::End, INK, &text);
        y + 20.0
    } else {
        pen.text((RIGHT, y + 20.0), 10.5, Anchor::End, INK, &text);
        y + 34.0
    }
}

fn lane(pen: &mut Pen, axis: &Axis, bounds: &[f64], top: f64) -> f64 {
    let places: Vec<f64> = bounds.iter().map(|v| axis.at(*v)).collect();
    let levels = levels(&places, ARROW + 4.0);
    let high = levels.iter().copied().max().unwrap_or(0);
    let low = levels.iter().copied().min().unwrap_or(0);
    let step = 11.0;
    let zero = top + 4.0 + f64::from(high) * step;
    for (place, level) in places.iter().zip(&levels) {
        marks::arrow(
            pen,
            (*place, zero - f64::from(*level) * step),
            (1.0, 0.0),
            ARROW,
        );
    }
    label(pen, zero, &format!("at least, n = {}", bounds.len()));
    zero + f64::from(-low) * step + 14.0
}

fn label(pen: &mut Pen, y: f64, text: &str) {
    pen.text((0.0, y + 3.7), 10.5, Anchor::Start, SLATE, text);
}

fn quartiles(values: &[f64]) -> Option<(f64, f64)> {
    if values.len() < QUARTILES_FROM {
        return None;
    }
    Some((quantile(values, 0.25)?, quantile(values, 0.75)?))
}

fn describe(report: &DayReport, results: &Results<'_>) -> String {
    let unit = &report.quantity.unit;
    let values: Vec<f64> = results.scores.iter().map(|(_, v)| *v).collect();
    let mut text = format!(
        "Results of the squad today, {}: n = {} and n = {} known only as “at least”.",
        report.quantity.name,
        count(values.len(), "complete result", "complete results"),
        results.bounds.len()
    );
    if let Some(median) = quantile(&values, 0.5) {
        text.push_str(&format!(
            " Median of the complete ones {}",
            amount(median, unit)
        ));
        if let Some((low, high)) = quartiles(&values) {
            text.push_str(&format!(", middle half {}", range(low, high, unit)));
        }
        let ends = [quantile(&values, 0.0), quantile(&values, 1.0)];
        if let [Some(low), Some(high)] = ends {
            text.push_str(&format!(", from {}", range(low, high, unit)));
        }
        text.push('.');
    }
    if !results.bounds.is_empty() {
        let list: Vec<String> = results.bounds.iter().map(|v| amount(*v, unit)).collect();
        text.push_str(&format!(" At least: {}.", list.join(", ")));
    }
    text
}
