//! The true change: how likely each is, the zone too small to matter, and changes as intervals below.
//! Must not compute chances or densities: they are handed in. Mark and word carry the state, not hue.

use super::Figure;
use super::axis::Axis;
use super::kit::{Anchor, BAND, INK, Pen, RULE, SLATE, round};
use super::marks;
use super::measure::{width, wrap};
use crate::format::{percent, signed, signed_range, with_unit};

const WIDTH: f64 = 690.0;
const TOP: f64 = 44.0;
/// Height of the curve, and of a row with a name of one line or two, px.
const HILL: f64 = 150.0;
const ROW: f64 = 25.0;
const TALL_ROW: f64 = 31.0;
/// Widest column of names, px.
const COLUMN: f64 = 178.0;

/// A change as an interval.
#[derive(Debug, Clone, PartialEq)]
pub struct TrueChangeRow {
    /// What it is, such as "since 12 Sep 2026".
    pub name: String,
    /// The middle.
    pub middle: f64,
    /// Lower end of its interval.
    pub low: f64,
    /// Upper end of its interval.
    pub high: f64,
}

/// What the figure shows; all changes in one unit.
#[derive(Debug, Clone, PartialEq)]
pub struct TrueChangePlot {
    /// Whose change of what, one line.
    pub about: String,
    /// Unit of the changes; may be empty.
    pub unit: String,
    /// Decimals of values written at rows.
    pub decimals: usize,
    /// What the curve is of, a few words.
    pub curve_name: String,
    /// True change and its density; may be empty.
    pub curve: Vec<(f64, f64)>,
    /// The changes too small to matter, from and to.
    pub zone: Option<(f64, f64)>,
    /// Detectable fall (below 0) and rise of two tests alone.
    pub detectable: Option<(f64, f64)>,
    /// Chances of a fall, of less than matters and of a rise.
    pub chances: Option<(f64, f64, f64)>,
    /// Intervals below the curve, from top to bottom.
    pub rows: Vec<TrueChangeRow>,
}

/// Draws a true change; nothing without a curve or a row to draw.
pub fn figure_true_change(plot: &TrueChangePlot) -> Option<Figure> {
    let curve: Vec<(f64, f64)> = plot
        .curve
        .iter()
        .copied()
        .filter(|(x, d)| x.is_finite() && d.is_finite())
        .collect();
    let fine = |r: &&TrueChangeRow| [r.middle, r.low, r.high].iter().all(|v| v.is_finite());
    let rows: Vec<&TrueChangeRow> = plot.rows.iter().filter(fine).collect();
    let peak = curve.iter().map(|p| p.1).fold(0.0, f64::max);
    if rows.is_empty() && peak <= 0.0 {
        return None;
    }
    let names: Vec<Vec<String>> = rows
        .iter()
        .map(|r| wrap(&r.name, 11.0, COLUMN, 2))
        .collect();
    let widest = names.iter().flatten().map(|n| width(n, 11.0));
    let left = widest.fold(0.0, f64::max).max(10.0) + 14.0;
    let said: Vec<String> = rows.iter().map(|r| value(plot, r)).collect();
    let room = said.iter().map(|s| width(s, 11.0)).fold(20.0, f64::max);
    let ends = |pair: Option<(f64, f64)>| pair.into_iter().flat_map(|(a, b)| [a, b]);
    let values = curve
        .iter()
        .map(|p| p.0)
        .chain(rows.iter().flat_map(|r| [r.low, r.high]))
        .chain(ends(plot.zone))
        .chain(ends(plot.detectable))
        .chain([0.0]);
    let axis = Axis::new(values, left, WIDTH - room - 14.0, 6.0);
    let hill = if peak > 0.0 { HILL } else { 0.0 };
    let ground = TOP + hill;
    let tall = names.iter().any(|n| n.len() > 1);
    let step = if tall { TALL_ROW } else { ROW };
    let bottom = ground + 10.0 + step * rows.len() as f64;
    let mut pen = Pen::new();
    grid(&mut pen, plot, &axis, ground, bottom);
    if peak > 0.0 {
        draw_curve(&mut pen, &axis, &curve, peak, ground);
    }
    for (i, row) in rows.iter().enumerate() {
        let y = ground + 10.0 + step * (i as f64 + 0.5);
        draw_row(&mut pen, &axis, row, &names[i], y);
        pen.text((WIDTH, y + 4.0), 11.0, Anchor::End, SLATE, &said[i]);
    }
    chances(&mut pen, plot, &axis);
    let end = legend(&mut pen, plot, peak > 0.0, !rows.is_empty(), bottom + 38.0);
    Some(pen.finish(WIDTH, end, "True change", describe(plot, &rows, &said)))
}

