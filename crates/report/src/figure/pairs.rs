//! Everyone's line over the trials, and the typical error in bands of level.
//! Must not compute errors: they are handed in.

use super::Figure;
use super::agreement::{scales, with_unit_in_brackets};
use super::axis::Axis;
use super::kit::{Anchor, CLAY, INK, Pen, RULE, SLATE};
use super::marks;
use super::measure::{width, wrap};
use crate::format::{count, number, with_unit};

const WIDTH: f64 = 690.0;
const TOP: f64 = 30.0;
const BOTTOM: f64 = 310.0;
const RIGHT: f64 = 560.0;
/// Most people drawn; more would be a black field.
const MOST: usize = 400;

/// A person's name, whether the person stands out, and place of the trial with the value.
pub type PersonLinePlot = (String, bool, Vec<(usize, f64)>);

/// What a plot of lines over trials shows.
#[derive(Debug, Clone, PartialEq)]
pub struct PairLinesPlot {
    /// Names of the trials.
    pub trials: Vec<String>,
    /// Unit of the values; may be empty.
    pub unit: String,
    /// The people.
    pub lines: Vec<PersonLinePlot>,
}

/// The error in a band of level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ErrorBandPlot {
    /// Lowest mean in the band.
    pub from: f64,
    /// Highest mean in the band.
    pub to: f64,
    /// People in the band.
    pub n: usize,
    /// Typical error.
    pub error: f64,
    /// Lower end of its interval.
    pub low: f64,
    /// Upper end of its interval.
    pub high: f64,
}

/// What a plot of errors by level shows.
#[derive(Debug, Clone, PartialEq)]
pub struct ErrorByLevelPlot {
    /// Unit of the values; may be empty.
    pub unit: String,
    /// Bands by rising level.
    pub bands: Vec<ErrorBandPlot>,
    /// Error of all together.
    pub whole: Option<f64>,
    /// Level of the intervals, a fraction.
    pub level: f64,
}

/// Draws a line a person over the trials; who stands out is thick and named.
pub fn figure_pair_lines(plot: &PairLinesPlot) -> Figure {
    let shown: Vec<&PersonLinePlot> = plot.lines.iter().take(MOST).collect();
    let y = Axis::new(
        shown.iter().flat_map(|l| l.2.iter().map(|p| p.1)),
        BOTTOM,
        TOP,
        6.0,
    );
    let left = y
        .ticks()
        .iter()
        .map(|t| width(&number(*t, y.decimals()), 11.0))
        .fold(24.0, f64::max)
        + 14.0;
    let steps = plot.trials.len().saturating_sub(1).max(1) as f64;
    let at = |trial: usize| left + 40.0 + (RIGHT - left - 80.0) * trial as f64 / steps;
    let mut pen = Pen::new();
    for tick in y.ticks() {
        let h = y.at(tick);
        pen.line((left, h), (RIGHT, h), RULE, 0.6);
        pen.text(
            (left - 6.0, h + 4.0),
            11.0,
            Anchor::End,
            SLATE,
            &number(tick, y.decimals()),
        );
    }
    let room = (RIGHT - left) / (steps + 1.0) - 6.0;
    for (trial, name) in plot.trials.iter().enumerate() {
        pen.line((at(trial), TOP), (at(trial), BOTTOM), RULE, 0.8);
        for (line, text) in wrap(name, 11.0, room.max(30.0), 2).iter().enumerate() {
            let down = BOTTOM + 18.0 + 13.0 * line as f64;
            pen.text((at(trial), down), 11.0, Anchor::Middle, INK, text);
        }
    }
    for thick in [false, true] {
        for (_, odd, points) in shown.iter().filter(|l| l.1 == thick) {
            for step in points.windows(2) {
                let (a, b) = (step[0], step[1]);
                let (colour, width) = if *odd { (CLAY, 2.6) } else { (SLATE, 0.9) };
                pen.line((at(a.0), y.at(a.1)), (at(b.0), y.at(b.1)), colour, width);
            }
            for &(trial, value) in points {
                marks::dot(
                    &mut pen,
                    (at(trial), y.at(value)),
                    if *odd { 4.0 } else { 2.6 },
                );
            }
        }
    }
    let mut taken: Vec<f64> = Vec::new();
    for (name, _, points) in shown.iter().filter(|l| l.1) {
        if let Some(&(trial, value)) = points.last() {
            let mut h = y.at(value) + 4.0;
            while taken.iter().any(|t| (t - h).abs() < 13.0) {
                h += 13.0;
            }
            taken.push(h);
            let text = wrap(name, 11.0, WIDTH - at(trial) - 14.0, 1).join("");
            pen.text((at(trial) + 10.0, h), 11.0, Anchor::Start, INK, &text);
        }
    }
    pen.text(
        (0.0, 14.0),
        12.0,
        Anchor::Start,
        INK,
        &with_unit_in_brackets("value", &plot.unit),
    );
    let odd: Vec<&str> = plot
        .lines
        .iter()
        .filter(|l| l.1)
        .map(|l| l.0.as_str())
        .collect();
    let alt = format!(
        "One line a person over {}, n = {}{}{}.",
        count(plot.trials.len(), "trial", "trials"),
        count(plot.lines.len(), "person", "people"),
        if plot.lines.len() > MOST {
            format!(", the first {MOST} drawn")
        } else {
            String::new()
        },
        if odd.is_empty() {
            "; nobody stands out".to_owned()
        } else {
            format!("; standing out: {}", odd.join(", "))
        }
    );
    pen.finish(WIDTH, BOTTOM + 38.0, "Everyone's trials", alt)
}

