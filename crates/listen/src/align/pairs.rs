//! One-to-one pairs along a line, and the slow count over the whole plane of lines.
//! Does not fit anything.

use crate::align::Reach;

/// Returns pairs (track index, heard index) no further than `slack` seconds off the line, each
/// heard time used once: of two cues that want the same one, the nearer has it.
pub(crate) fn pair(
    track: &[f64],
    heard: &[f64],
    a: f64,
    b: f64,
    slack: f64,
) -> Vec<(usize, usize)> {
    let mut pairs: Vec<(usize, usize)> = Vec::with_capacity(track.len().min(heard.len()));
    let mut last_off = 0.0;
    let mut at =
        heard.partition_point(|h| *h < a + b * track.first().copied().unwrap_or(0.0) - slack);
    for (i, t) in track.iter().enumerate() {
        let want = a + b * t;
        while at < heard.len() && heard[at] < want - slack {
            at += 1;
        }
        let mut best: Option<(usize, f64)> = None;
        let mut j = at;
        while j < heard.len() && heard[j] <= want + slack {
            let off = (heard[j] - want).abs();
            if best.is_none_or(|b| off < b.1) {
                best = Some((j, off));
            }
            j += 1;
        }
        if at >= heard.len() {
            break;
        }
        if let Some((j, off)) = best {
            match pairs.last() {
                Some(last) if last.1 == j => {
                    if off < last_off {
                        pairs.pop();
                        pairs.push((i, j));
                        last_off = off;
                    }
                }
                Some(last) if last.1 > j => {}
                _ => {
                    pairs.push((i, j));
                    last_off = off;
                }
            }
        }
    }
    pairs
}

/// Largest number of time pairs times rates that the slow count looks at.
const SLOW_LIMIT: f64 = 3e7;

/// Counts, at every rate on a grid, how many pairs of times share an offset, and returns the
/// (offset, rate) with the most; nothing when the lists are too long for that.
///
/// The grid is fine enough that a pair moves by at most one slack over half the track.
pub(crate) fn count_all(track: &[f64], heard: &[f64], reach: Reach) -> Option<(f64, f64)> {
    let span = (track.last()? - track.first()?).min(heard.last()? - heard.first()?);
    let steps = (reach.rate * span / (2.0 * reach.slack)).ceil().max(1.0);
    let rates = 2.0 * steps + 1.0;
    if rates * track.len() as f64 * heard.len() as f64 > SLOW_LIMIT {
        return None;
    }
    let mut best = (0usize, (0.0, 1.0));
    let mut offsets = Vec::with_capacity(track.len() * heard.len());
    let mut k = -steps;
    while k <= steps {
        let b = 1.0 + reach.rate * k / steps;
        offsets.clear();
        for t in track {
            offsets.extend(heard.iter().map(|h| h - b * t));
        }
        offsets.sort_unstable_by(f64::total_cmp);
        let mut from = 0;
        for to in 0..offsets.len() {
            while offsets[to] - offsets[from] > 2.0 * reach.slack {
                from += 1;
            }
            if to - from + 1 > best.0 {
                best = (to - from + 1, ((offsets[to] + offsets[from]) / 2.0, b));
            }
        }
        k += 1.0;
    }
    Some(best.1)
}
