//! When people stop: one strip a test, expected stops per half minute, and who reaches the end.
//! Must not hide the first two minutes, and must not scale one strip differently from another.

use super::Figure;
use super::axis::Axis;
use super::kit::{Anchor, BAND, CLAY, INK, PAPER, Pen, RULE, SLATE, round};
use super::measure::width;
use crate::format::number;
use crate::wording::clock;

/// Most strips of one figure; name the others in words.
pub const STOP_STRIPS: usize = 12;

const WIDTH: f64 = 690.0;
const RIGHT: f64 = 600.0;
/// Width of a bar, s.
const BIN_S: f64 = 30.0;
const EARLY_S: f64 = 120.0;
/// Height of a strip and of its tallest bar, px.
const STRIP: f64 = 66.0;
const TALLEST: f64 = 38.0;
const TOP: f64 = 10.0;
/// Most bars of a strip.
const MOST_BINS: usize = 400;

/// What one strip shows.
#[derive(Debug, Clone, PartialEq)]
pub struct StopStrip {
    /// Name of the test.
    pub name: String,
    /// People who run.
    pub runners: usize,
    /// Time by which a bout ends, s, and the expected number who stop in it.
    pub stops: Vec<(f64, f64)>,
    /// Expected number who reach the end.
    pub at_end: f64,
    /// Length of the test, s.
    pub end_s: f64,
    /// Time by which the last stop has come in nine waves of ten, s.
    pub last_90_s: f64,
}

/// Draws one strip a test, at most [`STOP_STRIPS`]; nothing without strips.
///
/// Bars are expected stops per half minute, all to one scale; the shaded stretch is the first two
/// minutes; a flag marks when the last has stopped nine times in ten; the ring at the right holds
/// how many reach the end.
pub fn figure_stops(strips: &[StopStrip]) -> Option<Figure> {
    let strips: Vec<&StopStrip> = strips
        .iter()
        .filter(|s| s.end_s.is_finite() && s.end_s > 0.0 && s.runners > 0)
        .take(STOP_STRIPS)
        .collect();
    if strips.is_empty() {
        return None;
    }
    let left = 12.0;
    let reach = strips.iter().map(|s| s.last_90_s.min(s.end_s) + BIN_S);
    let longest = reach
        .fold(EARLY_S + BIN_S, f64::max)
        .min(BIN_S * MOST_BINS as f64);
    let axis = Axis::new([0.0, longest], left, RIGHT, 8.0);
    let bins: Vec<Vec<f64>> = strips.iter().map(|s| binned(s, longest)).collect();
    let most = bins.iter().flatten().copied().fold(0.0, f64::max);
    let bottom = TOP + STRIP * strips.len() as f64;
    let mut pen = Pen::new();
    let (from, to) = (axis.at(0.0), axis.at(EARLY_S));
    pen.rect(from, TOP + 14.0, to - from, bottom - TOP - 14.0, BAND);
    for ((strip, bins), at) in strips.iter().zip(&bins).zip(0..) {
        let base = TOP + STRIP * (f64::from(at) + 1.0) - 6.0;
        one(&mut pen, &axis, strip, bins, most, base);
    }
    let step = if longest > 1_500.0 { 300.0 } else { 120.0 };
    pen.line((from, bottom), (RIGHT, bottom), SLATE, 0.8);
    let mut time = 0.0;
    while time <= longest {
        let x = axis.at(time);
        pen.line((x, bottom), (x, bottom + 4.0), SLATE, 0.8);
        pen.text(
            (x, bottom + 15.0),
            10.0,
            Anchor::Middle,
            SLATE,
            &clock(time),
        );
        time += step;
    }
    pen.text(
        (RIGHT + 14.0, bottom + 15.0),
        10.0,
        Anchor::Start,
        SLATE,
        "min:s",
    );
    legend(&mut pen, bottom + 34.0);
    Some(pen.finish(WIDTH, bottom + 44.0, "When people stop", describe(&strips)))
}

