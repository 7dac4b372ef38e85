//! Readings in a row: where playback ran on, and where it paused, jumped or began again.
//! A reading that fits neither neighbour is a word by chance and is dropped.

use super::book::Reading;

/// Playback in which heard time grows with the timeline.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Run {
    /// What is known of it: timeline, heard, s; in order, at least one.
    pub points: Vec<(f64, f64)>,
    /// The speed where a run is too short to have its own.
    common: f64,
}

/// Largest error of the speed that still counts as one run.
const LOOSE: f64 = 0.06;
/// Error of the place of a reading, s.
const SLACK_S: f64 = 0.02;
/// Largest step off the local speed inside a run, s: more is a pause or a jump.
const STEP_S: f64 = 0.06;
/// How much later an echo may be, s: beyond the reach of one reading, up to a wall 170 m away.
const ECHO_S: (f64, f64) = (0.015, 1.0);
/// Readings on either side that give the local speed.
const LOCAL: usize = 6;

impl Run {
    /// Returns where a cue is heard in this run, s: on the line between the points beside it.
    pub fn heard(&self, timeline_s: f64) -> f64 {
        let after = self.points.partition_point(|p| p.0 <= timeline_s);
        match (
            after.checked_sub(1).and_then(|i| self.points.get(i)),
            self.points.get(after),
        ) {
            (Some(a), Some(b)) => a.1 + (b.1 - a.1) * (timeline_s - a.0) / (b.0 - a.0),
            (Some(end), None) | (None, Some(end)) => {
                end.1 + self.rate(timeline_s) * (timeline_s - end.0)
            }
            (None, None) => timeline_s,
        }
    }

    /// Returns how many times as slowly the track is played near an instant.
    pub fn rate(&self, timeline_s: f64) -> f64 {
        let middle = self.points.partition_point(|p| p.0 <= timeline_s);
        let end = (middle + LOCAL).max(2 * LOCAL).min(self.points.len());
        let near = &self.points[end.saturating_sub(2 * LOCAL)..end];
        slope(near).unwrap_or(self.common)
    }

    /// Returns the first and the last instant on the timeline, s.
    pub fn span(&self) -> (f64, f64) {
        let first = self.points.first().map_or(0.0, |p| p.0);
        (first, self.points.last().map_or(first, |p| p.0))
    }
}

/// Returns the edition that most readings agree on, and its runs in the order heard.
pub(crate) fn chain(readings: &[Reading], editions: usize) -> Option<(usize, Vec<Run>)> {
    let best = (0..editions).map(|edition| {
        let own: Vec<&Reading> = readings.iter().filter(|r| r.edition == edition).collect();
        let runs = runs(&own);
        let count = runs.iter().map(|run| run.points.len()).sum::<usize>();
        (count, edition, runs)
    });
    let (count, edition, runs) = best.max_by_key(|(count, ..)| *count)?;
    (count > 0).then_some((edition, runs))
}

/// Joins the readings of one edition, in the order heard.
fn runs(readings: &[&Reading]) -> Vec<Run> {
    let mut open: Vec<Vec<&Reading>> = Vec::new();
    for reading in readings {
        // How far a reading is from where a run would have it; nothing when it cannot be of it.
        let miss = |run: &Vec<&Reading>| {
            let last = run.last()?;
            let timeline = reading.timeline_s - last.timeline_s;
            let heard = reading.heard_s - last.heard_s;
            let fits = timeline > 0.0 && (heard - timeline).abs() <= LOOSE * timeline + SLACK_S;
            let near: Vec<(f64, f64)> = run
                .iter()
                .rev()
                .take(2 * LOCAL)
                .rev()
                .map(|r| (r.timeline_s, r.heard_s))
                .collect();
            let rate = slope(&near).unwrap_or(1.0);
            fits.then(|| (heard - rate * timeline).abs())
        };
        let best = open
            .iter_mut()
            .filter_map(|run| Some((miss(run)?, run)))
            .min_by(|a, b| a.0.total_cmp(&b.0));
        match best {
            Some((_, run)) => run.push(reading),
            None => open.push(vec![reading]),
        }
    }
    open.retain(|run| run.len() > 2 || run.iter().any(|r| r.sure));
    let mut out: Vec<Run> = Vec::new();
    for run in open {
        let points: Vec<(f64, f64)> = run.iter().map(|r| (r.timeline_s, r.heard_s)).collect();
        out.extend(parts(&points).into_iter().map(|part| Run {
            points: part.to_vec(),
            common: 1.0,
        }));
    }
    out.sort_by(|a, b| a.points[0].1.total_cmp(&b.points[0].1));
    leave_echoes(&mut out);
    let common = median(out.iter().filter_map(|r| slope(&r.points)).collect());
    for run in &mut out {
        run.common = common.unwrap_or(1.0);
    }
    out
}

/// Leaves out runs that are the echo of another: the same cues, each a little later.
fn leave_echoes(runs: &mut Vec<Run>) {
    let is_echo = |run: &Run, of: &Run| {
        let (first, last) = of.span();
        let later = |p: &&(f64, f64)| {
            (first..=last).contains(&p.0) && (ECHO_S.0..ECHO_S.1).contains(&(p.1 - of.heard(p.0)))
        };
        2 * run.points.iter().filter(later).count() > run.points.len()
    };
    let echoes: Vec<bool> = runs
        .iter()
        .map(|run| {
            runs.iter()
                .any(|of| !std::ptr::eq(of, run) && is_echo(run, of))
        })
        .collect();
    let mut echo = echoes.into_iter();
    runs.retain(|_| !echo.next().unwrap_or(false));
}

/// Cuts a run where it steps off its local speed.
fn parts(points: &[(f64, f64)]) -> Vec<&[(f64, f64)]> {
    let slopes: Vec<f64> = points
        .windows(2)
        .map(|pair| (pair[1].1 - pair[0].1) / (pair[1].0 - pair[0].0))
        .collect();
    let mut cuts = vec![0];
    for (i, pair) in points.windows(2).enumerate() {
        // Against the speed before and the speed after: a change of speed is no step.
        let sides = [
            &slopes[i.saturating_sub(LOCAL)..i],
            &slopes[i + 1..(i + 1 + LOCAL).min(slopes.len())],
        ];
        let step = |side: &[f64]| {
            let local = median(side.to_vec())?;
            Some(((pair[1].1 - pair[0].1) - local * (pair[1].0 - pair[0].0)).abs())
        };
        let steps = sides.into_iter().filter_map(step);
        if steps.min_by(f64::total_cmp).is_some_and(|s| s > STEP_S) {
            cuts.push(i + 1);
        }
    }
    cuts.push(points.len());
    cuts.windows(2).map(|c| &points[c[0]..c[1]]).collect()
}

/// Returns the slope of a run long enough to have one: the median over pairs far apart.
fn slope(points: &[(f64, f64)]) -> Option<f64> {
    let half = points.len() / 2;
    if points.len() < 4 {
        return None;
    }
    let far = points.iter().zip(&points[half..]);
    median(far.map(|(a, b)| (b.1 - a.1) / (b.0 - a.0)).collect())
}

/// Returns the median; nothing of nothing.
pub(crate) fn median(mut values: Vec<f64>) -> Option<f64> {
    values.retain(|v| v.is_finite());
    values.sort_by(f64::total_cmp);
    let n = values.len();
    match n {
        0 => None,
        _ if n % 2 == 1 => Some(values[n / 2]),
        _ => Some(f64::midpoint(values[n / 2 - 1], values[n / 2])),
    }
}
