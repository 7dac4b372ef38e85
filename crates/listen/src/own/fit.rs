//! Lines through confirmed cues: speed with its error, and where the speed changed.
//! Least squares after the far-off cues are left out; a break must earn its two parameters.

use super::chain::median;

/// A line heard = offset + rate × timeline through some cues.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Fit {
    pub offset: f64,
    pub rate: f64,
    /// Standard error of the rate.
    pub rate_error: f64,
    pub count: usize,
}

/// Smallest error assumed for one cue, s: a tenth of a sample at the working rate.
const FLOOR_S: f64 = 12e-6;
/// Fewest cues on either side of a change of speed.
const LEAST: usize = 8;
/// How many times smaller the squares must become before a change of speed is believed.
const EARNED: f64 = 4.0;
/// Smallest change of speed worth a break.
const LEAST_CHANGE: f64 = 200e-6;

impl Fit {
    pub fn at(&self, timeline_s: f64) -> f64 {
        self.offset + self.rate * timeline_s
    }

    /// Error of the playback speed, parts per million; negative when slow.
    pub fn speed_ppm(&self) -> f64 {
        (1.0 / self.rate - 1.0) * 1e6
    }

    /// Standard error of the speed, parts per million.
    pub fn speed_error_ppm(&self) -> f64 {
        self.rate_error / (self.rate * self.rate) * 1e6
    }
}

/// Fits a line to (timeline, heard); nothing for fewer than three cues.
pub(crate) fn line(points: &[(f64, f64)]) -> Option<Fit> {
    if points.len() < 3 {
        return None;
    }
    let first = squares(points)?;
    let off: Vec<f64> = points
        .iter()
        .map(|(t, h)| (h - first.at(*t)).abs())
        .collect();
    let limit = 6.0 * median(off.clone())?.max(FLOOR_S * 4.0);
    let kept: Vec<(f64, f64)> = points
        .iter()
        .zip(&off)
        .filter(|(_, off)| **off <= limit)
        .map(|(p, _)| *p)
        .collect();
    squares(&kept).or(Some(first))
}

fn squares(points: &[(f64, f64)]) -> Option<Fit> {
    let n = points.len() as f64;
    if points.len() < 3 {
        return None;
    }
    let (mt, mh) = points
        .iter()
        .fold((0.0, 0.0), |(t, h), p| (t + p.0 / n, h + p.1 / n));
    let stt: f64 = points.iter().map(|p| (p.0 - mt).powi(2)).sum();
    let sth: f64 = points.iter().map(|p| (p.0 - mt) * (p.1 - mh)).sum();
    if stt <= 0.0 {
        return None;
    }
    let rate = sth / stt;
    let offset = mh - rate * mt;
    let left: f64 = points
        .iter()
        .map(|p| (p.1 - offset - rate * p.0).powi(2))
        .sum();
    let sigma = (left / (n - 2.0)).sqrt().max(FLOOR_S);
    Some(Fit {
        offset,
        rate,
        rate_error: sigma / stt.sqrt(),
        count: points.len(),
    })
}

/// Cuts a run where its speed changed: pieces as ranges of its cues.
pub(crate) fn pieces(points: &[(f64, f64)]) -> Vec<std::ops::Range<usize>> {
    let mut out = Vec::new();
    cut(points, 0, &mut out);
    out
}

fn cut(points: &[(f64, f64)], from: usize, out: &mut Vec<std::ops::Range<usize>>) {
    let whole = || from..from + points.len();
    if points.len() < 2 * LEAST {
        out.push(whole());
        return;
    }
    let sums = Sums::new(points);
    let all = sums.left(0, points.len()).0;
    let breaks = LEAST..=points.len() - LEAST;
    let best = breaks
        .map(|k| {
            let (a, before) = sums.left(0, k);
            let (b, after) = sums.left(k, points.len());
            (k, a + b, (before - after).abs())
        })
        .min_by(|a, b| a.1.total_cmp(&b.1));
    let floor = FLOOR_S * FLOOR_S * points.len() as f64;
    match best {
        Some((k, left, change)) if all > EARNED * left.max(floor) && change > LEAST_CHANGE => {
            cut(&points[..k], from, out);
            cut(&points[k..], from + k, out);
        }
        _ => out.push(whole()),
    }
}

/// Running sums, so that each break is tried in no time.
struct Sums(Vec<[f64; 5]>);

impl Sums {
    fn new(points: &[(f64, f64)]) -> Self {
        // Off their middle, so that the squares keep their digits.
        let (t0, h0) = points[points.len() / 2];
        let mut sums = vec![[0.0; 5]];
        for (t, h) in points {
            // The heard time less the timeline is small: nothing is lost to cancelling.
            let (x, y) = (t - t0, (h - h0) - (t - t0));
            let last = sums[sums.len() - 1];
            sums.push([
                last[0] + x,
                last[1] + y,
                last[2] + x * x,
                last[3] + x * y,
                last[4] + y * y,
            ]);
        }
        Self(sums)
    }

    /// Returns the squares left by a line through a range, and the slope of that line.
    fn left(&self, from: usize, to: usize) -> (f64, f64) {
        let n = (to - from) as f64;
        let [x, y, xx, xy, yy]: [f64; 5] = std::array::from_fn(|i| self.0[to][i] - self.0[from][i]);
        let (sxx, sxy, syy) = (xx - x * x / n, xy - x * y / n, yy - y * y / n);
        if sxx <= 0.0 {
            return (syy.max(0.0), 0.0);
        }
        ((syy - sxy * sxy / sxx).max(0.0), sxy / sxx)
    }
}
