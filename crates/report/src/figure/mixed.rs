//! Whose the scatter is, as one bar; below it the levels of a group by size, with intervals.
//! Must not compute shares or deviations: they are handed in. Parts differ by pattern and word.

use super::Figure;
use super::agreement::with_unit_in_brackets;
use super::axis::Axis;
use super::kit::{Anchor, BAND, CLAY, INK, PAPER, Pen, RULE, SLATE};
use super::marks;
use super::measure::{width, wrap};
use crate::format::{number, signed, with_unit};

const WIDTH: f64 = 690.0;
const RIGHT: f64 = 660.0;
const BAR_TOP: f64 = 24.0;
const BAR: f64 = 28.0;
const ROW: f64 = 22.0;
/// Most levels that are drawn; of more, the ends.
const MOST: usize = 40;
const NAME: f64 = 180.0;

/// A part of the scatter.
#[derive(Debug, Clone, PartialEq)]
pub struct SharePart {
    /// Whose it is, in words.
    pub name: String,
    /// Its share, 0 to 1.
    pub share: f64,
}

/// A level's deviation from the typical one.
#[derive(Debug, Clone, PartialEq)]
pub struct DeviationMark {
    /// The level.
    pub name: String,
    /// Its deviation.
    pub value: f64,
    /// Lower end of its interval.
    pub low: f64,
    /// Upper end of its interval.
    pub high: f64,
}

/// What the picture of a mixed model shows.
#[derive(Debug, Clone, PartialEq)]
pub struct MixedPlot {
    /// Parts of the scatter, what is left over last.
    pub shares: Vec<SharePart>,
    /// The group whose levels are drawn.
    pub group: String,
    /// Unit of the deviations; may be empty.
    pub unit: String,
    /// Its levels.
    pub marks: Vec<DeviationMark>,
    /// Level of the intervals, a fraction.
    pub level: f64,
}

/// Draws shares as one bar and deviations by size.
pub fn figure_mixed(plot: &MixedPlot) -> Figure {
    let mut pen = Pen::new();
    let top = share_bar(&mut pen, plot);
    let mut marks: Vec<&DeviationMark> = plot
        .marks
        .iter()
        .filter(|m| [m.value, m.low, m.high].iter().all(|v| v.is_finite()))
        .collect();
    marks.sort_by(|a, b| b.value.total_cmp(&a.value).then(a.name.cmp(&b.name)));
    let hidden = marks.len().saturating_sub(MOST);
    if hidden > 0 {
        marks.drain(MOST / 2..MOST / 2 + hidden);
    }
    let bottom = if marks.is_empty() {
        top
    } else {
        rows(&mut pen, plot, &marks, hidden, top)
    };
    let alt = describe(plot, &marks, hidden);
    pen.finish(WIDTH, bottom, "Where the scatter comes from", alt)
}

/// Draws the bar with its legend and returns where the next part may begin.
fn share_bar(pen: &mut Pen, plot: &MixedPlot) -> f64 {
    pen.text(
        (0.0, 14.0),
        12.0,
        Anchor::Start,
        INK,
        "Where the scatter comes from (shares of variance)",
    );
    let bottom = BAR_TOP + BAR;
    let mut from = 0.0;
    let mut y = bottom + 22.0;
    let count = plot.shares.len();
    for (at, part) in plot.shares.iter().enumerate() {
        let wide = RIGHT * part.share.clamp(0.0, 1.0);
        pattern(pen, (from, BAR_TOP), (wide, BAR), at, at + 1 == count);
        let text = with_unit(number(100.0 * part.share, 0), "%");
        pattern(pen, (0.0, y - 11.0), (22.0, 13.0), at, at + 1 == count);
        let line = format!("{}: {text}", part.name);
        let line = wrap(&line, 12.0, RIGHT - 32.0, 1).concat();
        pen.text((30.0, y), 12.0, Anchor::Start, INK, &line);
        from += wide;
        y += 20.0;
    }
    frame(pen, (0.0, BAR_TOP), (RIGHT, BAR), INK);
    y + 10.0
}

fn frame(pen: &mut Pen, (x, y): (f64, f64), (w, h): (f64, f64), colour: &str) {
    for (a, b) in [
        ((x, y), (x + w, y)),
        ((x + w, y), (x + w, y + h)),
        ((x + w, y + h), (x, y + h)),
        ((x, y + h), (x, y)),
    ] {
        pen.line(a, b, colour, 1.0);
    }
}

