//! A track of ours in a recording: known by its tone codes, then every cue looked for and timed.
//! Names a test only when codes say so; a cue counts as heard only when its own sound is there.

mod arrival;
mod between;
mod book;
mod chain;
mod codes;
mod confirm;
mod fit;
mod gaps;

use std::io::{Read, Seek, Write};

use plimsoll_ladder::{Catalogue, Test};
use plimsoll_sound::{CodeKind, Payload, Script, Sound, TimelineCue, Word, coded_cues};

use crate::error::ListenError;
use crate::heard::{Gap, HeardCue, SpeedPiece};
use crate::intake::{Scratch, WORKING_RATE};
use crate::worth;

pub(crate) use book::Book;
pub(crate) use chain::median;
pub(crate) use codes::{Candidate, CodeFinder};

use chain::Run;
use confirm::Confirmer;
use fit::Fit;

/// What was found of a track of ours.
#[derive(Debug)]
pub(crate) struct OwnTrack {
    pub test: String,
    /// Every test that has this very track.
    pub tests: Vec<String>,
    pub script: Script,
    pub offset_s: f64,
    pub speed_ppm: Option<(f64, f64)>,
    pub cues: Vec<HeardCue>,
    pub gaps: Vec<Gap>,
    pub speeds: Vec<SpeedPiece>,
    pub residual_ms: Option<f64>,
    pub worst_interval_ms: Option<f64>,
}

/// Fewest cues that make a track when none of them is clear.
const LEAST_FOUND: usize = 4;

impl OwnTrack {
    /// Returns the number of cues confirmed.
    pub fn found(&self) -> usize {
        self.cues.iter().filter(|c| c.heard_s.is_some()).count()
    }

    /// Returns whether nearly all cues were confirmed at about the right pitch, so that trying
    /// other pitches is idle.
    pub fn is_whole(&self) -> bool {
        let slight = self.speed_ppm.is_none_or(|(ppm, _)| ppm.abs() < 15_000.0);
        slight && self.found() * 10 >= self.cues.len() * 9
    }
}

/// A cue with its word.
struct Wanted {
    timeline_s: f64,
    sound: Sound,
    word: Word,
    bout: u32,
    label: String,
    kind: CodeKind,
}

/// A cue looked for.
#[derive(Clone)]
struct Looked {
    index: usize,
    run: usize,
    /// Whether it lies between the first and the last known cue of its run.
    inside: bool,
    found: Option<confirm::Found>,
}

/// Finds a track of ours, if there is one.
pub(crate) fn find<F: Read + Write + Seek>(
    scratch: &mut Scratch<F>,
    candidates: &[Candidate],
    catalogue: &Catalogue,
    book: &Book,
    expected: Option<&str>,
) -> Result<Option<OwnTrack>, ListenError> {
    let read = |c: &Candidate| book.read(c.at_s, &c.hearing, 1.0);
    let readings: Vec<_> = candidates.iter().filter_map(read).collect();
    let Some((edition, runs)) = chain::chain(&readings, book.editions.len()) else {
        return Ok(None);
    };
    let edition = &book.editions[edition];
    // Tests with the same cues and announcements have the same track: the one expected, or the
    // first.
    let named = edition
        .tests
        .iter()
        .find(|id| expected == Some(id.as_str()));
    let Some(test) = named
        .or(edition.tests.first())
        .and_then(|id| catalogue.get(id))
    else {
        return Ok(None);
    };
    let wanted = wanted(test, edition.script);
    let mut confirmer = Confirmer::new();
    let mut runs = runs;
    arrival::first_arrivals(scratch, &mut confirmer, &wanted, &mut runs)?;
    let mut looked = look(scratch, &mut confirmer, &wanted, &runs)?;
    let off = |l: &Looked| {
        let place = runs[l.run].heard(wanted[l.index].timeline_s);
        l.found.is_none_or(|f| (f.at_s - place).abs() > 0.004)
    };
    let again = looked.iter().any(off);
    sharpen(&mut runs, &looked, &wanted);
    if again {
        // Once more along the line now known: a word is read to 5 ms only.
        looked = look(scratch, &mut confirmer, &wanted, &runs)?;
        sharpen(&mut runs, &looked, &wanted);
    }
    trim(&mut looked);
    if !convinces(&looked) {
        return Ok(None);
    }
    Ok(Some(describe(
        test,
        edition.script,
        &wanted,
        &runs,
        &looked,
        &readings,
    )))
}

