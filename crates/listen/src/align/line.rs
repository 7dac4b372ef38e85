//! A straight line through paired times that a few wrong pairs cannot bend.
//! Does not pair anything. Sources: Theil 1950 and Sen 1968 for the slope and its rank interval
//! (from memory); Tukey's biweight with constant 4.685 for the quick fit (from memory).

/// A line `heard = offset + rate * track`, with 95 % intervals.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Seconds heard for one second of track; above 1 when the playback was slow.
    pub rate: f64,
    /// Interval of the rate.
    pub rate_interval: (f64, f64),
    /// Heard time of track time 0, seconds.
    pub offset_s: f64,
    /// Interval of the offset, seconds.
    pub offset_interval_s: (f64, f64),
}

/// Returns the middle value, reordering the slice; 0 for an empty one.
pub(crate) fn median(values: &mut [f64]) -> f64 {
    let n = values.len();
    if n == 0 {
        return 0.0;
    }
    let (below, mid, _) = values.select_nth_unstable_by(n / 2, f64::total_cmp);
    let mid = *mid;
    if n % 2 == 1 {
        return mid;
    }
    let low = below.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    (low + mid) / 2.0
}

/// Returns the Theil-Sen line of pairs (track, heard), seconds; nothing below three pairs or
/// when they share one track time.
///
/// The interval of the rate is Sen's, from ranks. That of the offset carries the rate's
/// uncertainty from the middle of the pairs to track time 0, plus the spread about the line.
pub(crate) fn theil_sen(pairs: &[(f64, f64)]) -> Option<Line> {
    let n = pairs.len();
    if n < 3 {
        return None;
    }
    let mut slopes = Vec::with_capacity(n * (n - 1) / 2);
    for (i, p) in pairs.iter().enumerate() {
        for q in pairs.get(i + 1..).unwrap_or_default() {
            if q.0 != p.0 {
                slopes.push((q.1 - p.1) / (q.0 - p.0));
            }
        }
    }
    if slopes.is_empty() {
        return None;
    }
    let rate = median(&mut slopes);
    let (low, high) = rank_interval(&mut slopes, n);
    let mut ends: Vec<f64> = pairs.iter().map(|p| p.1 - rate * p.0).collect();
    let offset_s = median(&mut ends);
    let mut off: Vec<f64> = ends.iter().map(|e| (e - offset_s).abs()).collect();
    let spread = 1.4826 * median(&mut off);
    let mut times: Vec<f64> = pairs.iter().map(|p| p.0).collect();
    let middle = median(&mut times).abs();
    // A median's standard error is about 1.2533 spread / sqrt(n) for normal errors.
    let own = 1.96 * 1.2533 * spread / (n as f64).sqrt();
    let half = |edge: f64| own.hypot((edge - rate) * middle);
    Some(Line {
        rate,
        rate_interval: (low, high),
        offset_s,
        offset_interval_s: (offset_s - half(high), offset_s + half(low)),
    })
}

/// Returns Sen's 95 % interval of the median slope of `n` points.
fn rank_interval(slopes: &mut [f64], n: usize) -> (f64, f64) {
    let n = n as f64;
    let half = 1.96 * (n * (n - 1.0) * (2.0 * n + 5.0) / 18.0).sqrt();
    let all = slopes.len() as f64;
    let last = slopes.len() - 1;
    let low = (((all - half) / 2.0).floor().max(0.0) as usize).min(last);
    let high = (((all + half) / 2.0).ceil().max(0.0) as usize).min(last);
    let low = *slopes.select_nth_unstable_by(low, f64::total_cmp).1;
    let high = *slopes.select_nth_unstable_by(high, f64::total_cmp).1;
    (low, high)
}

/// A quick robust line: weighted least squares about the middle of the pairs.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Quick {
    /// Offset, seconds.
    pub a: f64,
    /// Rate.
    pub b: f64,
    /// Robust spread of the residuals, seconds.
    pub spread: f64,
    /// Standard deviation of the track times, seconds.
    pub reach: f64,
}

/// Returns the biweight line of pairs, begun at the given one; nothing below three pairs.
pub(crate) fn quick(pairs: &[(f64, f64)], a: f64, b: f64, floor: f64) -> Option<Quick> {
    if pairs.len() < 3 {
        return None;
    }
    let origin = pairs[0].0;
    let mut fit = (a, b);
    let mut spread = floor;
    let mut reach = 0.0;
    let mut off = Vec::with_capacity(pairs.len());
    for _ in 0..2 {
        off.clear();
        off.extend(pairs.iter().map(|p| (p.1 - fit.0 - fit.1 * p.0).abs()));
        spread = (1.4826 * median(&mut off)).max(floor);
        let limit = 4.685 * spread;
        let (mut w0, mut wt, mut wh, mut wtt, mut wth) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for p in pairs {
            let u = (p.1 - fit.0 - fit.1 * p.0) / limit;
            let v = 1.0 - u * u;
            if v > 0.0 {
                let w = v * v;
                let (t, h) = (p.0 - origin, p.1);
                w0 += w;
                wt += w * t;
                wh += w * h;
                wtt += w * t * t;
                wth += w * t * h;
            }
        }
        if w0 <= 0.0 {
            return None;
        }
        let var = wtt / w0 - (wt / w0) * (wt / w0);
        if var <= 0.0 {
            return None;
        }
        let b = (wth / w0 - wt / w0 * (wh / w0)) / var;
        reach = var.sqrt();
        fit = (wh / w0 - b * (wt / w0 + origin), b);
    }
    Some(Quick {
        a: fit.0,
        b: fit.1,
        spread,
        reach,
    })
}
