//! From onsets to a verdict: propose lines, weigh them, compare the ladders.
//! Names one ladder only when the others are told apart by the data.

use std::collections::BTreeMap;

use crate::align::{Reach, Runs, search};
use crate::foreign::evidence::{Fit, Heard, weigh};
use crate::foreign::{Candidate, Options, Recognition, Verdict};

/// Candidates with their index of runs, for many recordings.
#[derive(Debug, Clone)]
pub struct Recogniser {
    candidates: Vec<Candidate>,
    runs: Runs,
    gappy: Runs,
}

/// Error of one heard time while lines are grown, seconds.
const SLACK: f64 = 0.06;
/// Onsets beyond this number are left out: enough for hours of cues.
const MOST_ONSETS: usize = 20_000;
/// A search among false onsets is tried when the best ladder explains less than this part of
/// the onsets, and there are at most so many.
const EXPLAINED: f64 = 0.6;
const DENSE_LIMIT: usize = 3_000;
/// Gaps of a stretch that differ by less than this part are regular.
const REGULAR: f64 = 0.01;
/// Fewest matched cues of a regular stretch.
const LEAST_REGULAR: usize = 20;
/// A ladder with a pattern must beat a metronome by this, a regular one need only match it.
const OVER_METRONOME: f64 = 8.0;
/// Price of a free period beside the priced range of rates, natural logarithm.
const PERIOD_PRICE: f64 = 4.0;

struct Weighed<'a> {
    candidate: &'a Candidate,
    fit: Fit,
}

impl Weighed<'_> {
    /// Returns the log evidence with the prior of the candidate.
    fn worth(&self) -> f64 {
        self.fit.gain + self.candidate.weight.ln()
    }
}

/// Names the ladder that was played from onset times in seconds, in any order.
///
/// For more than one recording make a [`Recogniser`] once.
pub fn recognise(onsets: &[f64], candidates: &[Candidate], options: &Options) -> Recognition {
    Recogniser::new(candidates.to_vec()).recognise(onsets, options)
}

impl Recogniser {
    /// Makes the index of the candidates.
    pub fn new(candidates: Vec<Candidate>) -> Self {
        let lists = || candidates.iter().map(|c| c.cues.as_slice());
        Self {
            runs: Runs::new(lists(), false),
            gappy: Runs::new(lists(), true),
            candidates,
        }
    }

    /// Returns the candidates.
    pub fn candidates(&self) -> &[Candidate] {
        &self.candidates
    }

    /// Names the ladder that was played from onset times in seconds, in any order.
    pub fn recognise(&self, onsets: &[f64], options: &Options) -> Recognition {
        let heard = Heard::new(onsets.get(..MOST_ONSETS).unwrap_or(onsets));
        let metronome = metronome(&heard, options);
        let mut weighed = self.weigh_all(&heard, options, false);
        let explained = weighed.first().map_or(0, |w| w.fit.matched);
        let weak = (explained as f64) < EXPLAINED * heard.times.len() as f64;
        if weak && heard.times.len() <= DENSE_LIMIT {
            weighed.extend(self.weigh_all(&heard, options, true));
            weighed.sort_by(|x, y| y.worth().total_cmp(&x.worth()));
        }
        conclude(&heard, &weighed, metronome, options)
    }

    /// Returns the lines of every candidate, the best evidence first.
    fn weigh_all(&self, heard: &Heard, options: &Options, dense: bool) -> Vec<Weighed<'_>> {
        let lists: Vec<&[f64]> = self.candidates.iter().map(|c| c.cues.as_slice()).collect();
        let reach = Reach {
            rate: options.max_rate_error,
            slack: SLACK,
        };
        let found = search(
            if dense { &self.gappy } else { &self.runs },
            &lists,
            &heard.times,
            reach,
            dense,
        );
        let mut weighed = Vec::new();
        for (candidate, list) in self.candidates.iter().zip(0u32..) {
            for line in found.lines.get(&list).into_iter().flatten() {
                if line.score < 5.0 || line.score < 0.3 * found.best {
                    continue;
                }
                let start = (line.a, line.b);
                let fit = weigh(&candidate.cues, heard, start, options.max_rate_error);
                weighed.extend(fit.map(|fit| Weighed { candidate, fit }));
            }
        }
        weighed.sort_by(|x, y| y.worth().total_cmp(&x.worth()));
        weighed
    }
}