fn value(plot: &TrueChangePlot, row: &TrueChangeRow) -> String {
    let text = signed(row.middle, plot.decimals);
    with_unit(text, &plot.unit)
}

fn grid(pen: &mut Pen, plot: &TrueChangePlot, axis: &Axis, ground: f64, bottom: f64) {
    if let Some((low, high)) = plot.zone {
        let (a, b) = (axis.at(low), axis.at(high));
        pen.rect(a, TOP, b - a, bottom - TOP, BAND);
        for x in [a, b] {
            pen.dashed((x, TOP), (x, bottom), SLATE, 0.5, "2 2");
        }
    }
    let (start, end) = axis.ends();
    pen.line((start, ground), (end, ground), RULE, 0.8);
    pen.line((start, bottom), (end, bottom), SLATE, 0.8);
    pen.line((axis.at(0.0), TOP), (axis.at(0.0), bottom + 4.0), INK, 1.0);
    let unit = if plot.unit == "%" { "" } else { &plot.unit };
    for tick in axis.ticks() {
        let x = axis.at(tick);
        pen.line((x, bottom), (x, bottom + 4.0), SLATE, 0.8);
        let text = with_unit(signed(tick, axis.decimals()), unit);
        pen.text((x, bottom + 17.0), 10.0, Anchor::Middle, SLATE, &text);
    }
    if let Some((fall, rise)) = plot.detectable {
        for x in [axis.at(fall), axis.at(rise)] {
            pen.dashed((x, TOP), (x, bottom), INK, 1.4, "7 4");
        }
    }
}

fn draw_curve(pen: &mut Pen, axis: &Axis, curve: &[(f64, f64)], peak: f64, ground: f64) {
    let mut d = String::new();
    for (i, (x, density)) in curve.iter().enumerate() {
        let y = ground - (HILL - 8.0) * density / peak;
        let letter = if i == 0 { 'M' } else { 'L' };
        d.push_str(&format!("{letter}{} {} ", round(axis.at(*x)), round(y)));
    }
    pen.path("true-change", d.trim_end(), "none", INK, 2.0);
}

fn draw_row(pen: &mut Pen, axis: &Axis, row: &TrueChangeRow, name: &[String], y: f64) {
    for (line, text) in name.iter().enumerate() {
        let up = 6.0 * (name.len() as f64 - 1.0);
        let at = (0.0, y + 4.0 - up + 12.0 * line as f64);
        pen.text(at, 11.0, Anchor::Start, INK, text);
    }
    let (low, high) = (axis.at(row.low), axis.at(row.high));
    pen.line((low, y), (high, y), INK, 1.6);
    for x in [low, high] {
        pen.line((x, y - 4.0), (x, y + 4.0), INK, 1.2);
    }
    if row.low > 0.0 || row.high < 0.0 {
        marks::diamond(pen, (axis.at(row.middle), y), 6.0);
    } else {
        marks::ring(pen, (axis.at(row.middle), y), 4.2);
    }
}

/// The three chances over the curve: fall on the left, rise on the right, as the axis runs.
fn chances(pen: &mut Pen, plot: &TrueChangePlot, axis: &Axis) {
    let Some((fall, trivial, rise)) = plot.chances else {
        return;
    };
    let (_, end) = axis.ends();
    let (start, middle) = (0.0, f64::midpoint(0.0, end));
    for (x, anchor, name, chance) in [
        (start, Anchor::Start, "fall that matters", fall),
        (middle, Anchor::Middle, "too small to matter", trivial),
        (end, Anchor::End, "rise that matters", rise),
    ] {
        pen.text((x, 14.0), 15.0, anchor, INK, &percent(chance));
        pen.text((x, 29.0), 11.0, anchor, SLATE, name);
    }
}

