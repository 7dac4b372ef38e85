//! Prints how well tracks are heard in hard conditions, as tables for `docs/methods/listening.md`.
//! Everything is simulated and seeded. MP3 needs `ffmpeg` in the path; without it the row says so.
//! Usage: `cargo run --release -p plimsoll-listen --example grid [-- PART-OF-A-CONDITION]`
#![expect(clippy::print_stdout, reason = "a table is all it makes")]

#[path = "../tests/it/own/degrade.rs"]
#[expect(dead_code, reason = "shared with the tests, which use more of it")]
mod degrade;

use std::error::Error;
use std::fmt::Write as _;
use std::process::Command;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use degrade::{Clip, Noise, Score, background};
use plimsoll_ladder::Catalogue;
use plimsoll_listen::{Heard, Kind, Listener, read};
use plimsoll_sound::{Plan, TrackOptions, Until, measure, render};

type Fallible<T> = Result<T, Box<dyn Error + Send + Sync>>;
/// Where each instant of a track sounds in a recording, s.
type Sounds = Box<dyn Fn(f64) -> Vec<f64> + Send + Sync>;
/// Makes a recording, as a file with its ending.
type Make = Box<dyn Fn() -> Fallible<(Vec<u8>, &'static str)> + Send + Sync>;

/// The test played, and how much of it, s.
const TEST: &str = "ir1";
const LENGTH_S: u32 = 240;
/// The recorder of a telephone, and of a computer, samples a second.
const NARROW: f64 = 8_000.0;
const WIDE: f64 = 48_000.0;
const NOISES: [Noise; 3] = [Noise::White, Noise::Wind, Noise::Babble];
/// Two recordings at a time.
const WORKERS: usize = 2;
/// How long a cue with its code lasts at most, s.
const CUE_S: f64 = 0.6;
/// Speed of sound, m/s, at about 20 °C.
const SOUND_M_PER_S: f64 = 343.0;

/// One recording to be heard.
struct Cell {
    part: usize,
    name: String,
    make: Make,
    sounds: Sounds,
    /// Speed that is right, parts per million, where there is one.
    ppm: Option<f64>,
}

const PARTS: [(&str, bool); 6] = [
    ("Noise, recorded at 8 kHz", true),
    ("Noise, recorded at 48 kHz", true),
    ("Hall, echo, clock, breaks, narrow band", true),
    ("A track without codes", false),
    ("Nothing played", false),
    ("Every paced test, two minutes of it, white 0 dB", false),
];

fn main() -> Fallible<()> {
    let catalogue = Catalogue::built_in();
    let (plan, track) = track(&catalogue, TEST, LENGTH_S)?;
    let narrow = track.recorded(1.0, NARROW);
    let mut cells = Vec::new();
    noise(&mut cells, &track, &narrow);
    conditions(&mut cells, &track, &narrow);
    foreign(&mut cells, &plan);
    nothing(&mut cells);
    every(&mut cells, &catalogue);
    if let Some(word) = std::env::args().nth(1) {
        cells.retain(|cell| cell.name.contains(&word));
    }
    let listener = Listener::new(&catalogue);
    let next = AtomicUsize::new(0);
    let rows: Mutex<Vec<(usize, usize, String)>> = Mutex::new(Vec::new());
    let work = || -> Fallible<()> {
        while let Some((number, cell)) = {
            let number = next.fetch_add(1, Ordering::Relaxed);
            cells.get(number).map(|c| (number, c))
        } {
            let row = match (cell.make)() {
                Ok((file, ending)) => row(cell, &plan, &hear(&listener, file, ending)?)?,
                Err(fault) => format!("| {} | not made: {fault} |", cell.name),
            };
            let mut rows = rows.lock().map_err(|_| "a worker stopped")?;
            rows.push((cell.part, number, row));
        }
        Ok(())
    };
    std::thread::scope(|scope| -> Fallible<()> {
        let workers: Vec<_> = (0..WORKERS).map(|_| scope.spawn(work)).collect();
        for worker in workers {
            worker.join().map_err(|_| "a worker stopped")??;
        }
        Ok(())
    })?;
    let mut rows = rows.into_inner().map_err(|_| "a worker stopped")?;
    rows.sort();
    for (part, (title, own)) in PARTS.iter().enumerate() {
        println!("### {title}\n");
        if *own {
            println!(
                "| Condition | Named right | Confirmed, % | False | Error, median ms | 95th percentile ms | Speed error, ppm |"
            );
            println!("|---|---|---|---|---|---|---|");
        } else {
            println!("| Condition | Answer | Likeliest |");
            println!("|---|---|---|");
        }
        for (.., row) in rows.iter().filter(|r| r.0 == part) {
            println!("{row}");
        }
        println!();
    }
    Ok(())
}

fn row(cell: &Cell, plan: &Plan, heard: &Heard) -> Fallible<String> {
    let mut row = format!("| {} ", cell.name);
    if !PARTS[cell.part].1 {
        let answer = match heard.kind {
            Kind::NotRecognised => "not recognised".to_owned(),
            Kind::Shared => format!("one of {}", heard.shared.join(", ")),
            Kind::Own | Kind::Foreign => heard.test.clone().unwrap_or_default(),
        };
        let first = heard.posterior.first();
        let likeliest = first.map_or_else(|| "–".to_owned(), |(id, p)| format!("{id} {p:.3}"));
        write!(row, "| {answer} | {likeliest} |")?;
        return Ok(row);
    }
    let right = heard.kind == Kind::Own && heard.test.as_deref() == Some(TEST);
    let score = Score::new(plan, heard, &cell.sounds);
    let named = match (right, &heard.test, heard.kind) {
        (true, ..) => "yes".to_owned(),
        (false, Some(test), _) => format!("**{test}**"),
        (false, None, Kind::Shared) => format!("**one of {}**", heard.shared.join(", ")),
        (false, None, _) => "no: not recognised".to_owned(),
    };
    write!(row, "| {named} | {:.0} | {} ", score.percent(), score.wrong)?;
    if score.errors_ms.is_empty() {
        row.push_str("| – | – ");
    } else {
        let (half, most) = (score.error_ms(0.5), score.error_ms(0.95));
        write!(row, "| {half:.3} | {most:.3} ")?;
    }
    match (cell.ppm, heard.speed_error_ppm) {
        (Some(truth), Some(ppm)) if (ppm - truth).abs() < 0.05 => row.push_str("| 0.0 |"),
        (Some(truth), Some(ppm)) => write!(row, "| {:+.1} |", ppm - truth)?,
        _ => row.push_str("| – |"),
    }
    Ok(row)
}

fn hear(listener: &Listener<'_>, file: Vec<u8>, ending: &str) -> Fallible<Heard> {
    let mut recording = read::open(Box::new(std::io::Cursor::new(file)), Some(ending))?;
    Ok(listener.listen(&mut recording, tempfile::tempfile()?, None)?)
}

fn track(catalogue: &Catalogue, id: &str, seconds: u32) -> Fallible<(Plan, Clip)> {
    let test = catalogue.get(id).ok_or("the test is not built in")?;
    let options = TrackOptions {
        until: Some(Until::Seconds(seconds)),
        ..TrackOptions::default()
    };
    let plan = Plan::new(test, &options, None)?;
    let mut samples: Vec<i16> = Vec::new();
    let Ok(()) = render(&plan, measure(&plan, 1).gain_db, &mut samples);
    let samples = samples.iter().map(|s| f32::from(*s) / 32_768.0).collect();
    let rate = f64::from(plan.rate);
    Ok((plan, Clip { samples, rate }))
}

fn noise(cells: &mut Vec<Cell>, track: &Clip, narrow: &Clip) {
    let wide = track.recorded(1.0, WIDE);
    let levels = [-10.0, -5.0, 0.0, 5.0, 10.0, 20.0, 30.0];
    for (part, clip, levels) in [(0, narrow, &levels[..]), (1, &wide, &levels[1..4])] {
        for noise in NOISES {
            for (seed, snr) in levels.iter().copied().enumerate() {
                let clip = clip.clone();
                let make = move || clip.clone().with_noise(noise, snr, 100 + seed as u64);
                let name = format!("{} {snr:.0} dB", named(noise));
                cells.push(cell(part, name, make, once, Some(0.0)));
            }
        }
    }
}

/// Without noise but for a floor 30 dB below the cues, so that no silence is perfect.
fn conditions(cells: &mut Vec<Cell>, track: &Clip, narrow: &Clip) {
    const FLOOR_DB: f64 = 30.0;
    let mut add = |name: String, clip: Clip, sounds: Sounds, ppm: f64| {
        let make = move || clip.clone().with_noise(Noise::White, FLOOR_DB, 7);
        cells.push(cell(2, name, make, sounds, Some(ppm)));
    };
    for rt60 in [0.5, 1.0, 2.0] {
        for tail in [-4.0, 3.0] {
            let name = format!("hall, RT60 {rt60} s, tail {tail:+.0} dB");
            add(
                name,
                narrow.in_hall_with(rt60, tail, 9),
                Box::new(once),
                0.0,
            );
        }
    }
    for (level, name) in [(0.501_f32, "−6"), (0.708, "−3")] {
        for metres in [12.0, 24.0, 48.0, 96.0] {
            let after = metres / SOUND_M_PER_S;
            let name = format!("echo {name} dB, {:.0} ms later", after * 1000.0);
            let clip = narrow.clone().echoed(after, level);
            add(name, clip, Box::new(once), 0.0);
        }
    }
    for ppm in [-5_000.0, -2_000.0, 0.0, 2_000.0, 5_000.0_f64] {
        let slow = 1.0 / (1.0 + ppm / 1e6);
        let sounds = Box::new(move |t: f64| vec![t * slow]);
        add(
            format!("clock {ppm:+.0} ppm"),
            track.recorded(slow, NARROW),
            sounds,
            ppm,
        );
    }
    let drops = [
        (40.0, 0.2),
        (61.0, 0.5),
        (83.0, 1.0),
        (118.0, 2.0),
        (150.0, 1.0),
        (201.0, 0.3),
    ];
    let mut dropped = narrow.clone();
    for (at, length) in drops {
        dropped = dropped.dropped(at, length);
    }
    // A cue of which all is lost does not sound.
    let sounds = move |t: f64| {
        let lost = drops
            .iter()
            .any(|(at, length)| *at <= t && t + CUE_S <= at + length);
        if lost { Vec::new() } else { vec![t] }
    };
    add(
        "six dropouts of 0.2 to 2 s".to_owned(),
        dropped,
        Box::new(sounds),
        0.0,
    );
    let sounds = |t: f64| vec![if t < 103.0 { t } else { t + 20.0 }];
    add(
        "pause of 20 s".to_owned(),
        narrow.clone().paused(103.0, 20.0),
        Box::new(sounds),
        0.0,
    );
    // From 123 s on, the track again from 20 s.
    let sounds = |t: f64| {
        let first = (t + CUE_S < 123.0).then_some(t);
        let second = (t >= 20.0).then_some(t + 103.0);
        first.into_iter().chain(second).collect()
    };
    add(
        "begun again".to_owned(),
        narrow.clone().restarted(123.0, 20.0),
        Box::new(sounds),
        0.0,
    );
    add(
        "telephone band".to_owned(),
        track.telephone(),
        Box::new(once),
        0.0,
    );
    // Cues that are expected and do not sound, under noise: none may be confirmed.
    for noise in NOISES {
        for snr in [-10.0, 0.0, 10.0] {
            let clip = narrow.clone().dropped(60.0, 120.0);
            let name = format!("loudspeaker silent for 120 s, {} {snr:.0} dB", named(noise));
            let make = move || clip.clone().with_noise(noise, snr, 61);
            let sounds = |t: f64| {
                let lost = 60.0 <= t + CUE_S && t <= 180.0;
                if lost { Vec::new() } else { vec![t] }
            };
            cells.push(cell(2, name, make, sounds, Some(0.0)));
        }
    }
    let telephone = track.telephone().in_hall_with(1.0, 0.0, 5);
    for noise in NOISES {
        let clip = telephone.clone();
        let name = format!(
            "telephone band, hall of 1 s, tail +0 dB, {} 0 dB",
            named(noise)
        );
        cells.push(cell(
            2,
            name,
            move || clip.clone().with_noise(noise, 0.0, 8),
            once,
            Some(0.0),
        ));
    }
    let wide = track
        .recorded(1.0, WIDE)
        .with_noise(Noise::White, FLOOR_DB, 7);
    cells.push(Cell {
        part: 2,
        name: "MP3 at 32 kbit/s".to_owned(),
        make: Box::new(move || Ok((mp3(&wide)?, "mp3"))),
        sounds: Box::new(once),
        ppm: Some(0.0),
    });
}

/// Plain pips at the instants of the cues.
fn foreign(cells: &mut Vec<Cell>, plan: &Plan) {
    let pips = |until_s: f64, lead: f64, times: &[f64]| {
        let mut samples = vec![0.0_f32; (until_s * NARROW) as usize];
        for at in times.iter().map(|t| t + lead).filter(|t| t + 0.2 < until_s) {
            let from = (at * NARROW).ceil() as usize;
            for i in 0..(0.15 * NARROW) as usize {
                let t = i as f64 / NARROW;
                let edge = (t / 0.005).min((0.15 - t) / 0.005).clamp(0.0, 1.0);
                samples[from + i] =
                    (0.5 * edge * (std::f64::consts::TAU * 1_000.0 * t).sin()) as f32;
            }
        }
        Clip {
            samples,
            rate: NARROW,
        }
    };
    let times: Vec<f64> = plan
        .cues
        .iter()
        .map(|c| c.at.as_nanos() as f64 / 1e9)
        .collect();
    for noise in NOISES {
        for snr in [20.0, 10.0, 5.0, 0.0, -5.0] {
            let clip = pips(f64::from(LENGTH_S) + 20.0, 3.0, &times);
            let make = move || clip.clone().with_noise(noise, snr, 21);
            cells.push(cell(
                3,
                format!("pips, {} {snr:.0} dB", named(noise)),
                make,
                once,
                None,
            ));
        }
    }
}

/// Two minutes of a track of every paced test.
fn every(cells: &mut Vec<Cell>, catalogue: &Catalogue) {
    for test in catalogue.iter().filter(|t| t.shape().is_paced()) {
        let id = test.id().to_owned();
        let make = {
            let id = id.clone();
            move || {
                let (_, track) = track(&Catalogue::built_in(), &id, 120)?;
                let clip = track.recorded(1.0, NARROW);
                Ok((clip.with_noise(Noise::White, 0.0, 41).wav(), "wav"))
            }
        };
        cells.push(Cell {
            part: 5,
            name: id,
            make: Box::new(make),
            sounds: Box::new(once),
            ppm: None,
        });
    }
}

/// Ten minutes of what is no track, three times each.
fn nothing(cells: &mut Vec<Cell>) {
    let length = (600.0 * NARROW) as usize;
    for seed in 31..34_u64 {
        for noise in NOISES {
            let make = move || clip_of(background(noise, length, NARROW, seed));
            cells.push(cell(
                4,
                format!("10 min of {}, seed {seed}", named(noise)),
                make,
                once,
                None,
            ));
        }
        let make = move || clip_of(music(length, seed));
        cells.push(cell(
            4,
            format!("10 min of music-like tones, seed {seed}"),
            make,
            once,
            None,
        ));
    }
    for every in [0.5, 5.0] {
        let make = move || {
            let tick = |i: usize| {
                let t = (i as f64 / NARROW) % every;
                if t < 0.1 {
                    (0.5 * (std::f64::consts::TAU * 1_500.0 * t).sin()) as f32
                } else {
                    0.0
                }
            };
            Clip {
                samples: (0..length).map(tick).collect(),
                rate: NARROW,
            }
            .with_noise(Noise::White, 20.0, 5)
        };
        cells.push(cell(
            4,
            format!("10 min of a metronome, every {every} s"),
            make,
            once,
            None,
        ));
    }
}

/// Notes of a scale with their harmonics at an even 120 beats a minute, over held chords.
fn music(length: usize, seed: u64) -> Vec<f32> {
    use rand::{Rng, SeedableRng};
    const SCALE: [f64; 7] = [0.0, 2.0, 4.0, 5.0, 7.0, 9.0, 11.0];
    let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(seed);
    let mut out = vec![0.0_f32; length];
    let (beat, mut at) = ((0.5 * NARROW) as usize, 0);
    while at < length {
        let beats = [1, 1, 1, 2, 2, 4][random.random_range(0..6)];
        let notes = if random.random_bool(0.3) { 3 } else { 1 };
        for _ in 0..notes {
            let step =
                SCALE[random.random_range(0..7)] + 12.0 * f64::from(random.random_range(0..3));
            let hz = 220.0 * 2_f64.powf(step / 12.0);
            let held = beats * beat * 9 / 10;
            for (i, sample) in out[at..length.min(at + held)].iter_mut().enumerate() {
                let t = i as f64 / NARROW;
                let swell =
                    (t / 0.02).min(1.0) * (-t / 1.5).exp() * ((held - i) as f64 / 200.0).min(1.0);
                let tone: f64 = (1..=4)
                    .filter(|h| hz * f64::from(*h) < 3_900.0)
                    .map(|h| (std::f64::consts::TAU * hz * f64::from(h) * t).sin() / f64::from(h))
                    .sum();
                *sample += (swell * tone) as f32;
            }
        }
        at += beats * beat;
    }
    out
}

fn clip_of(samples: Vec<f32>) -> Clip {
    Clip {
        samples,
        rate: NARROW,
    }
    .unclipped()
}

fn once(track_s: f64) -> Vec<f64> {
    vec![track_s]
}

const fn named(noise: Noise) -> &'static str {
    match noise {
        Noise::White => "white",
        Noise::Wind => "wind",
        Noise::Babble => "babble",
    }
}

fn cell(
    part: usize,
    name: String,
    make: impl Fn() -> Clip + Send + Sync + 'static,
    sounds: impl Fn(f64) -> Vec<f64> + Send + Sync + 'static,
    ppm: Option<f64>,
) -> Cell {
    Cell {
        part,
        name,
        make: Box::new(move || Ok((make().wav(), "wav"))),
        sounds: Box::new(sounds),
        ppm,
    }
}

/// Through MP3 and back.
fn mp3(clip: &Clip) -> Fallible<Vec<u8>> {
    let folder = tempfile::tempdir()?;
    let (from, to) = (folder.path().join("a.wav"), folder.path().join("a.mp3"));
    std::fs::write(&from, clip.wav())?;
    let done = Command::new("ffmpeg")
        .args(["-v", "error", "-i"])
        .arg(&from)
        .args(["-b:a", "32k"])
        .arg(&to)
        .status()?;
    if !done.success() {
        return Err(format!("ffmpeg ended with {done}").into());
    }
    Ok(std::fs::read(&to)?)
}
