//! Difference against mean, with the mean difference, the limits of agreement and their intervals.
//! Must not compute limits: they are handed in.

use super::Figure;
use super::axis::Axis;
use super::kit::{Anchor, BAND, CLAY, INK, Pen, RULE, SLATE};
use super::marks;
use super::measure::width;
use crate::format::{number, signed, with_unit};

const WIDTH: f64 = 690.0;
const TOP: f64 = 30.0;
const BOTTOM: f64 = 330.0;
const RIGHT: f64 = 560.0;

/// A line with its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimitLine {
    /// Where it lies.
    pub value: f64,
    /// Lower end of its interval.
    pub low: f64,
    /// Upper end of its interval.
    pub high: f64,
}

/// What a plot of differences against means shows.
#[derive(Debug, Clone, PartialEq)]
pub struct AgreementPlot {
    /// Name of the earlier trial.
    pub first: String,
    /// Name of the later trial.
    pub second: String,
    /// Unit of the values; may be empty.
    pub unit: String,
    /// Mean of the two trials and their difference, a pair a person.
    pub points: Vec<(f64, f64)>,
    /// Mean difference.
    pub mean: Option<LimitLine>,
    /// Lower and upper limit of agreement.
    pub limits: Option<[LimitLine; 2]>,
    /// Level of the intervals, a fraction.
    pub level: f64,
}

/// Draws differences against means. Bands are the intervals of the lines.
pub fn figure_agreement(plot: &AgreementPlot) -> Figure {
    let mut lines: Vec<(&str, LimitLine, bool)> = Vec::new();
    if let Some([low, high]) = plot.limits {
        lines.push(("upper limit", high, false));
        lines.push(("lower limit", low, false));
    }
    if let Some(mean) = plot.mean {
        lines.push(("mean", mean, true));
    }
    let heights = plot
        .points
        .iter()
        .map(|p| p.1)
        .chain(lines.iter().flat_map(|(_, l, _)| [l.low, l.high]))
        .chain([0.0]);
    let y = Axis::new(heights, BOTTOM, TOP, 6.0);
    let places = y.decimals();
    let left = y
        .ticks()
        .iter()
        .map(|t| width(&signed(*t, places), 11.0))
        .fold(24.0, f64::max)
        + 14.0;
    let x = Axis::new(
        plot.points.iter().map(|p| p.0),
        left + 8.0,
        RIGHT - 8.0,
        6.0,
    );
    let mut pen = Pen::new();
    for (_, line, is_mean) in &lines {
        let (a, b) = (y.at(line.high), y.at(line.low));
        pen.rect(left, a, RIGHT - left, b - a, BAND);
        if *is_mean {
            pen.rect(left, a, 4.0, b - a, CLAY);
        }
    }
    scales(&mut pen, &x, &y, left, BOTTOM);
    for (_, line, is_mean) in &lines {
        let at = y.at(line.value);
        if *is_mean {
            pen.line((left, at), (RIGHT, at), CLAY, 1.6);
        } else {
            pen.dashed((left, at), (RIGHT, at), INK, 1.4, "7 4");
        }
    }
    labels(&mut pen, &y, &lines, places, &plot.unit);
    for &(mean, difference) in &plot.points {
        marks::dot(&mut pen, (x.at(mean), y.at(difference)), 4.0);
    }
    let up = format!("{} minus {}", plot.second, plot.first);
    pen.text(
        (0.0, 14.0),
        12.0,
        Anchor::Start,
        INK,
        &with_unit_in_brackets(&up, &plot.unit),
    );
    let along = with_unit_in_brackets("mean of both", &plot.unit);
    pen.text(
        ((left + RIGHT) / 2.0, BOTTOM + 36.0),
        12.0,
        Anchor::Middle,
        INK,
        &along,
    );
    let alt = describe(plot, &lines, places);
    pen.finish(WIDTH, BOTTOM + 44.0, "Difference against mean", alt)
}

/// Returns a title with its unit, if it has one.
pub(super) fn with_unit_in_brackets(title: &str, unit: &str) -> String {
    if unit.is_empty() {
        title.to_owned()
    } else {
        format!("{title} ({unit})")
    }
}

/// Draws both axes with their ticks, and a line at zero when it is inside.
pub(super) fn scales(pen: &mut Pen, x: &Axis, y: &Axis, left: f64, bottom: f64) {
    let right = x.ends().1 + 8.0;
    for tick in y.ticks() {
        let at = y.at(tick);
        let zero = tick.abs() < 1e-9;
        pen.line(
            (left, at),
            (right, at),
            if zero { SLATE } else { RULE },
            if zero { 1.0 } else { 0.6 },
        );
        pen.text(
            (left - 6.0, at + 4.0),
            11.0,
            Anchor::End,
            SLATE,
            &number(tick, y.decimals()),
        );
    }
    for tick in x.ticks() {
        let at = x.at(tick);
        pen.line((at, bottom), (at, bottom + 4.0), SLATE, 0.8);
        pen.text(
            (at, bottom + 18.0),
            11.0,
            Anchor::Middle,
            SLATE,
            &number(tick, x.decimals()),
        );
    }
    pen.line((left, bottom), (right, bottom), SLATE, 0.8);
}

/// Writes the names of the lines on the right, apart from one another.
fn labels(pen: &mut Pen, y: &Axis, lines: &[(&str, LimitLine, bool)], places: usize, unit: &str) {
    let mut order: Vec<&(&str, LimitLine, bool)> = lines.iter().collect();
    order.sort_by(|a, b| b.1.value.total_cmp(&a.1.value));
    let mut free = TOP - 12.0;
    for (name, line, _) in order {
        let at = (y.at(line.value) - 2.0).max(free);
        pen.text((RIGHT + 8.0, at), 11.0, Anchor::Start, INK, name);
        let value = with_unit(signed(line.value, places.max(1)), unit);
        pen.text((RIGHT + 8.0, at + 14.0), 11.0, Anchor::Start, INK, &value);
        free = at + 32.0;
    }
}

fn describe(plot: &AgreementPlot, lines: &[(&str, LimitLine, bool)], places: usize) -> String {
    let lines: Vec<String> = lines
        .iter()
        .map(|(name, l, _)| {
            format!(
                "{name} {} ({} to {})",
                with_unit(signed(l.value, places.max(1)), &plot.unit),
                signed(l.low, places.max(1)),
                signed(l.high, places.max(1))
            )
        })
        .collect();
    format!(
        "Difference of {} minus {} against the mean of both, n = {}: {}; intervals {:.0} %.",
        plot.second,
        plot.first,
        plot.points.len(),
        if lines.is_empty() {
            "no limits can be given".to_owned()
        } else {
            lines.join(", ")
        },
        plot.level * 100.0
    )
}