/// Fills a box so that parts can be told apart without colour: full, upright lines, level lines,
/// dots; what is left over stays empty.
fn pattern(pen: &mut Pen, (x, y): (f64, f64), (w, h): (f64, f64), at: usize, last: bool) {
    if w <= 0.0 {
        return;
    }
    let fill = match (last, at) {
        (true, _) => PAPER,
        (_, 0) => SLATE,
        _ => BAND,
    };
    pen.rect(x, y, w, h, fill);
    let steps = |length: f64, gap: f64| {
        (1..)
            .map(move |i| f64::from(i) * gap)
            .take_while(move |s| *s < length)
    };
    match at {
        _ if last || at == 0 => {}
        1 => steps(w, 5.0).for_each(|s| pen.line((x + s, y), (x + s, y + h), SLATE, 1.0)),
        2 => steps(h, 4.0).for_each(|s| pen.line((x, y + s), (x + w, y + s), SLATE, 1.0)),
        _ => steps(w, 6.0).for_each(|s| pen.rect(x + s - 1.0, y + h / 2.0 - 1.0, 2.0, 2.0, INK)),
    }
    frame(pen, (x, y), (w, h), INK);
}

fn rows(pen: &mut Pen, plot: &MixedPlot, marks: &[&DeviationMark], hidden: usize, top: f64) -> f64 {
    let title = format!("Each {} against the typical one", plot.group);
    let title = with_unit_in_brackets(&title, &plot.unit);
    let title = format!("{title}, {:.0} % intervals", plot.level * 100.0);
    pen.text(
        (0.0, top + 12.0),
        12.0,
        Anchor::Start,
        INK,
        &wrap(&title, 12.0, RIGHT, 1).concat(),
    );
    let names = marks.iter().map(|m| width(&m.name, 12.0).min(NAME));
    let left = names.fold(40.0, f64::max) + 16.0;
    let ends = marks.iter().flat_map(|m| [m.low, m.high]).chain([0.0]);
    let x = Axis::new(ends, left, RIGHT, 7.0);
    let first = top + 36.0;
    let gap = if hidden > 0 { ROW } else { 0.0 };
    let y_of = |at: usize| first + at as f64 * ROW + if at >= MOST / 2 { gap } else { 0.0 };
    let bottom = y_of(marks.len() - 1) + 14.0;
    for tick in x.ticks() {
        let at = x.at(tick);
        let zero = tick.abs() < 1e-9;
        pen.line(
            (at, first - 12.0),
            (at, bottom),
            if zero { CLAY } else { RULE },
            if zero { 1.4 } else { 0.6 },
        );
        let text = signed(tick, x.decimals());
        pen.text((at, bottom + 16.0), 11.0, Anchor::Middle, SLATE, &text);
    }
    for (at, mark) in marks.iter().enumerate() {
        let y = y_of(at);
        let name = wrap(&mark.name, 12.0, NAME, 1).concat();
        pen.text((left - 10.0, y + 4.0), 12.0, Anchor::End, INK, &name);
        pen.line((x.at(mark.low), y), (x.at(mark.high), y), INK, 1.4);
        for end in [mark.low, mark.high] {
            pen.line((x.at(end), y - 4.0), (x.at(end), y + 4.0), INK, 1.4);
        }
        // Open when the interval holds zero: not to be told from the typical one.
        if mark.low <= 0.0 && mark.high >= 0.0 {
            marks::ring(pen, (x.at(mark.value), y), 4.0);
        } else {
            marks::dot(pen, (x.at(mark.value), y), 4.0);
        }
    }
    if hidden > 0 {
        let text = format!("{hidden} between these are not drawn");
        pen.text(
            (left, y_of(MOST / 2) - ROW + 4.0),
            11.0,
            Anchor::Start,
            SLATE,
            &text,
        );
    }
    let key = "open mark: the interval holds zero; where intervals overlap the order is uncertain";
    pen.text((0.0, bottom + 38.0), 11.0, Anchor::Start, SLATE, key);
    bottom + 48.0
}

fn describe(plot: &MixedPlot, marks: &[&DeviationMark], hidden: usize) -> String {
    let shares: Vec<String> = plot
        .shares
        .iter()
        .map(|p| format!("{} {}", p.name, with_unit(number(100.0 * p.share, 0), "%")))
        .collect();
    let spread = marks.iter().map(|m| m.high - m.low).fold(0.0, f64::max);
    let places = if spread > 0.0 {
        (1.0 - spread.log10().floor()).clamp(0.0, 4.0) as usize
    } else {
        1
    };
    let told: Vec<String> = marks
        .iter()
        .map(|m| {
            format!(
                "{} {} ({} to {})",
                m.name,
                with_unit(signed(m.value, places), &plot.unit),
                signed(m.low, places),
                signed(m.high, places)
            )
        })
        .collect();
    let rest = if hidden > 0 {
        format!("; {hidden} between these are not drawn")
    } else {
        String::new()
    };
    format!(
        "Shares of the scatter: {}. Each {} against the typical one, intervals {:.0} %: {}{rest}.",
        shares.join(", "),
        plot.group,
        plot.level * 100.0,
        told.join("; ")
    )
}
