//! Worm plots: how far z lies from where it should, one small panel an age group.
//! Must not judge: the band is point-wise, so one point in twenty lies outside by chance.

use super::Figure;
use super::axis::Axis;
use super::kit::{Anchor, BAND, CLAY, INK, Pen, RULE, SLATE, round};
use crate::format::{number, percent};

const WIDTH: f64 = 690.0;
const PANEL: (f64, f64) = (220.0, 150.0);
const GAP: f64 = 14.0;
const LEFT: f64 = 34.0;
const HEAD: f64 = 34.0;

/// The worm of one age group.
#[derive(Debug, Clone, PartialEq)]
pub struct WormGroup {
    /// Its name, such as "9 to 11 y".
    pub name: String,
    /// Expected z, deviation, half width of the band.
    pub points: Vec<(f64, f64, f64)>,
    /// Share of the points outside the band, 0 to 1.
    pub outside: f64,
}

/// What worm plots show.
#[derive(Debug, Clone, PartialEq)]
pub struct WormPlot {
    /// Groups by rising age.
    pub groups: Vec<WormGroup>,
    /// Level of the band, a fraction.
    pub level: f64,
}

/// Draws one panel a group, all on one scale.
pub fn figure_worm(plot: &WormPlot) -> Figure {
    let mut pen = Pen::new();
    let points = || plot.groups.iter().flat_map(|g| g.points.iter());
    let reach = points().map(|p| p.1.abs()).fold(0.5, f64::max).min(3.0);
    let wide = points().map(|p| p.0.abs()).fold(1.0, f64::max);
    let across = plot.groups.len().clamp(1, 3);
    for (at, group) in plot.groups.iter().enumerate() {
        let x0 = LEFT + (at % across) as f64 * (PANEL.0 - 10.0 + GAP);
        let y0 = HEAD + (at / across) as f64 * (PANEL.1 + 44.0);
        panel(
            &mut pen,
            group,
            (x0, y0),
            (wide, reach),
            at.is_multiple_of(across),
        );
    }
    let rows = plot.groups.len().div_ceil(across).max(1) as f64;
    pen.text(
        (0.0, 12.0),
        12.0,
        Anchor::Start,
        INK,
        "z found less z expected, by z expected",
    );
    let groups: Vec<String> = plot
        .groups
        .iter()
        .map(|g| format!("{}: {} outside the band", g.name, percent(g.outside)))
        .collect();
    let alt = format!(
        "Worm plots, point-wise band {:.0} %: {}.",
        plot.level * 100.0,
        groups.join("; ")
    );
    pen.finish(WIDTH, HEAD + rows * (PANEL.1 + 44.0), "Worm plots", alt)
}

fn panel(
    pen: &mut Pen,
    group: &WormGroup,
    (x0, y0): (f64, f64),
    (wide, reach): (f64, f64),
    first: bool,
) {
    let (w, h) = (PANEL.0 - 10.0, PANEL.1);
    let x = Axis::new([-wide, wide], x0, x0 + w, 4.0);
    let y = Axis::new([-reach, reach], y0 + h, y0, 4.0);
    let inside = |v: f64| v.clamp(-reach * 1.05, reach * 1.05);
    let edge = |up: f64| {
        group
            .points
            .iter()
            .map(|p| format!("{} {}", round(x.at(p.0)), round(y.at(inside(up * p.2)))))
            .collect::<Vec<_>>()
    };
    let mut outline = edge(1.0);
    outline.extend(edge(-1.0).into_iter().rev());
    if outline.len() > 3 {
        pen.path(
            "band",
            &format!("M{} Z", outline.join(" L")),
            BAND,
            "none",
            0.0,
        );
    }
    for tick in y.ticks() {
        let at = y.at(tick);
        pen.line(
            (x0, at),
            (x0 + w, at),
            if tick.abs() < 1e-9 { SLATE } else { RULE },
            0.8,
        );
        if first {
            pen.text(
                (x0 - 5.0, at + 4.0),
                10.0,
                Anchor::End,
                SLATE,
                &number(tick, y.decimals()),
            );
        }
    }
    for tick in x.ticks() {
        let at = x.at(tick);
        pen.text(
            (at, y0 + h + 14.0),
            10.0,
            Anchor::Middle,
            SLATE,
            &number(tick, x.decimals()),
        );
    }
    for &(expected, deviation, half) in &group.points {
        let at = (x.at(expected), y.at(inside(deviation)));
        if deviation.abs() > half {
            pen.circle("outside", at, 2.4, CLAY, 0.6);
        } else {
            pen.circle("inside", at, 1.6, INK, 0.0);
        }
    }
    let head = format!("{}: {} outside", group.name, percent(group.outside));
    pen.text((x0, y0 - 6.0), 11.0, Anchor::Start, INK, &head);
}