/// Returns the log evidence of the best metronome.
fn metronome(heard: &Heard, options: &Options) -> f64 {
    let times = &heard.times;
    let mut gaps: Vec<f64> = times.windows(2).map(|w| w[1] - w[0]).collect();
    if gaps.len() < 4 {
        return 0.0;
    }
    gaps.sort_unstable_by(f64::total_cmp);
    // The gap with most others within 3 %.
    let (mut from, mut common) = (0, (0, gaps[gaps.len() / 2]));
    for to in 0..gaps.len() {
        while gaps[from] < gaps[to] * 0.97 {
            from += 1;
        }
        if to - from > common.0 {
            common = (to - from, gaps[usize::midpoint(from, to)]);
        }
    }
    let span = times[times.len() - 1] - times[0];
    let mut best: f64 = 0.0;
    for period in [common.1, gaps[gaps.len() / 2]] {
        let count = (span / period * 1.06).ceil() + 2.0;
        if period < 0.1 || count > 20_000.0 {
            continue;
        }
        let track: Vec<f64> = (0..count as u32).map(|k| f64::from(k) * period).collect();
        let reach = Reach {
            rate: options.max_rate_error,
            slack: SLACK.min(period / 5.0),
        };
        let runs = Runs::new([&track[..4]], false);
        let found = search(&runs, &[&track], times, reach, false);
        for line in found.lines.get(&0).into_iter().flatten().take(2) {
            // The first tick may have been missed, so the track may have to begin earlier.
            let back = ((line.a - times[0]) / (period * line.b)).ceil().max(0.0);
            let start = (line.a - back * period * line.b, line.b);
            if let Some(fit) = weigh(&track, heard, start, options.max_rate_error) {
                best = best.max(fit.gain - PERIOD_PRICE);
            }
        }
    }
    best
}

/// Compares the ladders with each other, with chance and with a metronome.
fn conclude(
    heard: &Heard,
    weighed: &[Weighed<'_>],
    metronome: f64,
    options: &Options,
) -> Recognition {
    let mut by_id: BTreeMap<&str, BTreeMap<&str, f64>> = BTreeMap::new();
    for w in weighed {
        for id in &w.candidate.ids {
            let best = by_id.entry(id).or_default().entry(&w.candidate.sounded);
            let best = best.or_insert(f64::NEG_INFINITY);
            *best = best.max(w.worth());
        }
    }
    let none = metronome.max(0.0) + options.least_evidence;
    let top = by_id
        .values()
        .flat_map(|v| v.values())
        .fold(none, |m: f64, g| m.max(*g));
    let mut posterior: Vec<(String, f64)> = by_id
        .iter()
        .map(|(id, v)| ((*id).to_owned(), v.values().map(|g| (g - top).exp()).sum()))
        .collect();
    let sum: f64 = posterior.iter().map(|p| p.1).sum::<f64>() + (none - top).exp();
    for p in &mut posterior {
        p.1 /= sum;
    }
    posterior.sort_by(|x, y| y.1.total_cmp(&x.1));
    let mut answer = Recognition {
        verdict: Verdict::NotRecognised,
        posterior,
        none: (none - top).exp() / sum,
        speed_error_ppm: 0.0,
        speed_interval_ppm: (0.0, 0.0),
        offset_s: 0.0,
        offset_of: String::new(),
        offset_ambiguous: false,
        matched: 0,
        expected: 0,
        false_onsets: heard.times.len(),
        residual_ms: 0.0,
    };
    let Some(best) = weighed.first() else {
        return answer;
    };
    let fit = &best.fit;
    let ppm = |b: f64| (1.0 / b - 1.0) * 1e6;
    answer.speed_error_ppm = ppm(fit.b);
    answer.speed_interval_ppm = (ppm(fit.b + fit.b_half), ppm(fit.b - fit.b_half));
    answer.offset_s = fit.a;
    answer.offset_of = best.candidate.ids.first().cloned().unwrap_or_default();
    answer.matched = fit.matched;
    answer.expected = fit.expected;
    answer.false_onsets = heard.times.len() - fit.matched;
    answer.residual_ms = fit.spread * 1e3;
    answer.offset_ambiguous = weighed.iter().any(|w| {
        w.candidate.ids == best.candidate.ids
            && (w.fit.a - fit.a).abs() > 0.5
            && w.worth() > best.worth() - options.tell_apart
    });
    if believable(best, metronome, options) {
        answer.verdict = verdict(&answer.posterior, options);
    }
    answer
}

/// Returns whether the best ladder is more than chance or a metronome.
fn believable(best: &Weighed<'_>, metronome: f64, options: &Options) -> bool {
    let fit = &best.fit;
    let cues = &best.candidate.cues[fit.stretch.0..=fit.stretch.1];
    let gaps = cues.windows(2).map(|w| w[1] - w[0]);
    let (low, high) = gaps.fold((f64::INFINITY, 0.0f64), |(l, h), g| (l.min(g), h.max(g)));
    let regular = high - low < REGULAR * high;
    let over = if regular { 1.0 } else { OVER_METRONOME };
    fit.gain >= options.least_evidence
        && fit.gain >= metronome + over
        && fit.matched >= options.least_matched
        && fit.matched as f64 >= options.least_heard * fit.expected as f64
        && (!regular || fit.matched >= LEAST_REGULAR)
}

/// Returns one id, or all that are within reach of the best.
fn verdict(posterior: &[(String, f64)], options: &Options) -> Verdict {
    let best = posterior.first().map_or(0.0, |p| p.1);
    let ids: Vec<String> = posterior
        .iter()
        .filter(|p| p.1 > 0.0 && p.1 >= best * (-options.tell_apart).exp())
        .map(|p| p.0.clone())
        .collect();
    match <[String; 1]>::try_from(ids) {
        Ok([id]) => Verdict::Recognised { id },
        Err(ids) if ids.is_empty() => Verdict::NotRecognised,
        Err(ids) => Verdict::Shared { ids },
    }
}
