//! Cue by cue: how early or late each was heard, which were not, and where playback broke.
//! Must not grow with the number of cues, lose one that was not heard, or lose the worst.

use super::Figure;
use super::axis::Axis;
use super::kit::{Anchor, CLAY, INK, PAPER, Pen, RULE, SLATE, round};
use super::measure::width;
use crate::format::{count, number, signed, with_unit};
use crate::model::{SoundCue, SoundRecording, SoundSpan};
use crate::wording::clock;

/// Stretches into which a long recording is divided: each is drawn with at most one mark for its
/// cues heard and one for those not heard, so a figure has at most twice as many marks.
pub const SOUND_STRETCHES: usize = 200;

const WIDTH: f64 = 690.0;
const RIGHT: f64 = 676.0;
const TOP: f64 = 16.0;
const BOTTOM: f64 = 116.0;
/// Height of the lane of cues that were not heard, px.
const LANE: f64 = 134.0;
const DOT: f64 = 1.7;
const RING: f64 = 3.2;
/// The error axis reaches at least this far, ms, so that a good recording does not look bad.
const LEAST_MS: f64 = 5.0;
/// Narrowest band, px: a jump takes no time in the recording.
const NARROWEST: f64 = 4.0;
/// Most bands drawn; the table of facts counts the rest.
const BANDS: usize = 60;
/// Distance between the lines of a band's hatching, px.
const HATCH: f64 = 5.0;

/// Draws the timing error of the cues over the recording; nothing when no cue was heard.
///
/// A dot is a cue heard, an open ring one that was not, a stadium several of those side by side, a
/// hatched band a place where playback broke. With more cues than there are stretches, the largest
/// error of each stretch is drawn.
pub fn figure_sound(one: &SoundRecording) -> Option<Figure> {
    let mut cues: Vec<&SoundCue> = one.cues.iter().filter(|c| c.at_s.is_finite()).collect();
    cues.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    let heard: Vec<(f64, f64)> = cues
        .iter()
        .filter_map(|c| Some((c.at_s, c.error_ms.filter(|e| e.is_finite())?)))
        .collect();
    let worst = *heard
        .iter()
        .max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))?;
    let missed = cues.len() - heard.len();
    let bands: Vec<&SoundSpan> = one
        .gaps
        .iter()
        .filter(|g| g.from_s.is_finite() && g.to_s.is_finite())
        .take(BANDS)
        .collect();
    let errors = heard.iter().map(|h| h.1).chain([LEAST_MS, -LEAST_MS]);
    let y_axis = Axis::new(errors, BOTTOM, TOP, 4.0);
    let ticks: Vec<(f64, String)> = y_axis
        .ticks()
        .into_iter()
        .map(|t| (t, with_unit(signed(t, y_axis.decimals()), "ms")))
        .collect();
    let names = ticks
        .iter()
        .map(|(_, text)| text.as_str())
        .chain(["not heard"]);
    let left = names.map(|t| width(t, 10.0)).fold(20.0, f64::max) + 16.0;
    let times = cues.iter().map(|c| c.at_s);
    let times = times.chain(bands.iter().flat_map(|b| [b.from_s, b.to_s]));
    let x_axis = Axis::new(times, left, RIGHT, 8.0);
    let mut pen = Pen::new();
    for band in &bands {
        hatched(&mut pen, (x_axis.at(band.from_s), x_axis.at(band.to_s)));
    }
    for (tick, text) in &ticks {
        let y = y_axis.at(*tick);
        let (colour, wide) = if tick.abs() < 1e-9 {
            (SLATE, 0.9)
        } else {
            (RULE, 0.6)
        };
        pen.line((left - 6.0, y), (RIGHT, y), colour, wide);
        pen.text((left - 10.0, y + 3.5), 10.0, Anchor::End, SLATE, text);
    }
    let drawn = thinned(&heard, &x_axis);
    for (at, error) in &drawn {
        pen.circle(
            "mark-heard",
            (x_axis.at(*at), y_axis.at(*error)),
            DOT,
            INK,
            0.0,
        );
    }
    if missed > 0 {
        pen.text(
            (left - 10.0, LANE + 3.5),
            10.0,
            Anchor::End,
            SLATE,
            "not heard",
        );
        for (from, to) in runs(&cues, &x_axis) {
            open(&mut pen, (x_axis.at(from), x_axis.at(to)));
        }
    }
    largest(&mut pen, worst, &x_axis, &y_axis, left);
    let mut y = if missed == 0 { BOTTOM } else { LANE };
    y += 10.0;
    pen.line((left - 6.0, y), (RIGHT, y), SLATE, 0.8);
    for minute in minutes(&x_axis) {
        let x = x_axis.at(minute);
        pen.line((x, y), (x, y + 4.0), SLATE, 0.8);
        pen.text((x, y + 15.0), 10.0, Anchor::Middle, SLATE, &clock(minute));
    }
    y += 32.0;
    legend(
        &mut pen,
        y,
        drawn.len() < heard.len(),
        missed > 0,
        !bands.is_empty(),
    );
    let alt = describe(one, &heard, missed, worst);
    Some(pen.finish(WIDTH, y + 8.0, "Timing of the cues", alt))
}