fn wanted(test: &Test, script: Script) -> Vec<Wanted> {
    let print = test.fingerprint_with(script.as_str());
    let bits = Payload::ladder_bits(&print).unwrap_or(0);
    let cues = coded_cues(test, bits).unwrap_or_default();
    let want = |cue: TimelineCue| {
        let payload = cue.payload?;
        Some(Wanted {
            timeline_s: cue.at.as_secs_f64(),
            sound: cue.sound,
            word: Word::of(payload)?,
            bout: cue.bout,
            label: cue.label,
            kind: payload.kind,
        })
    };
    cues.into_iter().filter_map(want).collect()
}

/// Looks for every cue that each run may hold.
fn look<F: Read + Write + Seek>(
    scratch: &mut Scratch<F>,
    confirmer: &mut Confirmer,
    wanted: &[Wanted],
    runs: &[Run],
) -> Result<Vec<Looked>, ListenError> {
    let end = scratch.length() as f64 / f64::from(WORKING_RATE);
    let mut out: Vec<Looked> = Vec::new();
    for (number, run) in runs.iter().enumerate() {
        let (first, last) = run.span();
        let earlier = number.checked_sub(1).map(|n| &runs[n]);
        let later = runs.get(number + 1);
        for (index, cue) in wanted.iter().enumerate() {
            let at = run.heard(cue.timeline_s);
            let inside = (first..=last).contains(&cue.timeline_s);
            let before = cue.timeline_s < first
                && at > earlier.map_or(-0.05, |r| r.heard(r.span().1) + 0.3)
                && earlier.is_none_or(|r| cue.timeline_s > r.span().1 || r.span().1 >= first);
            let after = cue.timeline_s > last
                && later.is_none_or(|r| cue.timeline_s <= r.span().0 || r.span().0 <= last)
                && at < later.map_or(end - 0.05, |r| r.heard(r.span().0) - 0.3);
            if !(inside || before || after) {
                continue;
            }
            let found =
                confirmer.look(scratch, cue.sound, &cue.word, at, run.rate(cue.timeline_s))?;
            let new = Looked {
                index,
                run: number,
                inside,
                found,
            };
            // Where playback broke a cue belongs to the run in which it is clearer; a restart
            // plays it twice.
            let alike = |l: &Looked| l.found.map_or(0.0, |f| f.alike);
            let other = out
                .iter()
                .position(|l| l.index == index && l.run + 1 == number && !(l.inside && inside));
            match other {
                Some(place) if alike(&new) > alike(&out[place]) => out[place] = new,
                Some(_) => {}
                None => out.push(new),
            }
        }
    }
    out.sort_by(|a, b| {
        let place = |l: &Looked| runs[l.run].heard(wanted[l.index].timeline_s);
        (a.run, place(a))
            .partial_cmp(&(b.run, place(b)))
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    Ok(out)
}

/// Puts confirmed cues in the place of words read.
fn sharpen(runs: &mut [Run], looked: &[Looked], wanted: &[Wanted]) {
    for (number, run) in runs.iter_mut().enumerate() {
        let points = points(number, looked, wanted);
        if points.len() >= 2 {
            run.points = points;
        }
    }
}

/// Returns the confirmed cues of a run: timeline, heard.
fn points(run: usize, looked: &[Looked], wanted: &[Wanted]) -> Vec<(f64, f64)> {
    let own = looked.iter().filter(|l| l.run == run);
    own.filter_map(|l| Some((wanted[l.index].timeline_s, l.found?.at_s)))
        .collect()
}

/// Returns whether what was found is a track: one clear cue with its code, or a good share of the
/// cues there should be. Words and cues by chance are far apart.
fn convinces(looked: &[Looked]) -> bool {
    let found = || looked.iter().filter_map(|l| l.found);
    let clear = found().any(|f| f.alike >= confirm::CLEAR);
    clear || (found().count() >= LEAST_FOUND && found().count() * 10 >= looked.len() * 3)
}

/// Leaves out what was expected before the first and after the last confirmed cue.
fn trim(looked: &mut Vec<Looked>) {
    let Some(first) = looked.iter().position(|l| l.found.is_some()) else {
        return;
    };
    let last = looked
        .iter()
        .rposition(|l| l.found.is_some())
        .unwrap_or(first);
    looked.truncate(last + 1);
    looked.drain(..first);
}

fn describe(
    test: &Test,
    script: Script,
    wanted: &[Wanted],
    runs: &[Run],
    looked: &[Looked],
    readings: &[book::Reading],
) -> OwnTrack {
    let mut lines: Vec<(usize, std::ops::Range<usize>, Fit)> = Vec::new();
    let mut speeds = Vec::new();
    for number in 0..runs.len() {
        let own: Vec<&Looked> = looked
            .iter()
            .filter(|l| l.run == number && l.found.is_some())
            .collect();
        let points = points(number, looked, wanted);
        for piece in fit::pieces(&points) {
            let Some(fit) = fit::line(&points[piece.clone()]) else {
                continue;
            };
            let (first, last) = (own[piece.start].index, own[piece.end - 1].index);
            let to_bout = wanted[last].bout;
            speeds.push(SpeedPiece {
                from_bout: wanted[first].bout,
                to_bout,
                error_ppm: fit.speed_ppm(),
                standard_error_ppm: fit.speed_error_ppm(),
                worth_bouts: worth::bouts(test, to_bout, fit.speed_ppm()),
            });
            lines.push((number, first..last + 1, fit));
        }
    }
    let expect = |l: &Looked| {
        let line = lines
            .iter()
            .find(|(run, range, _)| *run == l.run && range.contains(&l.index));
        let timeline = wanted[l.index].timeline_s;
        line.map_or_else(|| runs[l.run].heard(timeline), |(.., fit)| fit.at(timeline))
    };
    let cues: Vec<HeardCue> = looked
        .iter()
        .map(|l| {
            let cue = &wanted[l.index];
            let expected_s = expect(l);
            let heard_s = l.found.map(|f| f.at_s);
            let near = |r: &book::Reading| {
                (r.timeline_s - cue.timeline_s).abs() < 1e-6
                    && (r.heard_s - expected_s).abs() < 0.05
            };
            HeardCue {
                bout: cue.bout,
                label: cue.label.clone(),
                kind: cue.kind.as_str().to_owned(),
                timeline_s: cue.timeline_s,
                expected_s,
                heard_s,
                error_ms: heard_s.map(|h| (h - expected_s) * 1000.0),
                level_db: l.found.map(|f| f.level_db),
                code_read: readings.iter().any(near),
                overdriven: false,
            }
        })
        .collect();
    let errors = cues.iter().filter_map(|c| c.error_ms.map(f64::abs));
    OwnTrack {
        test: test.id().to_owned(),
        tests: Vec::new(),
        script,
        offset_s: lines
            .first()
            .map_or_else(|| runs[0].heard(0.0), |(.., fit)| fit.offset),
        speed_ppm: overall(&lines),
        gaps: gaps::gaps(
            &cues,
            looked
                .iter()
                .map(|l| (l.run, runs[l.run].rate(wanted[l.index].timeline_s))),
        ),
        speeds,
        residual_ms: median(errors.collect()),
        worst_interval_ms: worst_interval(&cues, looked),
        cues,
    }
}

/// The speed over all lines, each by its weight, with its standard error.
fn overall(lines: &[(usize, std::ops::Range<usize>, Fit)]) -> Option<(f64, f64)> {
    let weights = lines.iter().map(|(.., f)| (f, f.rate_error.powi(-2)));
    let (sum, weight) = weights.fold((0.0, 0.0), |(s, w), (fit, weight)| {
        (s + weight * fit.speed_ppm(), w + weight)
    });
    if weight <= 0.0 {
        return None;
    }
    let mean = sum / weight;
    // Lines that differ by more than their own errors widen it.
    let spread: f64 = lines
        .iter()
        .map(|(.., f)| ((f.speed_ppm() - mean) / f.speed_error_ppm()).powi(2))
        .sum();
    let wider = (spread / (lines.len().max(2) - 1) as f64).max(1.0).sqrt();
    Some((mean, wider * 1e6 / weight.sqrt()))
}

/// The largest error of an interval between neighbouring confirmed cues of one run, ms.
fn worst_interval(cues: &[HeardCue], looked: &[Looked]) -> Option<f64> {
    let confirmed: Vec<(usize, &HeardCue)> = looked
        .iter()
        .map(|l| l.run)
        .zip(cues)
        .filter(|(_, c)| c.heard_s.is_some())
        .collect();
    let errors = confirmed.windows(2).filter_map(|pair| {
        let ((run_a, a), (run_b, b)) = (pair[0], pair[1]);
        let heard = b.heard_s? - a.heard_s?;
        (run_a == run_b).then(|| (heard - (b.timeline_s - a.timeline_s)).abs() * 1000.0)
    });
    errors.max_by(f64::total_cmp)
}
