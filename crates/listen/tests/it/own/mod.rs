//! Tracks of ours, played badly, recorded badly, and heard.

mod degrade;
mod grid;
mod played;

use plimsoll_ladder::Catalogue;
use plimsoll_listen::{Heard, Listener, read};
use plimsoll_sound::{Plan, TrackOptions, Until, measure, render};

pub(crate) use degrade::Clip;

/// Renders a track of a test as numbers between −1 and 1.
pub(crate) fn track(id: &str, options: &TrackOptions) -> (Plan, Clip) {
    let catalogue = Catalogue::built_in();
    let test = catalogue.get(id).expect("built in");
    let plan = Plan::new(test, options, None).expect("a plan");
    let mut samples: Vec<i16> = Vec::new();
    let Ok(()) = render(&plan, measure(&plan, 1).gain_db, &mut samples);
    let samples = samples.iter().map(|s| f32::from(*s) / 32_768.0).collect();
    let rate = f64::from(plan.rate);
    (plan, Clip { samples, rate })
}

/// The first minutes of a track.
pub(crate) fn minutes(id: &str, minutes: u32) -> (Plan, Clip) {
    track(
        id,
        &TrackOptions {
            until: Some(Until::Seconds(minutes * 60)),
            ..TrackOptions::default()
        },
    )
}

/// Listens to a clip as to a 16-bit WAV file.
pub(crate) fn hear(clip: &Clip, expected: Option<&str>) -> Heard {
    let catalogue = Catalogue::built_in();
    let listener = Listener::new(&catalogue);
    hear_with(&listener, clip, expected)
}

pub(crate) fn hear_with(listener: &Listener<'_>, clip: &Clip, expected: Option<&str>) -> Heard {
    let source = Box::new(std::io::Cursor::new(clip.wav()));
    let mut recording = read::open(source, Some("wav")).expect("a recording");
    let scratch = tempfile::tempfile().expect("a scratch file");
    listener
        .listen(&mut recording, scratch, expected)
        .expect("listened")
}