fn binned(strip: &StopStrip, longest: f64) -> Vec<f64> {
    let n = ((longest / BIN_S).ceil() as usize).clamp(1, MOST_BINS);
    let mut bins = vec![0.0; n];
    let mut from = 0.0;
    for (to, expected) in &strip.stops {
        if !(to.is_finite() && expected.is_finite() && *to > from) {
            continue;
        }
        // Spread over the bout, so that bouts and half minutes out of step draw no teeth.
        for (bin, at) in bins.iter_mut().zip(0..) {
            let (low, high) = (f64::from(at) * BIN_S, f64::from(at + 1) * BIN_S);
            let shared = (to.min(high) - from.max(low)).max(0.0);
            *bin += expected.max(0.0) * shared / (to - from);
        }
        from = *to;
    }
    bins
}

fn one(pen: &mut Pen, axis: &Axis, strip: &StopStrip, bins: &[f64], most: f64, base: f64) {
    let end = axis.at(strip.end_s).min(RIGHT);
    pen.line((axis.at(0.0), base), (end, base), RULE, 1.0);
    for (expected, n) in bins.iter().zip(0..) {
        let height = if most > 0.0 {
            expected / most * TALLEST
        } else {
            0.0
        };
        if height < 0.25 {
            continue;
        }
        let (from, to) = (f64::from(n) * BIN_S, f64::from(n + 1) * BIN_S);
        let (x0, x1) = (axis.at(from), axis.at(to));
        let early = to <= EARLY_S + 1e-9;
        let colour = if early { CLAY } else { INK };
        pen.rect(
            x0 + 0.5,
            base - height,
            (x1 - x0 - 1.0).max(0.8),
            height,
            colour,
        );
    }
    flag(
        pen,
        axis.at(strip.last_90_s.min(strip.end_s)).min(RIGHT),
        base,
    );
    pen.text(
        (axis.at(0.0) + 4.0, base - TALLEST - 9.0),
        11.0,
        Anchor::Start,
        INK,
        &strip.name,
    );
    let text = format!("{} of {}", tenths(strip.at_end), strip.runners);
    pen.circle("mark-end", (RIGHT + 18.0, base - 6.0), 4.5, PAPER, 1.3);
    pen.text((RIGHT + 28.0, base - 2.5), 10.0, Anchor::Start, INK, &text);
}

/// A small flag on a pole.
fn flag(pen: &mut Pen, x: f64, base: f64) {
    pen.line((x, base), (x, base - 24.0), SLATE, 1.0);
    let d = format!(
        "M{0} {1} L{2} {3} L{0} {4} Z",
        round(x),
        round(base - 24.0),
        round(x + 8.0),
        round(base - 20.5),
        round(base - 17.0)
    );
    pen.path("mark-last", &d, SLATE, SLATE, 0.8);
}

fn tenths(value: f64) -> String {
    if value >= 0.05 || value <= 0.0 {
        number(value, usize::from(value < 9.95 && value > 0.0))
    } else {
        "<0.1".to_owned()
    }
}

fn legend(pen: &mut Pen, y: f64) {
    let mut x = 12.0;
    let mut say = |pen: &mut Pen, text: &str| {
        pen.text((x + 12.0, y + 3.5), 10.0, Anchor::Start, SLATE, text);
        x += width(text, 10.0) + 30.0;
        x
    };
    pen.rect(10.0, y - 4.0, 6.0, 8.0, INK);
    let at = say(pen, "expected stops per half minute");
    pen.rect(at - 3.0, y - 5.0, 10.0, 10.0, BAND);
    pen.rect(at, y - 3.0, 4.0, 8.0, CLAY);
    let at = say(pen, "in the first two minutes");
    flag(pen, at, y + 12.0);
    let at = say(pen, "last stop, 9 times in 10");
    pen.circle("mark-end", (at + 6.0, y), 4.5, PAPER, 1.3);
    say(pen, "\u{2002}reach the end");
}

fn describe(strips: &[&StopStrip]) -> String {
    let each: Vec<String> = strips
        .iter()
        .map(|s| {
            let early: f64 = s.stops.iter().filter(|p| p.0 <= EARLY_S + 1e-9).map(|p| p.1).sum();
            format!(
                "{}, n = {}: {} expected out in the first two minutes, {} at the end, the last stop \
                 by {} nine times in ten",
                s.name,
                s.runners,
                tenths(early),
                tenths(s.at_end),
                clock(s.last_90_s)
            )
        })
        .collect();
    format!(
        "Expected stops over time, one strip a test. {}.",
        each.join(". ")
    )
}
