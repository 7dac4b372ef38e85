//! The shapes that carry meaning: diamond, ring, dot, open arrow, capped dot.
//! Must not change meaning between figures: a diamond is "decided" or "now", an arrow "at least".

use super::kit::{CLAY, INK, PAPER, Pen, round};

/// Draws a filled diamond: decided, or today.
pub fn diamond(pen: &mut Pen, (x, y): (f64, f64), r: f64) {
    let d = format!(
        "M{} {} L{} {} L{} {} L{} {} Z",
        round(x - r),
        round(y),
        round(x),
        round(y - r),
        round(x + r),
        round(y),
        round(x),
        round(y + r)
    );
    pen.path("mark-decided", &d, CLAY, INK, 0.6);
}

/// Draws an open ring: undecided.
pub fn ring(pen: &mut Pen, at: (f64, f64), r: f64) {
    pen.circle("mark-open", at, r, PAPER, 1.6);
}

/// Draws a filled dot: a score.
pub fn dot(pen: &mut Pen, at: (f64, f64), r: f64) {
    pen.circle("mark-score", at, r, INK, 0.6);
}

/// Draws a ring with a bar on its right: the ladder ended first.
pub fn capped(pen: &mut Pen, (x, y): (f64, f64), r: f64) {
    pen.circle("mark-ceiling", (x, y), r - 0.5, PAPER, 1.4);
    let bar = x + r + 1.5;
    pen.line((bar, y - r - 1.0), (bar, y + r + 1.0), INK, 1.6);
}

/// Draws an open arrow from a point along a unit direction: a bound.
pub fn arrow(pen: &mut Pen, (x, y): (f64, f64), (dx, dy): (f64, f64), length: f64) {
    let (head, half) = (7.0_f64.min(length), 4.2);
    let base = (x + dx * (length - head), y + dy * (length - head));
    let tip = (x + dx * length, y + dy * length);
    pen.line(
        (x - dy * half, y + dx * half),
        (x + dy * half, y - dx * half),
        INK,
        1.4,
    );
    pen.line((x, y), base, INK, 1.4);
    let d = format!(
        "M{} {} L{} {} L{} {} Z",
        round(base.0 - dy * half),
        round(base.1 + dx * half),
        round(tip.0),
        round(tip.1),
        round(base.0 + dy * half),
        round(base.1 - dx * half)
    );
    pen.path("mark-bound", &d, PAPER, INK, 1.4);
}
