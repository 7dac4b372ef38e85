//! Where the sounds of a track lie: lead-in, countdown, cues, ticks before the end of a rest.
//! The one rule of precedence: a cue of the timeline is never moved, an earlier sound is cut.

use plimsoll_ladder::{Instant, Span, Test};

use super::options::TrackOptions;
use super::window::Window;
use super::{CLEAR_MS, CODE_GAP_MS, RECOVERY_END_S, TrackCue, sample_at};
use crate::code::{SYMBOL_MS, SYMBOLS, Word};
use crate::sounds::Sound;

/// Silence before anything, s.
const FIRST_S: u32 = 1;
/// Room for "the test starts in … seconds", s.
const INTRO_S: u32 = 4;
/// A warm-up, s.
const WARM_UP_S: u32 = 60;
/// After the last cue, s: room for its code and the last words.
const TAIL_S: u64 = 5;
/// Shortest rest before a start that is ticked, s.
const RESTED_S: i64 = 4;

/// The seconds before the first start.
#[derive(Debug, Clone, Copy)]
pub(super) struct Layout {
    pub warm_up: u32,
    pub intro: u32,
    pub countdown: u32,
}

impl Layout {
    pub fn new(test: &Test, options: &TrackOptions, speaks: bool) -> Self {
        let defined = test.definition().rules.countdown.as_ref();
        let defined = defined.map_or(5, |c| c.value.as_nanos() / 1_000_000_000);
        let countdown = options
            .countdown_s
            .unwrap_or_else(|| u32::try_from(defined).unwrap_or(0).min(60));
        Self {
            warm_up: if options.warm_up { WARM_UP_S } else { 0 },
            intro: if speaks && countdown > 0 { INTRO_S } else { 0 },
            countdown,
        }
    }

    /// From the beginning of the track to the first start.
    pub fn lead(&self) -> Span {
        let seconds = FIRST_S + self.warm_up + self.intro + self.countdown;
        Span::from_millis(i64::from(seconds) * 1000)
    }

    /// When the warm-up begins, from the beginning of the track.
    pub const fn warm_up_at(&self) -> u32 {
        FIRST_S
    }

    /// When the words before the countdown may begin, s from the beginning of the track.
    pub const fn intro_at(&self) -> u32 {
        FIRST_S + self.warm_up
    }

    pub fn samples(&self, window: &Window, rate: u32) -> u64 {
        let end = self.lead().as_nanos() + window.end.since(window.start).as_nanos();
        sample_at(Span::from_nanos(end), rate) + TAIL_S * u64::from(rate)
    }
}

/// Returns the sounds in order, each with the room it has.
pub(super) fn cues(window: &Window, layout: &Layout, options: &TrackOptions) -> Vec<TrackCue> {
    let in_track = |at: Instant| {
        Span::from_nanos(layout.lead().as_nanos() + at.since(window.start).as_nanos())
    };
    let new = |at: Span, sound, bout, label: String| TrackCue {
        at,
        sample: sample_at(at, options.rate),
        sound,
        bout,
        label,
        word: None,
        room: u64::MAX,
    };
    let mut out = Vec::with_capacity(window.cues.len() * 2);
    for second in (1..=layout.countdown).rev() {
        let at = Span::from_nanos(layout.lead().as_nanos() - i64::from(second) * 1_000_000_000);
        out.push(new(at, Sound::Countdown, None, second.to_string()));
    }
    let mut before: Option<(Instant, Sound)> = None;
    for cue in &window.cues {
        if let Some((earlier, Sound::Finish)) = before
            && cue.sound == Sound::Start
            && options.recovery_end
            && cue.at.since(earlier).as_nanos() >= RESTED_S * 1_000_000_000
        {
            let at = Span::from_nanos(in_track(cue.at).as_nanos() - RECOVERY_END_S * 1_000_000_000);
            out.push(new(
                at,
                Sound::RecoveryEnd,
                Some(cue.bout),
                cue.label.clone(),
            ));
        }
        let mut sounded = new(
            in_track(cue.at),
            cue.sound,
            Some(cue.bout),
            cue.label.clone(),
        );
        sounded.word = cue
            .payload
            .filter(|_| options.code)
            .and_then(|payload| Some((payload, Word::of(payload)?)));
        out.push(sounded);
        if cue.sound != Sound::Stage {
            before = Some((cue.at, cue.sound));
        }
    }
    out.sort_by_key(|cue| cue.at);
    make_room(&mut out, options.rate);
    out
}

/// Gives each sound the room up to the next, and takes a code away where it has none.
fn make_room(cues: &mut [TrackCue], rate: u32) {
    let clear = u64::from(rate * CLEAR_MS / 1000);
    let mut next: Option<u64> = None;
    let mut following = None;
    for cue in cues.iter_mut().rev() {
        if following.is_some_and(|at| at != cue.sample) {
            next = following;
        }
        following = Some(cue.sample);
        cue.room = next.map_or(u64::MAX, |at| (at - cue.sample).saturating_sub(clear));
        if length(cue, rate) > cue.room {
            cue.word = None;
        }
    }
}

/// Returns how long a cue with its code lasts, samples.
pub(super) fn length(cue: &TrackCue, rate: u32) -> u64 {
    let sound = samples(cue.sound.length_ms(), rate);
    match cue.word {
        None => sound,
        Some(_) => code_from(cue.sound, rate) + samples(SYMBOL_MS, rate) * SYMBOLS as u64,
    }
}

/// Returns where the code begins after the onset of its cue, samples.
pub(crate) fn code_from(sound: Sound, rate: u32) -> u64 {
    samples(sound.length_ms() + CODE_GAP_MS, rate)
}

/// Returns a number of samples, nearest.
fn samples(ms: u32, rate: u32) -> u64 {
    (u64::from(ms) * u64::from(rate) + 500) / 1000
}
