//! The sound of the demo's test day: a track, a recording of it played badly, and what is heard.
//! The recording is made here and says so; nothing of it was ever in the air.

use std::fs::File;
use std::io::BufWriter;
use std::path::Path;

use plimsoll_archive::{SoundCheckKind, TestDay, Writer};
use plimsoll_ladder::{Catalogue, Test};
use plimsoll_sound::file::{Format, Spec, Tags, Writer as SoundWriter};
use plimsoll_sound::voice::{Language, Voice};
use plimsoll_sound::{Plan, TrackOptions, Until, measure, render};

use super::listen;
use crate::failure::Failure;

/// Minutes of the test on the track: longer than anyone ran.
const MINUTES: u32 = 18;
/// Samples per second of the recording.
const RECORDED: u32 = 44_100;
/// How many times as slowly it was played: a tenth of a percent.
const SLOW: f64 = 1.001;
/// Where playback stood still, s of the recording, and how long.
const PAUSE: (f64, f64) = (374.0, 6.0);
/// Loudness of the track in the recording, and of the wind against it.
const LEVEL: f32 = 0.35;
const WIND: f32 = 0.05;

/// Makes a track and a recording of it, listens, keeps what was heard; returns what to say.
pub fn step(
    archive: &mut Writer,
    catalogue: &Catalogue,
    day: &TestDay,
    test: &Test,
    out: &Path,
) -> Result<Vec<String>, Failure> {
    let folder = out.join("sound");
    std::fs::create_dir_all(&folder).map_err(|e| at(&folder, &e))?;
    let options = TrackOptions {
        until: Some(Until::Seconds(MINUTES * 60)),
        ..TrackOptions::default()
    };
    let voice = Voice::built_in(Language::English).map_err(Failure::new)?;
    let plan = Plan::new(test, &options, Some(&voice)).map_err(Failure::new)?;
    let gain = measure(&plan, 1).gain_db;
    let track = folder.join("track.flac");
    let mut writer = open(&track, Format::Flac, plan.rate, plan.samples)?;
    render(&plan, gain, &mut writer).map_err(|e| at(&track, &e))?;
    writer.finish().map_err(|e| at(&track, &e))?;

    let mut samples: Vec<i16> = Vec::new();
    let Ok(()) = render(&plan, gain, &mut samples);
    let recorded = recorded(&samples, plan.rate);
    let path = folder.join("recording.mp3");
    let mut writer = open(&path, Format::Mp3, RECORDED, recorded.len() as u64)?;
    writer.write(&recorded).map_err(|e| at(&path, &e))?;
    writer.finish().map_err(|e| at(&path, &e))?;

    let heard = listen::hear(catalogue, &path, Some(test.id()))?;
    listen::attach_file(archive, day, SoundCheckKind::During, &path, &heard)?;
    listen::figure(&heard, &folder.join("timing.svg"))?;
    let mut lines = vec![format!(
        "sound/track.flac: {MINUTES} minutes of `{}` with every cue on its sample. sound/recording.mp3: \
         a made-up recording of it, 0.1 % slow, with wind and a pause of {} s.",
        test.id(),
        PAUSE.1
    )];
    lines.extend(heard.meaning);
    lines.push(
        "Kept beside today's test day; the report shows it as the sound certificate.".to_owned(),
    );
    Ok(lines)
}

fn open(
    path: &Path,
    format: Format,
    rate: u32,
    samples: u64,
) -> Result<SoundWriter<BufWriter<File>>, Failure> {
    let file = File::create(path).map_err(|e| at(path, &e))?;
    let spec = Spec {
        rate,
        channels: 1,
        samples,
    };
    let tags = Tags {
        title: "Invented test day".to_owned(),
        ..Tags::default()
    };
    SoundWriter::create(format, BufWriter::new(file), &spec, &tags, &[]).map_err(|e| at(path, &e))
}

/// Returns what a phone would have recorded: slower, paused, with wind.
fn recorded(track: &[i16], rate: u32) -> Vec<i16> {
    let step = f64::from(rate) / f64::from(RECORDED) / SLOW;
    let (paused, pause) = (
        (PAUSE.0 * f64::from(RECORDED)) as usize,
        (PAUSE.1 * f64::from(RECORDED)) as usize,
    );
    let length = (track.len() as f64 / step) as usize + pause;
    let mut wind = (0.0_f32, 0.0_f32);
    (0..length)
        .map(|i| {
            let played = match i {
                _ if i < paused => Some(i),
                _ if i < paused + pause => None,
                _ => Some(i - pause),
            };
            let sound = played.map_or(0.0, |n| between(track, n as f64 * step));
            // Two leaky sums of noise: low, as wind is in a microphone.
            let noise = noise(i as u64);
            wind.0 += 0.02 * (noise - wind.0);
            wind.1 += 0.2 * (noise - wind.1);
            let sample = LEVEL * sound + WIND * (4.0 * wind.0 + wind.1);
            (sample.clamp(-1.0, 1.0) * 32_767.0) as i16
        })
        .collect()
}

/// Returns a sample between two, on the line through them.
fn between(track: &[i16], place: f64) -> f32 {
    let n = place as usize;
    let one = |n: usize| f32::from(track.get(n).copied().unwrap_or(0)) / 32_768.0;
    let share = (place - n as f64) as f32;
    one(n) * (1.0 - share) + one(n + 1) * share
}

/// Returns noise between −1 and 1 that is the same each time: the finaliser of splitmix64.
fn noise(counter: u64) -> f32 {
    let z = counter.wrapping_mul(0x9e37_79b9_7f4a_7c15);
    let z = (z ^ z >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let z = (z ^ z >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
    ((z ^ z >> 31) >> 40) as f32 / 8_388_608.0 - 1.0
}

fn at(path: &Path, error: &dyn std::fmt::Display) -> Failure {
    Failure::new(format!("{}: {error}", path.display()))
}
