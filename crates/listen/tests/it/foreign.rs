//! The recogniser against ladders played wrong and against lists that are no ladder.
//! Tolerances are named; every list is drawn from a named, seeded generator.

use std::collections::BTreeMap;

use plimsoll_ladder::Catalogue;
use plimsoll_listen::foreign::{Options, Recogniser, Verdict, candidates};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Trials of played ladders, and how many must be right.
const TRIALS: u64 = 1_000;
const LEAST_RIGHT: usize = 990;
/// Lists without a ladder, and how many must be refused.
const OTHERS: u64 = 200;
const LEAST_REFUSED: usize = 199;
/// Of 300 poor recordings, how many may be named wrongly and how many must be right.
const MOST_WRONG_POOR: usize = 3;
const LEAST_RIGHT_POOR: usize = 240;
/// Shortest stretch, seconds.
const SHORTEST: f64 = 240.0;
/// Two ladders share a stretch when each sounded cue of one lies this near a cue of the other
/// after the best line, seconds: well below a tenth of the 0.1 to 0.2 s between neighbouring
/// speeds, above twice the jitter.
const SHARED_WITHIN: f64 = 0.015;

/// Offset and speed of a right answer, seconds and parts per million: 5 ms over the root of 30
/// cues in 240 s, extrapolated up to 2 000 s back to the start, five standard deviations.
const OFFSET: f64 = 0.12;
const SPEED_PPM: f64 = 70.0;