/// Draws the typical error with its interval in each band of level.
pub fn figure_error_by_level(plot: &ErrorByLevelPlot) -> Figure {
    let heights = plot.bands.iter().flat_map(|b| [b.low, b.high]);
    let y = Axis::new(heights.chain(plot.whole).chain([0.0]), BOTTOM, TOP, 5.0);
    let places = y.decimals();
    let left = y
        .ticks()
        .iter()
        .map(|t| width(&number(*t, places), 11.0))
        .fold(24.0, f64::max)
        + 14.0;
    let x = Axis::new(
        plot.bands.iter().flat_map(|b| [b.from, b.to]),
        left + 8.0,
        RIGHT - 8.0,
        6.0,
    );
    let mut pen = Pen::new();
    scales(&mut pen, &x, &y, left, BOTTOM);
    if let Some(whole) = plot.whole {
        let h = y.at(whole);
        pen.dashed((left, h), (RIGHT, h), CLAY, 1.6, "7 4");
        pen.text((RIGHT + 8.0, h), 11.0, Anchor::Start, INK, "all together");
        let text = with_unit(number(whole, places.max(1)), &plot.unit);
        pen.text((RIGHT + 8.0, h + 14.0), 11.0, Anchor::Start, INK, &text);
    }
    for band in &plot.bands {
        let middle = x.at(f64::midpoint(band.from, band.to));
        pen.line(
            (x.at(band.from), y.at(band.error)),
            (x.at(band.to), y.at(band.error)),
            INK,
            2.4,
        );
        pen.line(
            (middle, y.at(band.low)),
            (middle, y.at(band.high)),
            INK,
            1.2,
        );
        for end in [band.low, band.high] {
            pen.line(
                (middle - 4.0, y.at(end)),
                (middle + 4.0, y.at(end)),
                INK,
                1.2,
            );
        }
        marks::dot(&mut pen, (middle, y.at(band.error)), 4.0);
    }
    pen.text(
        (0.0, 14.0),
        12.0,
        Anchor::Start,
        INK,
        &with_unit_in_brackets("typical error", &plot.unit),
    );
    let along = with_unit_in_brackets("mean of both trials", &plot.unit);
    pen.text(
        ((left + RIGHT) / 2.0, BOTTOM + 36.0),
        12.0,
        Anchor::Middle,
        INK,
        &along,
    );
    let bands: Vec<String> = plot
        .bands
        .iter()
        .map(|b| {
            format!(
                "{} to {}: {} ({} to {}), n = {}",
                number(b.from, x.decimals()),
                number(b.to, x.decimals()),
                number(b.error, places.max(1)),
                number(b.low, places.max(1)),
                number(b.high, places.max(1)),
                b.n
            )
        })
        .collect();
    let alt = format!(
        "Typical error by level, intervals {:.0} %: {}.",
        plot.level * 100.0,
        bands.join("; ")
    );
    pen.finish(WIDTH, BOTTOM + 44.0, "Error by level", alt)
}
