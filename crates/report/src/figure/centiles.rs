//! Centile curves over age with the people behind them.
//! Must not join across a refusal: where a centile is too uncertain the curve has a gap.

use super::Figure;
use super::agreement::{scales, with_unit_in_brackets};
use super::axis::Axis;
use super::kit::{Anchor, BAND, CLAY, INK, Pen, SLATE, round};
use super::measure::width;
use crate::format::{count, number};

const WIDTH: f64 = 690.0;
const TOP: f64 = 30.0;
const BOTTOM: f64 = 400.0;
const RIGHT: f64 = 620.0;
/// Most points drawn.
const MOST: usize = 1_500;

/// One centile over age.
#[derive(Debug, Clone, PartialEq)]
pub struct CentileCurve {
    /// Its name, such as P50.
    pub name: String,
    /// Value and its standard error at each age; nothing where it is refused or not known.
    pub values: Vec<Option<(f64, f64)>>,
}

/// What a plot of centiles shows.
#[derive(Debug, Clone, PartialEq)]
pub struct CentilePlot {
    /// What is measured.
    pub what: String,
    /// Its unit; may be empty.
    pub unit: String,
    /// Ages, years, rising.
    pub ages: Vec<f64>,
    /// Curves, by rising centile.
    pub curves: Vec<CentileCurve>,
    /// Age and value of the people; may be empty.
    pub points: Vec<(f64, f64)>,
    /// Number of people behind the curves, when known.
    pub people: Option<f64>,
}

/// Draws centile curves; the middle one is thick, with a band of two standard errors.
pub fn figure_centiles(plot: &CentilePlot) -> Figure {
    let stride = plot.points.len().div_ceil(MOST).max(1);
    let shown: Vec<(f64, f64)> = plot.points.iter().copied().step_by(stride).collect();
    let values = || plot.curves.iter().flat_map(|c| c.values.iter().flatten());
    let heights = values().map(|v| v.0).chain(shown.iter().map(|p| p.1));
    let y = Axis::new(heights, BOTTOM, TOP, 7.0);
    let left = y
        .ticks()
        .iter()
        .map(|t| width(&number(*t, y.decimals()), 11.0))
        .fold(24.0, f64::max)
        + 14.0;
    let along = plot.ages.iter().copied().chain(shown.iter().map(|p| p.0));
    let x = Axis::new(along, left + 8.0, RIGHT - 8.0, 8.0);
    let mut pen = Pen::new();
    let middle = plot.curves.len() / 2;
    if let Some(curve) = plot.curves.get(middle) {
        band(&mut pen, plot, curve, &x, &y);
    }
    scales(&mut pen, &x, &y, left, BOTTOM);
    for &(age, value) in &shown {
        pen.circle("person", (x.at(age), y.at(value)), 1.5, SLATE, 0.0);
    }
    for (at, curve) in plot.curves.iter().enumerate() {
        for run in runs(plot, curve) {
            let d = path(&run, &x, &y);
            let (colour, thick) = if at == middle {
                (CLAY, 2.6)
            } else {
                (INK, 1.3)
            };
            pen.path("centile", &d, "none", colour, thick);
        }
    }
    names(&mut pen, plot, &x, &y);
    pen.text(
        (0.0, 14.0),
        12.0,
        Anchor::Start,
        INK,
        &with_unit_in_brackets(&plot.what, &plot.unit),
    );
    pen.text(
        ((left + RIGHT) / 2.0, BOTTOM + 36.0),
        12.0,
        Anchor::Middle,
        INK,
        "age (years)",
    );
    pen.finish(WIDTH, BOTTOM + 44.0, "Centiles by age", describe(plot))
}

/// The stretches of a curve without a gap: age, value, error.
fn runs(plot: &CentilePlot, curve: &CentileCurve) -> Vec<Vec<(f64, f64, f64)>> {
    let mut found = vec![Vec::new()];
    for (&age, value) in plot.ages.iter().zip(&curve.values) {
        match (value, found.last_mut()) {
            (Some((value, se)), Some(run)) => run.push((age, *value, *se)),
            _ => found.push(Vec::new()),
        }
    }
    found.retain(|run| run.len() > 1);
    found
}

fn path(run: &[(f64, f64, f64)], x: &Axis, y: &Axis) -> String {
    let points: Vec<String> = run
        .iter()
        .map(|(age, value, _)| format!("{} {}", round(x.at(*age)), round(y.at(*value))))
        .collect();
    format!("M{}", points.join(" L"))
}

fn band(pen: &mut Pen, plot: &CentilePlot, curve: &CentileCurve, x: &Axis, y: &Axis) {
    for run in runs(plot, curve) {
        let at = |age: f64, value: f64| format!("{} {}", round(x.at(age)), round(y.at(value)));
        let up = run.iter().map(|(age, v, se)| at(*age, v + 2.0 * se));
        let down = run.iter().rev().map(|(age, v, se)| at(*age, v - 2.0 * se));
        let points: Vec<String> = up.chain(down).collect();
        pen.path(
            "doubt",
            &format!("M{} Z", points.join(" L")),
            BAND,
            "none",
            0.0,
        );
    }
}

/// Names at the right end of each curve, apart from one another.
fn names(pen: &mut Pen, plot: &CentilePlot, x: &Axis, y: &Axis) {
    let mut ends: Vec<(f64, &str)> = plot
        .curves
        .iter()
        .filter_map(|curve| {
            let last = curve.values.iter().rposition(Option::is_some)?;
            Some((y.at(curve.values[last]?.0), curve.name.as_str()))
        })
        .collect();
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut free = f64::NEG_INFINITY;
    for (at, name) in ends {
        let h = (at + 4.0).max(free);
        pen.text((x.ends().1 + 14.0, h), 11.0, Anchor::Start, INK, name);
        free = h + 13.0;
    }
}

fn describe(plot: &CentilePlot) -> String {
    let gaps: Vec<&str> = plot
        .curves
        .iter()
        .filter(|c| c.values.iter().any(Option::is_none))
        .map(|c| c.name.as_str())
        .collect();
    let ends = plot.ages.first().zip(plot.ages.last());
    let middle = plot.curves.get(plot.curves.len() / 2);
    let ends = ends.zip(middle).map_or(String::new(), |((a, b), curve)| {
        let value = |v: Option<&Option<(f64, f64)>>| {
            v.copied()
                .flatten()
                .map_or("not given".to_owned(), |v| number(v.0, 1))
        };
        format!(
            ": {} is {} at {} y and {} at {} y",
            curve.name,
            value(curve.values.first()),
            number(*a, 1),
            value(curve.values.last()),
            number(*b, 1)
        )
    });
    let people = plot.people.map_or(String::new(), |n| {
        format!(", {}", count(n.max(0.0) as usize, "person", "people"))
    });
    let refused = if gaps.is_empty() {
        String::new()
    } else {
        format!("; too uncertain at some ages: {}", gaps.join(", "))
    };
    format!("Centiles of {} by age{people}{ends}{refused}.", plot.what)
}