/// Draws from a normal distribution (Box and Muller).
fn normal(rng: &mut ChaCha8Rng) -> f64 {
    let (u, v): (f64, f64) = (1.0 - rng.random::<f64>(), rng.random());
    (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
}

/// Returns the distinct instants of every paced test.
fn played() -> Vec<(String, Vec<f64>)> {
    let mut all = Vec::new();
    for test in Catalogue::built_in().iter() {
        let mut cues: Vec<f64> = test.cues().iter().map(|c| c.at.as_secs_f64()).collect();
        cues.dedup_by(|b, a| *b - *a < 0.02);
        if !cues.is_empty() {
            all.push((test.id().to_owned(), cues));
        }
    }
    all
}

struct Trial {
    id: String,
    /// Track times of the cues that were heard.
    kept: Vec<f64>,
    sounded: usize,
    onsets: Vec<f64>,
    rate: f64,
    start: f64,
}

fn trial(rng: &mut ChaCha8Rng, id: &str, cues: &[f64]) -> Trial {
    let whole = *cues.last().expect("a ladder has cues");
    let (mut from, mut to) = (0.0, whole);
    if rng.random_bool(0.75) && whole > SHORTEST {
        let length = rng.random_range(SHORTEST..whole);
        from = rng.random_range(0.0..whole - length);
        to = from + length;
    }
    let speed: f64 = rng.random_range(-0.02..0.02);
    let rate = 1.0 / (1.0 + speed);
    let lead: f64 = rng.random_range(0.0..60.0);
    let start = lead - rate * from;
    let mut kept = Vec::new();
    let mut onsets = Vec::new();
    let mut sounded = 0;
    for t in cues.iter().filter(|t| **t >= from && **t <= to) {
        sounded += 1;
        if rng.random_bool(0.9) {
            kept.push(*t);
            onsets.push(start + rate * t + 0.005 * normal(rng));
        }
    }
    let others = (0.1 * sounded as f64).round() as usize;
    let end = lead + rate * (to - from) + 10.0;
    for _ in 0..others {
        onsets.push(rng.random_range(0.0..end));
    }
    onsets.sort_by(f64::total_cmp);
    Trial {
        id: id.to_owned(),
        kept,
        sounded,
        onsets,
        rate,
        start,
    }
}

/// Returns whether another ladder has every kept cue, on some line: a slow check of its own,
/// by trying each of its cues as the first and each of those near the end as the last.
fn shares(kept: &[f64], sounded: usize, other: &[f64]) -> bool {
    let (first, last) = (kept[0], kept[kept.len() - 1]);
    let span = last - first;
    let near = |t: f64| {
        let k = other.partition_point(|o| *o < t);
        let after = other.get(k).map_or(f64::INFINITY, |o| o - t);
        let before = k.checked_sub(1).map_or(f64::INFINITY, |k| t - other[k]);
        after.min(before)
    };
    for (i, o) in other.iter().enumerate() {
        for p in &other[i + 1..] {
            let b = (p - o) / span;
            if !(0.93..=1.07).contains(&b) {
                continue;
            }
            let inside = other.iter().filter(|t| **t >= *o && **t <= *p).count();
            // The other must not have many cues more than sounded.
            if inside > sounded + 3 {
                continue;
            }
            let far = kept
                .iter()
                .filter(|t| near(o + b * (*t - first)) > SHARED_WITHIN)
                .count();
            if far == 0 {
                return true;
            }
        }
    }
    false
}

#[test]
fn names_every_ladder_or_says_what_it_shares() {
    let ladders = played();
    let recogniser = Recogniser::new(candidates(&Catalogue::built_in()));
    let mut tally: BTreeMap<String, [usize; 4]> = BTreeMap::new();
    let mut wrong = Vec::new();
    let mut loose = Vec::new();
    let started = std::time::Instant::now();
    let mut spent = std::time::Duration::ZERO;
    for seed in 0..TRIALS {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        let (id, ladder) = &ladders[seed as usize % ladders.len()];
        let t = trial(&mut rng, id, ladder);
        let clock = std::time::Instant::now();
        let r = recogniser.recognise(&t.onsets, &Options::default());
        spent += clock.elapsed();
        let slot = tally.entry(t.id.clone()).or_default();
        let ladder_of = |id: &str| {
            let found = ladders.iter().find(|l| l.0 == id);
            &found.expect("an id of the catalogue").1
        };
        let fault = match &r.verdict {
            Verdict::Recognised { id } if *id == t.id => {
                slot[0] += 1;
                None
            }
            Verdict::Shared { ids } if ids.contains(&t.id) => {
                let not = ids
                    .iter()
                    .find(|id| **id != t.id && !shares(&t.kept, t.sounded, ladder_of(id)));
                slot[1] += usize::from(not.is_none());
                not.map(|id| format!("{id} does not share this stretch"))
            }
            _ => Some("wrong".to_owned()),
        };
        let Some(fault) = fault else {
            let speed = (r.speed_error_ppm - (1.0 / t.rate - 1.0) * 1e6).abs();
            // A shared ladder of other instants may fit with its own rate and start.
            let own = ladder_of(&r.offset_of)[..8] == ladder[..8];
            let off = (r.offset_s - t.start).abs();
            if own && !r.offset_ambiguous && (off > OFFSET || speed > SPEED_PPM) {
                loose.push(format!("{seed} {} off {off} s, {speed} ppm", t.id));
            }
            continue;
        };
        if r.verdict == Verdict::NotRecognised {
            slot[2] += 1;
        } else {
            slot[3] += 1;
        }
        wrong.push(format!(
            "{seed} {}: {fault}: {:?} matched {}/{} false {} of {} kept, none {:.3}, {:?}",
            t.id,
            r.verdict,
            r.matched,
            r.expected,
            r.false_onsets,
            t.kept.len(),
            r.none,
            r.posterior.iter().take(3).collect::<Vec<_>>()
        ));
    }
    let mut page = String::from("ladder: named, shared, refused, wrong\n");
    for (id, slot) in &tally {
        page.push_str(&format!("{id}: {slot:?}\n"));
    }
    page.push_str(&format!(
        "{:?} in calls, {:?} in all\n",
        spent,
        started.elapsed()
    ));
    page.push_str(&wrong.join("\n"));
    page.push_str(&loose.join("\n"));
    println!("{page}");
    assert!(loose.is_empty(), "{page}");
    let right: usize = tally.values().map(|s| s[0] + s[1]).sum();
    assert!(right >= LEAST_RIGHT, "{right} right\n{page}");
}

/// Returns a list in which no ladder was played.
fn other(rng: &mut ChaCha8Rng, kind: u64) -> Vec<f64> {
    let length = rng.random_range(240.0..1_500.0);
    let mut all = Vec::new();
    let mut t = 0.0;
    let wait = |rng: &mut ChaCha8Rng, rate: f64| -(1.0 - rng.random::<f64>()).ln() / rate;
    match kind % 4 {
        0 | 1 => {
            let rate = rng.random_range(0.05..1.0);
            while t < length {
                t += wait(rng, rate);
                all.push(t);
            }
        }
        2 => {
            // Claps on the beat. A beat of 6 s is the ladder of equal cues, so 5.6 to 6.4 s is
            // left out.
            let mut period = rng.random_range(0.35..20.0);
            while (5.6..6.4).contains(&period) {
                period = rng.random_range(0.35..20.0);
            }
            let jitter = rng.random_range(0.0..0.03);
            while t < length {
                t += period;
                if rng.random_bool(0.95) {
                    all.push(t + jitter * normal(rng));
                }
            }
        }
        _ => {
            while t < length {
                t += wait(rng, 0.15);
                for _ in 0..rng.random_range(2..9) {
                    t += rng.random_range(0.12..0.6);
                    all.push(t);
                }
            }
        }
    }
    all.sort_by(f64::total_cmp);
    all
}

#[test]
fn refuses_what_is_no_ladder() {
    let recogniser = Recogniser::new(candidates(&Catalogue::built_in()));
    let mut named = Vec::new();
    let mut spent = std::time::Duration::ZERO;
    let mut slowest = std::time::Duration::ZERO;
    for seed in 0..OTHERS {
        let mut rng = ChaCha8Rng::seed_from_u64(1_000_000 + seed);
        let onsets = other(&mut rng, seed);
        let clock = std::time::Instant::now();
        let r = recogniser.recognise(&onsets, &Options::default());
        slowest = slowest.max(clock.elapsed());
        spent += clock.elapsed();
        if r.verdict != Verdict::NotRecognised {
            named.push(format!(
                "{seed} kind {}: {:?} {}/{} of {}, none {:.3}",
                seed % 4,
                r.verdict,
                r.matched,
                r.expected,
                onsets.len(),
                r.none
            ));
        }
    }
    let refused = OTHERS as usize - named.len();
    println!(
        "{refused} refused in {spent:?}, slowest {slowest:?}\n{}",
        named.join("\n")
    );
    assert!(
        refused >= LEAST_REFUSED,
        "{refused} refused:\n{}",
        named.join("\n")
    );
}

#[test]
fn tracks_that_leave_cues_out_and_poor_recordings_are_not_named_wrongly() {
    let list = candidates(&Catalogue::built_in());
    let recogniser = Recogniser::new(list.clone());
    let mut tally: BTreeMap<&str, [usize; 3]> = BTreeMap::new();
    let mut wrong = Vec::new();
    for seed in 0..300 {
        let mut rng = ChaCha8Rng::seed_from_u64(2_000_000 + seed);
        let candidate = &list[seed as usize % list.len()];
        let cues = &candidate.cues;
        let end = cues[cues.len() - 1];
        // A third of the cues missing, as many false onsets as cues, 12 ms of jitter.
        let from = rng.random_range(0.0..(end - 360.0).max(1.0));
        let mut onsets = Vec::new();
        for t in cues.iter().filter(|t| (from..from + 360.0).contains(*t)) {
            if rng.random_bool(0.67) {
                onsets.push(100.0 + 1.01 * (t - from) + 0.012 * normal(&mut rng));
            }
            onsets.push(rng.random_range(95.0..470.0));
        }
        let slot = tally.entry(candidate.sounded.as_str()).or_default();
        let r = recogniser.recognise(&onsets, &Options::default());
        match r.verdict.clone() {
            Verdict::Recognised { id } if candidate.ids.contains(&id) => slot[0] += 1,
            Verdict::Shared { ids } if candidate.ids.iter().any(|id| ids.contains(id)) => {
                slot[0] += 1;
            }
            Verdict::NotRecognised => slot[1] += 1,
            named => {
                slot[2] += 1;
                wrong.push(format!(
                    "{seed} {:?} {}: {named:?} {}/{} of {}, none {:e}",
                    candidate.ids,
                    candidate.sounded,
                    r.matched,
                    r.expected,
                    onsets.len(),
                    r.none
                ));
            }
        }
    }
    let page = format!("right, refused, wrong: {tally:#?}\n{}", wrong.join("\n"));
    println!("{page}");
    let right: usize = tally.values().map(|s| s[0]).sum();
    assert!(
        wrong.len() <= MOST_WRONG_POOR && right >= LEAST_RIGHT_POOR,
        "{page}"
    );
}

#[test]
fn a_ladder_of_equal_bouts_does_not_tell_where_it_began() {
    let recogniser = Recogniser::new(candidates(&Catalogue::built_in()));
    for (id, ambiguous) in [("int12_6", true), ("int45_15", true), ("msr20", false)] {
        let ladders = played();
        let cues = &ladders.iter().find(|l| l.0 == id).expect("shipped").1;
        let stretch = cues.iter().filter(|t| (300.0..900.0).contains(*t));
        let onsets: Vec<f64> = stretch.map(|t| 0.99 * t - 250.0).collect();
        let r = recogniser.recognise(&onsets, &Options::default());
        assert_eq!(r.verdict, Verdict::Recognised { id: id.to_owned() });
        assert_eq!(r.offset_ambiguous, ambiguous, "{id}");
        assert_eq!(r.false_onsets, 0, "{id}");
        // Played in 0.99 of the time: 1/0.99 - 1 fast.
        assert!(
            (r.speed_error_ppm - 10_101.0).abs() < 20.0,
            "{id} {}",
            r.speed_error_ppm
        );
    }
    let nothing = recogniser.recognise(&[], &Options::default());
    assert_eq!(nothing.verdict, Verdict::NotRecognised);
    let odd = recogniser.recognise(&[f64::NAN, 1.0, 1.0, f64::INFINITY], &Options::default());
    assert_eq!(odd.verdict, Verdict::NotRecognised);
}
