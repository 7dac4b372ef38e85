//! Candidate lines from runs of four neighbouring times: an index of runs, and growth of a run
//! along both lists. Does not judge which line is right.

use std::collections::HashMap;

/// How far a run may be off, and how far the rate from 1.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Reach {
    /// Largest |rate - 1|.
    pub rate: f64,
    /// Largest error of one heard time, seconds.
    pub slack: f64,
}

/// Four neighbouring times of one list.
#[derive(Debug, Clone, Copy)]
struct Run {
    total: f64,
    first: f64,
    second: f64,
    list: u32,
    at: [u32; 4],
}

/// Steps between the four track times of a run when one cue may have been missed.
const GAPPY: [[u32; 4]; 4] = [[0, 1, 2, 3], [0, 2, 3, 4], [0, 1, 3, 4], [0, 1, 2, 4]];

/// Runs of many lists, by length.
#[derive(Debug, Clone, Default)]
pub(crate) struct Runs {
    runs: Vec<Run>,
}

impl Runs {
    /// Makes the index of several lists of increasing times; `gappy` also indexes runs with one
    /// time left out.
    pub fn new<'a>(lists: impl IntoIterator<Item = &'a [f64]>, gappy: bool) -> Self {
        let patterns = if gappy { &GAPPY[..] } else { &GAPPY[..1] };
        let mut runs = Vec::new();
        for (list, times) in (0u32..).zip(lists) {
            for steps in patterns {
                for from in 0..times.len() as u32 {
                    let at = steps.map(|s| from + s);
                    let Some(end) = times.get(at[3] as usize) else {
                        break;
                    };
                    let [a, b, c, _] = at.map(|k| k as usize);
                    runs.push(Run {
                        total: end - times[a],
                        first: times[b] - times[a],
                        second: times[c] - times[b],
                        list,
                        at,
                    });
                }
            }
        }
        runs.sort_by(|x, y| x.total.total_cmp(&y.total));
        Self { runs }
    }

    /// Calls `found(list, indices)` for every run like the four heard times.
    pub fn like(&self, h: [f64; 4], reach: Reach, found: &mut impl FnMut(u32, [u32; 4])) {
        let (total, first, second) = (h[3] - h[0], h[1] - h[0], h[2] - h[1]);
        let low = (total - reach.slack) / (1.0 + reach.rate);
        let high = (total + reach.slack) / (1.0 - reach.rate);
        let from = self.runs.partition_point(|r| r.total < low);
        for run in &self.runs[from..] {
            if run.total > high {
                break;
            }
            let b = total / run.total;
            if (first - b * run.first).abs() <= reach.slack
                && (second - b * run.second).abs() <= reach.slack
            {
                found(run.list, run.at);
            }
        }
    }
}

/// Which (track index, heard index) pairs of one list have been part of a line already.
#[derive(Debug)]
pub(crate) struct Seen {
    bits: Vec<u64>,
    width: usize,
}

impl Seen {
    /// Makes an empty table.
    pub fn new(track: usize, heard: usize) -> Self {
        Self {
            bits: vec![0; (track * heard).div_ceil(64)],
            width: heard,
        }
    }

    /// Returns whether a pair is marked.
    pub fn has(&self, i: usize, j: usize) -> bool {
        let k = i * self.width + j;
        self.bits[k / 64] >> (k % 64) & 1 == 1
    }

    fn mark(&mut self, i: usize, j: usize) {
        let k = i * self.width + j;
        self.bits[k / 64] |= 1 << (k % 64);
    }
}

/// A line grown from a run.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Growth {
    /// Offset, seconds.
    pub a: f64,
    /// Rate.
    pub b: f64,
    /// Matched cues less a part of the missed ones.
    pub score: f64,
}

/// Cost of a missed cue, in matched ones.
const MISS: f64 = 0.6;
/// Growth ends when the score has fallen this far below its best.
const GIVE_UP: f64 = 3.5;

struct Sums {
    n: f64,
    t: f64,
    h: f64,
    tt: f64,
    th: f64,
    t0: f64,
    h0: f64,
    mid: (f64, f64),
    b: f64,
    rate: f64,
}

impl Sums {
    fn add(&mut self, t: f64, h: f64) {
        let (t, h) = (t - self.t0, h - self.h0);
        self.n += 1.0;
        self.t += t;
        self.h += h;
        self.tt += t * t;
        self.th += t * h;
        self.mid = (self.t / self.n, self.h / self.n);
        let var = self.tt - self.t * self.mid.0;
        if self.n > 2.0 && var > 0.0 {
            let b = (self.th - self.t * self.mid.1) / var;
            self.b = b.clamp(1.0 - self.rate, 1.0 + self.rate);
        }
    }

    fn predict(&self, t: f64) -> f64 {
        self.h0 + self.mid.1 + self.b * (t - self.t0 - self.mid.0)
    }
}

