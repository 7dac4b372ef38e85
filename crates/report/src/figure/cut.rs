//! Everybody's result on a line with the cut, the stretch that leaves it open, and each one's chance.
//! Must not say pass or fail of a person; the chance of the true level is written out.

use super::Figure;
use super::axis::Axis;
use super::kit::{Anchor, BAND, CLAY, INK, PAPER, Pen, RULE, SLATE, round};
use super::marks;
use super::measure::{width, wrap};
use crate::format::{amount, number, percent, with_unit};

/// Most people of one figure; the table holds the others.
pub const CUT_ROWS: usize = 60;

const WIDTH: f64 = 690.0;
const RIGHT: f64 = 590.0;
const TOP: f64 = 46.0;
const ROW: f64 = 19.0;
const DOT: f64 = 4.0;
const MOST_NAME: f64 = 190.0;

/// One person.
#[derive(Debug, Clone, PartialEq)]
pub struct CutMark {
    /// The name called.
    pub name: String,
    /// The result, in the unit of the figure.
    pub result: f64,
    /// Whether it is known only as "at least".
    pub bound: bool,
    /// Chance that the true level is at the cut or above, 0 to 1; nothing where it is not known.
    pub chance: Option<f64>,
}

/// What the figure shows.
#[derive(Debug, Clone, PartialEq)]
pub struct CutPlot {
    /// Unit of results.
    pub unit: String,
    /// The cut.
    pub cut: f64,
    /// Its label, where it has one.
    pub label: Option<String>,
    /// The risk of the band, as a share.
    pub risk: f64,
    /// Results up to this one are below the cut with at most the risk.
    pub fail_to: Option<f64>,
    /// Results from this one on are at the cut or above with at most the risk.
    pub pass_from: Option<f64>,
    /// The people; drawn highest result first.
    pub people: Vec<CutMark>,
}

/// Draws one row a person, at most [`CUT_ROWS`]; nothing without people or with a cut that is no number.
///
/// A bar beside the chance is filled as far as the chance goes; a ring stands for a chance that the band leaves
/// open, a dot for one that it does not, an arrow for "at least".
pub fn figure_cut(plot: &CutPlot) -> Option<Figure> {
    let mut people: Vec<&CutMark> = plot
        .people
        .iter()
        .filter(|p| p.result.is_finite())
        .collect();
    if people.is_empty() || !plot.cut.is_finite() {
        return None;
    }
    people.sort_by(|a, b| b.result.total_cmp(&a.result).then(a.name.cmp(&b.name)));
    let all = people.len();
    people.truncate(CUT_ROWS);
    let names: Vec<String> = people
        .iter()
        .map(|p| wrap(&p.name, 10.0, MOST_NAME, 1).concat())
        .collect();
    let left = names.iter().map(|n| width(n, 10.0)).fold(60.0, f64::max) + 16.0;
    let values = people.iter().map(|p| p.result).chain(
        [Some(plot.cut), plot.fail_to, plot.pass_from]
            .into_iter()
            .flatten(),
    );
    let axis = Axis::new(values, left + 8.0, RIGHT - 22.0, 6.0);
    let bottom = TOP + ROW * people.len() as f64;
    let mut pen = Pen::new();
    ground(&mut pen, &axis, plot, left, bottom);
    for ((person, name), at) in people.iter().zip(&names).zip(0..) {
        let y = TOP + ROW * (f64::from(at) + 0.5);
        row(&mut pen, &axis, plot, person, name, (left, y));
    }
    for tick in axis.ticks() {
        let x = axis.at(tick);
        pen.line((x, bottom), (x, bottom + 4.0), SLATE, 0.8);
        let text = with_unit(number(tick, axis.decimals()), &plot.unit);
        pen.text((x, bottom + 16.0), 10.0, Anchor::Middle, SLATE, &text);
    }
    legend(&mut pen, plot, bottom + 38.0);
    Some(pen.finish(
        WIDTH,
        bottom + 50.0,
        "Results at the cut",
        describe(plot, &people, all),
    ))
}