/// Returns which stretch a time lies in.
fn stretch(at: f64, axis: &Axis) -> usize {
    let (left, right) = axis.ends();
    let part = (axis.at(at) - left) / (right - left) * SOUND_STRETCHES as f64;
    (part.max(0.0) as usize).min(SOUND_STRETCHES - 1)
}

/// Returns the cues to draw: all, or the one with the largest error of each stretch.
fn thinned(heard: &[(f64, f64)], axis: &Axis) -> Vec<(f64, f64)> {
    if heard.len() <= SOUND_STRETCHES {
        return heard.to_vec();
    }
    let mut kept: Vec<Option<(f64, f64)>> = vec![None; SOUND_STRETCHES];
    for one in heard {
        let place = &mut kept[stretch(one.0, axis)];
        if place.is_none_or(|other| one.1.abs() > other.1.abs()) {
            *place = Some(*one);
        }
    }
    kept.into_iter().flatten().collect()
}

/// Returns from where to where cues were not heard: those with none heard between them together,
/// and with more such runs than stretches, those of one stretch too.
fn runs(cues: &[&SoundCue], axis: &Axis) -> Vec<(f64, f64)> {
    let mut runs: Vec<(f64, f64)> = Vec::new();
    let mut going_on = false;
    for cue in cues {
        let missed = !was_heard(cue);
        match runs.last_mut().filter(|_| going_on && missed) {
            Some(last) => last.1 = cue.at_s,
            None if missed => runs.push((cue.at_s, cue.at_s)),
            None => {}
        }
        going_on = missed;
    }
    if runs.len() <= SOUND_STRETCHES {
        return runs;
    }
    let mut merged: Vec<(f64, f64)> = Vec::new();
    for run in runs {
        let same = |last: &&mut (f64, f64)| stretch(last.0, axis) == stretch(run.0, axis);
        match merged.last_mut().filter(same) {
            Some(last) => last.1 = run.1,
            None => merged.push(run),
        }
    }
    merged
}

fn was_heard(cue: &SoundCue) -> bool {
    cue.error_ms.is_some_and(f64::is_finite)
}

fn open(pen: &mut Pen, (from, to): (f64, f64)) {
    if to - from < 0.5 {
        pen.circle("mark-missed", ((from + to) / 2.0, LANE), RING, PAPER, 1.3);
        return;
    }
    let (r, above, below) = (round(RING), round(LANE - RING), round(LANE + RING));
    let (from, to) = (round(from), round(to));
    let d = format!(
        "M{from} {above} L{to} {above} A{r} {r} 0 0 1 {to} {below} L{from} {below} A{r} {r} 0 0 1 \
         {from} {above} Z"
    );
    pen.path("mark-missed", &d, PAPER, INK, 1.3);
}

/// Draws a band: two edges, and lines from lower left to upper right between them.
fn hatched(pen: &mut Pen, (from, to): (f64, f64)) {
    let middle = (from + to) / 2.0;
    let half = ((to - from).abs() / 2.0).max(NARROWEST / 2.0);
    band(
        pen,
        (middle - half, TOP - 4.0),
        (middle + half, BOTTOM + 4.0),
    );
}