fn legend(pen: &mut Pen, plot: &TrueChangePlot, hill: bool, rows: bool, top: f64) -> f64 {
    let size = 10.0;
    let (mut x, mut y) = (0.0, top);
    let mut entry = |pen: &mut Pen, room: f64, text: &str, shape: &dyn Fn(&mut Pen, f64, f64)| {
        // Pages may show another font than the one measured.
        let needed = room + width(text, size) * 1.12;
        if x > 0.0 && x + needed > WIDTH {
            (x, y) = (0.0, y + 17.0);
        }
        shape(pen, x, y);
        pen.text((x + room, y + 3.5), size, Anchor::Start, SLATE, text);
        x += needed + 18.0;
    };
    if hill {
        let words = format!("how likely each true change is: {}", plot.curve_name);
        entry(pen, 26.0, &words, &|pen, x, y| {
            pen.line((x, y), (x + 20.0, y), INK, 2.0);
        });
    }
    if let Some(words) = zone_words(plot) {
        entry(pen, 20.0, &words, &|pen, x, y| {
            pen.rect(x, y - 6.0, 14.0, 12.0, BAND);
            for edge in [x, x + 14.0] {
                pen.dashed((edge, y - 6.0), (edge, y + 6.0), SLATE, 0.5, "2 2");
            }
        });
    }
    if let Some(words) = detectable_words(plot) {
        entry(pen, 26.0, &words, &|pen, x, y| {
            pen.dashed((x, y), (x + 20.0, y), INK, 1.4, "7 4");
        });
    }
    if rows {
        entry(pen, 26.0, "90\u{202F}% interval", &|pen, x, y| {
            pen.line((x, y), (x + 20.0, y), INK, 1.6);
        });
        entry(pen, 16.0, "keeps clear of no change", &|pen, x, y| {
            marks::diamond(pen, (x + 6.0, y), 5.5);
        });
        entry(pen, 16.0, "cannot be told from no change", &|pen, x, y| {
            marks::ring(pen, (x + 5.0, y), 4.2);
        });
    }
    y + 12.0
}

fn both(plot: &TrueChangePlot, low: f64, high: f64) -> String {
    let text = |v: f64| signed(v, plot.decimals);
    format!("{} to {}", text(low), with_unit(text(high), &plot.unit))
}

fn zone_words(plot: &TrueChangePlot) -> Option<String> {
    let (low, high) = plot.zone?;
    Some(format!("too small to matter: {}", both(plot, low, high)))
}

fn detectable_words(plot: &TrueChangePlot) -> Option<String> {
    let (fall, rise) = plot.detectable?;
    let text = |v: f64| with_unit(signed(v, plot.decimals), &plot.unit);
    Some(format!(
        "a difference of two tests beyond {} or {} would rule chance out (95\u{202F}%)",
        text(fall),
        text(rise)
    ))
}

fn describe(plot: &TrueChangePlot, rows: &[&TrueChangeRow], said: &[String]) -> String {
    let mut out = vec![plot.about.clone()];
    if let Some((fall, trivial, rise)) = plot.chances {
        out.push(format!(
            "Chance of a fall that matters {}, of a change too small to matter {}, of a rise that matters {}",
            percent(fall),
            percent(trivial),
            percent(rise)
        ));
    }
    out.extend(zone_words(plot).map(|w| first_large(&w)));
    out.extend(detectable_words(plot).map(|w| first_large(&w)));
    for (row, said) in rows.iter().zip(said) {
        let range = signed_range(Some(row.low), Some(row.high), &plot.unit);
        out.push(format!("{}: {said}, 90\u{202F}% {range}", row.name));
    }
    format!("{}.", out.join(". "))
}

fn first_large(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