/// The open stretch, the cut and its flag, the axis.
fn ground(pen: &mut Pen, axis: &Axis, plot: &CutPlot, left: f64, bottom: f64) {
    let from = plot.fail_to.map_or(left, |v| axis.at(v));
    let to = plot.pass_from.map_or(RIGHT, |v| axis.at(v));
    if to > from {
        pen.rect(from, TOP - 4.0, to - from, bottom - TOP + 4.0, BAND);
    }
    pen.line((left, bottom), (RIGHT, bottom), SLATE, 0.8);
    let x = axis.at(plot.cut);
    pen.line((x, TOP - 10.0), (x, bottom), CLAY, 1.6);
    marks::diamond(pen, (x, TOP - 14.0), 5.0);
    let label = plot
        .label
        .as_ref()
        .map_or_else(String::new, |l| format!(" ({l})"));
    let text = format!("cut {}{label}", amount(plot.cut, &plot.unit));
    let half = width(&text, 11.0) / 2.0;
    let middle = x.clamp(left + half, RIGHT - half);
    pen.text((middle, TOP - 26.0), 11.0, Anchor::Middle, INK, &text);
    pen.text(
        (WIDTH - 8.0, TOP - 26.0),
        10.0,
        Anchor::End,
        SLATE,
        "chance",
    );
}

fn row(
    pen: &mut Pen,
    axis: &Axis,
    plot: &CutPlot,
    person: &CutMark,
    name: &str,
    (left, y): (f64, f64),
) {
    pen.text((left - 8.0, y + 3.5), 10.0, Anchor::End, INK, name);
    let x = axis.at(person.result);
    pen.line((left, y), (RIGHT, y), RULE, 0.4);
    let open = person
        .chance
        .is_none_or(|p| p > plot.risk && p < 1.0 - plot.risk);
    if person.bound {
        marks::arrow(pen, (x, y), (1.0, 0.0), 16.0);
    } else if open {
        marks::ring(pen, (x, y), DOT);
    } else {
        marks::dot(pen, (x, y), DOT);
    }
    let (from, wide) = (RIGHT + 8.0, 44.0);
    match person.chance.filter(|p| p.is_finite()) {
        Some(chance) => {
            let filled = wide * chance.clamp(0.0, 1.0);
            let (top, low) = (y - 4.0, y + 4.0);
            let d = format!(
                "M{a} {t} L{b} {t} L{b} {u} L{a} {u} Z",
                a = round(from),
                b = round(from + wide),
                t = round(top),
                u = round(low)
            );
            pen.path("chance", &d, PAPER, SLATE, 0.8);
            pen.rect(from, top, filled, 8.0, SLATE);
            pen.text(
                (WIDTH - 8.0, y + 3.5),
                10.0,
                Anchor::End,
                INK,
                &percent(chance),
            );
        }
        None => pen.text(
            (WIDTH - 8.0, y + 3.5),
            10.0,
            Anchor::End,
            SLATE,
            "not known",
        ),
    }
}

fn legend(pen: &mut Pen, plot: &CutPlot, y: f64) {
    let mut x = 14.0;
    let mut say = |pen: &mut Pen, text: &str| {
        pen.text((x + 12.0, y + 3.5), 10.0, Anchor::Start, SLATE, text);
        x += width(text, 10.0) + 36.0;
        x
    };
    marks::dot(pen, (14.0, y), DOT);
    let at = say(pen, &format!("decided at {}", percent(plot.risk)));
    marks::ring(pen, (at, y), DOT);
    let at = say(pen, "open");
    marks::arrow(pen, (at - 8.0, y), (1.0, 0.0), 16.0);
    let at = say(pen, "at least");
    pen.rect(at - 6.0, y - 5.0, 12.0, 10.0, BAND);
    let risk = percent(plot.risk);
    say(pen, &format!("one result alone leaves it open at {risk}"));
    pen.text(
        (WIDTH - 8.0, y + 3.5),
        10.0,
        Anchor::End,
        SLATE,
        "chance: true level at the cut or above",
    );
}

fn describe(plot: &CutPlot, people: &[&CutMark], all: usize) -> String {
    let each: Vec<String> = people
        .iter()
        .map(|p| {
            let least = if p.bound { "at least " } else { "" };
            let chance = p.chance.map_or_else(|| "not known".to_owned(), percent);
            format!(
                "{} {least}{}, chance {chance}",
                p.name,
                amount(p.result, &plot.unit)
            )
        })
        .collect();
    let more = match all - people.len() {
        0 => String::new(),
        n => format!(" {n} more are in the table."),
    };
    format!(
        "Results at a cut of {}, with the chance that the true level is at the cut or above. {}.{more}",
        amount(plot.cut, &plot.unit),
        each.join("; ")
    )
}