fn band(pen: &mut Pen, (left, top): (f64, f64), (right, bottom): (f64, f64)) {
    let mut d = format!(
        "M{0} {1} L{0} {2} M{3} {1} L{3} {2}",
        round(left),
        round(top),
        round(bottom),
        round(right)
    );
    // Each line keeps x + y constant; it enters and leaves where it meets an edge of the band.
    let mut sum = left + top + HATCH;
    while sum < right + bottom {
        let (x1, x2) = ((sum - bottom).max(left), (sum - top).min(right));
        d.push_str(&format!(
            " M{} {} L{} {}",
            round(x1),
            round(sum - x1),
            round(x2),
            round(sum - x2)
        ));
        sum += HATCH;
    }
    pen.path("band-gap", &d, "none", SLATE, 0.7);
}

fn largest(pen: &mut Pen, (at, error): (f64, f64), x_axis: &Axis, y_axis: &Axis, left: f64) {
    let text = format!("largest {}", with_unit(signed(error, 1), "ms"));
    let (x, y) = (x_axis.at(at), y_axis.at(error));
    pen.circle("mark-largest", (x, y), DOT + 2.6, "none", 1.2);
    let half = width(&text, 10.0) / 2.0;
    let middle = x.clamp(left + half, RIGHT - half);
    let y = if error >= 0.0 { y + 17.0 } else { y - 9.0 };
    pen.text((middle, y), 10.0, Anchor::Middle, CLAY, &text);
}

/// Returns round times inside the axis: multiples of a step of seconds or minutes.
fn minutes(axis: &Axis) -> Vec<f64> {
    const STEPS: [f64; 8] = [5.0, 10.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1_800.0];
    const MOST: f64 = 12.0;
    let (low, high) = axis.domain();
    let fits = |step: &f64| (high - low) / step <= MOST;
    let step = STEPS.into_iter().find(fits).unwrap_or((high - low) / MOST);
    let first = (low / step).ceil();
    let times = (0..=MOST as u32).map(|n| (first + f64::from(n)) * step);
    times.filter(|t| *t >= 0.0 && *t <= high).collect()
}

fn legend(pen: &mut Pen, y: f64, thinned: bool, missed: bool, broke: bool) {
    let mut x = 6.0;
    let mut say = |pen: &mut Pen, text: &str| {
        pen.text((x + 8.0, y + 3.5), 10.0, Anchor::Start, SLATE, text);
        x += width(text, 10.0) + 30.0;
        x
    };
    pen.circle("mark-heard", (6.0, y), DOT, INK, 0.0);
    let mut at = say(
        pen,
        if thinned {
            "cue heard: the largest error of each stretch; above zero is late"
        } else {
            "cue heard; above zero is late"
        },
    );
    if missed {
        pen.circle("mark-missed", (at, y), RING, PAPER, 1.3);
        at = say(pen, "cue not heard");
    }
    if broke {
        band(pen, (at - 5.0, y - 5.0), (at + 5.0, y + 5.0));
        say(pen, "playback broke");
    }
}

fn describe(
    one: &SoundRecording,
    heard: &[(f64, f64)],
    missed: usize,
    worst: (f64, f64),
) -> String {
    let within = heard.iter().filter(|h| h.1.abs() <= LEAST_MS).count();
    let gaps = match one.gaps.len() {
        0 => "Playback did not break".to_owned(),
        n => format!(
            "Playback broke in {}: {}",
            count(n, "place", "places"),
            one.gaps
                .iter()
                .take(5)
                .map(|g| g.words.clone())
                .collect::<Vec<_>>()
                .join("; ")
        ),
    };
    format!(
        "Timing error of the cues over the recording {}, n = {} heard. {} within {}, the largest \
         error is {} at {}. {} not heard. {gaps}.",
        one.file_name,
        number(heard.len() as f64, 0),
        number(within as f64, 0),
        with_unit(number(LEAST_MS, 0), "ms"),
        with_unit(signed(worst.1, 1), "ms"),
        clock(worst.0),
        count(missed, "cue was", "cues were"),
    )
}