/// Grows the line through four track and four heard indices in both directions.
pub(crate) fn grow(
    track: &[f64],
    heard: &[f64],
    i: [usize; 4],
    j: [usize; 4],
    reach: Reach,
    seen: &mut Seen,
) -> Growth {
    let (t0, h0) = (track[i[0]], heard[j[0]]);
    let mut sums = Sums {
        n: 0.0,
        t: 0.0,
        h: 0.0,
        tt: 0.0,
        th: 0.0,
        t0,
        h0,
        mid: (0.0, 0.0),
        b: 1.0,
        rate: reach.rate,
    };
    for (k, at) in i.iter().zip(&j) {
        sums.add(track[*k], heard[*at]);
        seen.mark(*k, *at);
    }
    let mut score = 4.0;
    // Forward.
    let mut best = score;
    let mut at = j[3] + 1;
    let end = heard.len();
    for (k, t) in track.iter().enumerate().skip(i[3] + 1) {
        let want = sums.predict(*t);
        while at < end && heard[at] < want - reach.slack {
            at += 1;
        }
        if at >= end {
            break;
        }
        if heard[at] <= want + reach.slack {
            if at + 1 < end && (heard[at + 1] - want).abs() < (heard[at] - want).abs() {
                at += 1;
            }
            sums.add(*t, heard[at]);
            seen.mark(k, at);
            score += 1.0;
            best = f64::max(best, score);
            at += 1;
        } else {
            score -= MISS;
            if score < best - GIVE_UP {
                break;
            }
        }
    }
    // Backward.
    let mut total = best;
    best = 0.0;
    score = 0.0;
    let mut at = j[0];
    for k in (0..i[0]).rev() {
        let t = track[k];
        let want = sums.predict(t);
        while at > 0 && heard[at - 1] > want + reach.slack {
            at -= 1;
        }
        if at == 0 {
            break;
        }
        if heard[at - 1] >= want - reach.slack {
            if at > 1 && (heard[at - 2] - want).abs() < (heard[at - 1] - want).abs() {
                at -= 1;
            }
            sums.add(t, heard[at - 1]);
            seen.mark(k, at - 1);
            score += 1.0;
            best = f64::max(best, score);
            at -= 1;
        } else {
            score -= MISS;
            if score < best - GIVE_UP {
                break;
            }
        }
    }
    total += best;
    Growth {
        a: h0 + sums.mid.1 - sums.b * (t0 + sums.mid.0),
        b: sums.b,
        score: total,
    }
}

/// Which heard positions begin a run, spread evenly, at most `most`.
pub(crate) fn anchors(heard: usize, most: usize) -> impl Iterator<Item = usize> {
    let n = heard.saturating_sub(3);
    let count = n.min(most);
    (0..count).map(move |k| k * n / count)
}

/// A list and four of its indices.
type Hit = (u32, [u32; 4]);

/// The best few lines of each list.
#[derive(Debug, Default)]
pub(crate) struct Found {
    /// Lines of each list, best first, at most [`KEEP`].
    pub lines: HashMap<u32, Vec<Growth>>,
    /// Largest score of any.
    pub best: f64,
}

/// Lines kept of each list.
const KEEP: usize = 8;
/// Heard positions tried.
const ANCHORS: usize = 48;
/// Growths tried in all.
const BUDGET: usize = 30_000;

/// Steps between the four heard times of a run: neighbours, then with one or two between.
fn patterns(dense: bool) -> Vec<[usize; 4]> {
    if !dense {
        return vec![[0, 1, 2, 3]];
    }
    let mut all = Vec::new();
    for a in 1..=3 {
        for b in 1..=3 {
            for c in 1..=3 {
                if a + b + c > 3 {
                    all.push([0, a, a + b, a + b + c]);
                }
            }
        }
    }
    all
}

/// Finds the lines of every list that explain heard times. `dense` also tries heard times that
/// are not neighbours, which finds cues among many false ones at 26 times the cost.
pub(crate) fn search(
    runs: &Runs,
    lists: &[&[f64]],
    heard: &[f64],
    reach: Reach,
    dense: bool,
) -> Found {
    let mut found = Found::default();
    let mut tables: Vec<Option<Seen>> = lists.iter().map(|_| None).collect();
    let mut starts: Vec<([usize; 4], Vec<Hit>)> = Vec::new();
    for at in anchors(heard.len(), ANCHORS) {
        for steps in patterns(dense) {
            let j = steps.map(|s| at + s);
            if j[3] >= heard.len() {
                continue;
            }
            let mut hits = Vec::new();
            runs.like(j.map(|k| heard[k]), reach, &mut |list, i| {
                hits.push((list, i))
            });
            if !hits.is_empty() {
                starts.push((j, hits));
            }
        }
    }
    // The rarest runs first: they decide most.
    starts.sort_by_key(|(_, hits)| hits.len());
    let mut left = BUDGET;
    for (j, hits) in starts {
        if left == 0 {
            break;
        }
        for (list, i) in hits {
            let (n, i) = (list as usize, i.map(|k| k as usize));
            let track = lists[n];
            let seen = tables[n].get_or_insert_with(|| Seen::new(track.len(), heard.len()));
            if seen.has(i[0], j[0]) && seen.has(i[3], j[3]) {
                continue;
            }
            if left == 0 {
                break;
            }
            left -= 1;
            let line = grow(track, heard, i, j, reach, seen);
            found.best = found.best.max(line.score);
            let lines = found.lines.entry(list).or_default();
            let place = lines.partition_point(|l| l.score >= line.score);
            if place < KEEP {
                lines.insert(place, line);
                lines.truncate(KEEP);
            }
        }
    }
    found
}
