//! Change of each athlete with its interval, against the band that does not matter.
//! Must keep the order it is given: it is not a ranking. Decided is a diamond, else a ring.

use super::axis::Axis;
use super::kit::{Anchor, BAND, INK, Pen, RULE, SLATE};
use super::measure::{width, wrap};
use super::{Figure, marks};
use crate::format::{count, number, signed, signed_amount, with_unit};
use crate::model::{AthleteLine, Bound, ChangeLine, DayReport, SmallestWorthwhile};

/// Most rows that one change figure holds, so that it fits on one page.
pub const CHANGE_ROWS: usize = 40;

/// Width of the figure, px; the text width of a page at 96 px an inch.
const WIDTH: f64 = 690.0;
const TOP: f64 = 6.0;
/// Length of the open arrow of a bound, px.
const ARROW: f64 = 30.0;

struct Row<'a> {
    name: &'a str,
    change: &'a ChangeLine,
}

struct Look {
    height: f64,
    font: f64,
    names: Vec<Vec<String>>,
    left: f64,
    right: f64,
}

/// Draws the change of every athlete who has an earlier result, 40 rows to a figure.
///
/// Rows keep the report's order. Changes in another unit than the smallest worthwhile change are
/// left out and counted in the text alternative. Empty when nobody has an earlier result.
pub fn figure_change(report: &DayReport) -> Vec<Figure> {
    figure_change_in_parts(report, CHANGE_ROWS)
}

/// Draws the same as [`figure_change`] in parts of at most `most` rows, all on one scale.
pub fn figure_change_in_parts(report: &DayReport, most: usize) -> Vec<Figure> {
    let mut band = report.smallest_worthwhile.clone();
    if !band.value.is_finite() {
        band.value = 0.0;
    }
    let band = &band;
    let (rows, left_out): (Vec<Row<'_>>, Vec<Row<'_>>) = report
        .athletes
        .iter()
        .filter_map(row)
        .partition(|row| row.change.unit == band.unit && row.change.difference.is_finite());
    let parts = rows.len().div_ceil(most.max(1)).max(1);
    rows.chunks(rows.len().div_ceil(parts).max(1))
        .map(|part| draw(part, &rows, band, left_out.len()))
        .collect()
}

fn row(line: &AthleteLine) -> Option<Row<'_>> {
    let change = line.change.as_ref()?;
    Some(Row {
        name: &line.name,
        change,
    })
}

fn draw(rows: &[Row<'_>], all: &[Row<'_>], band: &SmallestWorthwhile, left_out: usize) -> Figure {
    let look = look(rows, all);
    let values = all
        .iter()
        .flat_map(|r| [Some(r.change.difference), r.change.low90, r.change.high90])
        .flatten()
        .chain([band.value, -band.value, 0.0]);
    let axis = Axis::new(values, look.left, look.right, 6.0);
    let bottom = TOP + look.height * rows.len() as f64;
    let mut pen = Pen::new();
    ground(&mut pen, &axis, band, bottom);
    for (i, row) in rows.iter().enumerate() {
        let y = TOP + look.height * (i as f64 + 0.5);
        if rows.len() > 12 {
            pen.dashed((look.left, y), (look.right, y), RULE, 0.5, "1 3");
        }
        names(&mut pen, &look.names[i], y, look.font);
        mark(&mut pen, &axis, row.change, y);
        pen.text(
            (WIDTH, y + 4.0),
            11.0,
            Anchor::End,
            SLATE,
            &value(row.change),
        );
    }
    for tick in axis.ticks() {
        let text = with_unit(signed(tick, axis.decimals()), &band.unit);
        pen.text(
            (axis.at(tick), bottom + 15.0),
            10.0,
            Anchor::Middle,
            SLATE,
            &text,
        );
    }
    let end = legend(&mut pen, rows, band, bottom + 34.0);
    pen.finish(
        WIDTH,
        end,
        "Change of each athlete",
        describe(rows, band, left_out),
    )
}

fn look(rows: &[Row<'_>], all: &[Row<'_>]) -> Look {
    let roomy = (374.0 / rows.len().max(1) as f64).clamp(17.0, 27.0);
    let font = if roomy >= 20.0 { 12.0 } else { 11.0 };
    let widest = all.iter().map(|r| width(r.name, font)).fold(70.0, f64::max);
    let column = widest.min(190.0);
    let names: Vec<_> = rows
        .iter()
        .map(|r| {
            let one = wrap(r.name, font, column, 1);
            if one[0].ends_with('…') {
                wrap(r.name, 9.5, 190.0, 2)
            } else {
                one
            }
        })
        .collect();
    let two = names.iter().any(|n| n.len() > 1);
    let values = all
        .iter()
        .map(|r| width(&value(r.change), 11.0))
        .fold(40.0, f64::max);
    Look {
        height: if two { roomy.max(22.5) } else { roomy },
        font,
        names,
        left: column + 16.0,
        right: WIDTH - values - 16.0,
    }
}

fn ground(pen: &mut Pen, axis: &Axis, band: &SmallestWorthwhile, bottom: f64) {
    let (low, high) = (axis.at(-band.value), axis.at(band.value));
    pen.rect(low, TOP, high - low, bottom - TOP, BAND);
    for x in [low, high] {
        pen.dashed((x, TOP), (x, bottom), SLATE, 0.5, "2 2");
    }
    pen.line((axis.at(0.0), TOP), (axis.at(0.0), bottom + 4.0), INK, 1.0);
}

