//! `plimsoll cues ID --out FILE`: the cue track of a paced test as a sound file, and its cue lists.

mod choices;
mod document;
mod files;
mod words;

use plimsoll_ladder::Test;
use plimsoll_sound::file::{Format, Spec};
use plimsoll_sound::voice::Language;
use plimsoll_sound::{Levels, Plan, measure};

use crate::cli::Cues;
use crate::failure::{Failure, Found};
use crate::print;

/// A track that can be written: planned and measured.
struct Track<'a> {
    test: &'a Test,
    plan: Plan,
    levels: Levels,
    spec: Spec,
    /// Language spoken; nothing without a voice.
    language: Option<Language>,
    /// What the user should know.
    notes: Vec<String>,
}

/// Makes the track of a test.
pub fn run(test: &Test, args: &Cues, as_json: bool) -> Result<Found, Failure> {
    let format = Format::from_path(&args.out).map_err(Failure::new)?;
    let options = choices::options(args)?;
    // Faults of the plan come before any file is opened.
    Plan::new(test, &options, None).map_err(Failure::new)?;
    let places = files::Places::new(&args.out, args.replace)?;
    let (voice, notes) = choices::voice(&args.speech)?;
    let plan = Plan::new(test, &options, voice.as_ref()).map_err(Failure::new)?;
    let channels = if args.sound.stereo {
        2
    } else {
        args.sound.channels.unwrap_or(1)
    };
    let track = Track {
        test,
        levels: measure(&plan, channels),
        spec: Spec {
            rate: plan.rate,
            channels,
            samples: plan.samples,
        },
        language: voice.as_ref().map(plimsoll_sound::voice::Voice::language),
        plan,
        notes,
    };
    let document = document::json(&track, &places);
    files::write(&track, format, &places, &document)?;
    if as_json {
        print::json(&document)?;
    } else {
        print::text(words::words(&track, args, &places))?;
    }
    Ok(Found::Nothing)
}