fn names(pen: &mut Pen, lines: &[String], y: f64, font: f64) {
    match lines {
        [one] => pen.text((0.0, y + 4.0), font, Anchor::Start, INK, one),
        lines => {
            for (i, line) in lines.iter().enumerate() {
                pen.text(
                    (0.0, y - 2.0 + 10.5 * i as f64),
                    9.5,
                    Anchor::Start,
                    INK,
                    line,
                );
            }
        }
    }
}

fn mark(pen: &mut Pen, axis: &Axis, change: &ChangeLine, y: f64) {
    let at = (axis.at(change.difference), y);
    let (thick, thin) = (2.4, 1.2);
    if let (Some(low), Some(high), Bound::Exact) = (change.low90, change.high90, change.bound) {
        let width = if change.decided { thick } else { thin };
        pen.line((axis.at(low), y), (axis.at(high), y), INK, width);
    }
    match change.bound {
        Bound::AtLeast => marks::arrow(pen, at, (1.0, 0.0), ARROW),
        Bound::AtMost => marks::arrow(pen, at, (-1.0, 0.0), ARROW),
        Bound::Exact if change.decided => marks::diamond(pen, at, 6.0),
        Bound::Exact => marks::ring(pen, at, 4.2),
    }
}

fn value(change: &ChangeLine) -> String {
    let text = signed_amount(change.difference, &change.unit);
    match change.bound {
        Bound::Exact => text,
        Bound::AtLeast => format!("at least {text}"),
        Bound::AtMost => format!("at most {text}"),
    }
}

/// Explains the shapes that occur, and returns where the figure ends, px.
fn legend(pen: &mut Pen, rows: &[Row<'_>], band: &SmallestWorthwhile, top: f64) -> f64 {
    let exact = |decided: bool| {
        rows.iter()
            .any(|r| r.change.bound == Bound::Exact && r.change.decided == decided)
    };
    let bounds = rows.iter().any(|r| r.change.bound != Bound::Exact);
    let size = 10.0;
    let (mut x, mut y) = (0.0, top);
    let mut entry = |pen: &mut Pen, room: f64, text: &str, shape: &dyn Fn(&mut Pen, f64, f64)| {
        let needed = room + width(text, size) * 1.03;
        if x > 0.0 && x + needed > WIDTH {
            (x, y) = (0.0, y + 17.0);
        }
        shape(pen, x, y);
        pen.text((x + room, y + 3.5), size, Anchor::Start, SLATE, text);
        x += needed + 18.0;
    };
    if exact(true) {
        entry(pen, 16.0, "more than chance explains", &|pen, x, y| {
            marks::diamond(pen, (x + 6.0, y), 5.5);
        });
    }
    if exact(false) {
        entry(pen, 16.0, "cannot be told from chance", &|pen, x, y| {
            marks::ring(pen, (x + 5.0, y), 4.2);
        });
    }
    if bounds {
        entry(
            pen,
            36.0,
            "only a bound: the run was cut short",
            &|pen, x, y| {
                marks::arrow(pen, (x + 1.0, y), (1.0, 0.0), ARROW);
            },
        );
    }
    if rows.iter().any(|r| r.change.low90.is_some()) {
        entry(pen, 26.0, "90\u{202F}% interval", &|pen, x, y| {
            pen.line((x, y), (x + 20.0, y), INK, 1.2);
        });
    }
    entry(pen, 20.0, &band_words(band), &|pen, x, y| {
        pen.rect(x, y - 6.0, 14.0, 12.0, BAND);
        for edge in [x, x + 14.0] {
            pen.dashed((edge, y - 6.0), (edge, y + 6.0), SLATE, 0.5, "2 2");
        }
    });
    y + 12.0
}

fn band_words(band: &SmallestWorthwhile) -> String {
    let decimals = crate::format::decimals(&band.unit);
    format!(
        "smaller than matters: ±{}",
        with_unit(number(band.value, decimals), &band.unit)
    )
}

fn describe(rows: &[Row<'_>], band: &SmallestWorthwhile, left_out: usize) -> String {
    let of = |f: &dyn Fn(&ChangeLine) -> bool| rows.iter().filter(|r| f(r.change)).count();
    let up = of(&|c| c.bound == Bound::Exact && c.decided && c.difference > 0.0);
    let down = of(&|c| c.bound == Bound::Exact && c.decided && c.difference < 0.0);
    let bounds = of(&|c| c.bound != Bound::Exact);
    let rest = rows.len() - up - down - bounds;
    let mut text = format!(
        "Change of each athlete with its 90\u{202F}% interval, n = {}. {up} up and {down} down by \
         more than chance explains, {rest} cannot be told from chance, {bounds} known only as a \
         bound. Band: {}. ",
        rows.len(),
        band_words(band)
    );
    if left_out > 0 {
        text.push_str(&format!(
            "{} not drawn: measured in another unit. ",
            count(left_out, "change", "changes")
        ));
    }
    let list: Vec<String> = rows
        .iter()
        .map(|r| format!("{} {}", r.name, value(r.change)))
        .collect();
    text.push_str(&list.join("; "));
    text.push('.');
    text
}
