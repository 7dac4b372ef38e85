//! What is spoken where. Speech never overlaps a sound: it is shortened, then left out.
//! Announces the bout about to be run; in a continuous test, the stage as it begins.

use plimsoll_ladder::{Ladder, Shape, Span, Test};

use super::layout::Layout;
use super::options::{Script, TrackOptions};
use super::window::Window;
use super::{Plan, TrackCue};
use crate::sounds::Sound;
use crate::voice::{Form, Phrase, Utterance, Voice};

/// Silence between the end of a sound and speech, ms.
const AFTER_MS: u64 = 150;
/// Silence between the end of speech and the next sound, ms.
const BEFORE_MS: u64 = 250;

/// One thing said.
#[derive(Debug, Clone)]
pub struct Spoken {
    /// Sample at which it begins.
    pub sample: u64,
    /// The sound of it.
    pub utterance: Utterance,
    /// Whether it had to be shortened.
    pub shortened: bool,
}

/// Finds the words and their places.
pub(super) fn speech(
    plan: &Plan,
    ladder: &Ladder,
    test: &Test,
    window: &Window,
    layout: &Layout,
    options: &TrackOptions,
    voice: &Voice,
) -> Vec<Spoken> {
    let mut speaker = Speaker {
        plan,
        voice,
        free: 0,
        out: Vec::new(),
    };
    let second = u64::from(plan.rate);
    if options.warm_up {
        speaker.say(u64::from(layout.warm_up_at()) * second, &Phrase::WarmUp);
    }
    if layout.intro > 0 {
        let seconds = layout.countdown;
        let at = u64::from(layout.intro_at()) * second;
        speaker.say(at, &Phrase::StartsIn { seconds });
    }
    let scripted = plan.script != Script::None;
    for (i, cue) in plan.cues.iter().enumerate() {
        let Some(phrases) = phrases(plan, ladder, test, window, i) else {
            continue;
        };
        let at = after(plan, i);
        if options.say_rest && cue.sound == Sound::Finish {
            speaker.say(at, &Phrase::Rest);
        }
        let wanted = scripted || matches!(cue.sound, Sound::Countdown | Sound::Stop);
        for phrase in phrases.iter().filter(|_| wanted) {
            speaker.say(at, phrase);
        }
    }
    speaker.out
}

/// Returns what may be said after the cue with this index.
fn phrases(
    plan: &Plan,
    ladder: &Ladder,
    test: &Test,
    window: &Window,
    index: usize,
) -> Option<Vec<Phrase>> {
    let cue = &plan.cues[index];
    let last = plan.cues[index + 1..]
        .iter()
        .all(|c| c.sample == cue.sample);
    let coincident = plan
        .cues
        .get(index + 1)
        .is_some_and(|c| c.sample == cue.sample);
    let bout_after = |n: u32| announce(plan.script, ladder, n);
    Some(match cue.sound {
        Sound::Countdown => vec![Phrase::Number(cue.label.parse().ok()?)],
        Sound::Stop => vec![Phrase::StopNow],
        Sound::Finish if last && !window.stopped => vec![Phrase::TestEnds],
        Sound::Finish => bout_after(cue.bout? + 1).into_iter().collect(),
        Sound::Turn | Sound::Line if test.shape() == Shape::Continuous => {
            bout_after(cue.bout? + 1).into_iter().collect()
        }
        Sound::Start if test.shape() == Shape::Continuous => {
            bout_after(cue.bout?).into_iter().collect()
        }
        // A stage that begins between two cues.
        Sound::Stage if !coincident && plan.script == Script::Stage => {
            let stage = cue.label.clone();
            vec![Phrase::Stage { stage }]
        }
        _ => return None,
    })
}

/// Returns the announcement of a bout; nothing where the script has none.
fn announce(script: Script, ladder: &Ladder, number: u32) -> Option<Phrase> {
    let bout = ladder.by_number(number)?;
    let span = ladder.stages().get(bout.stage)?;
    let stage = span.label.clone();
    let earlier = number.checked_sub(1).and_then(|n| ladder.by_number(n));
    let new_stage = earlier.is_none_or(|b| b.stage != bout.stage);
    match script {
        Script::None => None,
        // A stage that begins inside this bout is announced at its own cue.
        Script::Stage => (new_stage && span.start == bout.start).then_some(Phrase::Stage { stage }),
        Script::StageAndBout => {
            let in_stage = ladder.bouts().iter().filter(|b| b.stage == bout.stage);
            let place = in_stage.take_while(|b| b.number < number).count() + 1;
            let bout = place.to_string();
            Some(Phrase::StageBout {
                stage,
                bout,
                new_stage,
            })
        }
    }
}

/// Returns the sample at which nothing sounds any more after a cue.
fn after(plan: &Plan, index: usize) -> u64 {
    let sample = plan.cues[index].sample;
    let together = plan.cues.iter().skip(index.saturating_sub(2)).take(5);
    let together = together.filter(|c| c.sample == sample);
    let end = together.map(|c| plan.end_of(c)).max().unwrap_or(sample);
    end + AFTER_MS * u64::from(plan.rate) / 1000
}

/// Says things in order, each in the room it has.
struct Speaker<'a> {
    plan: &'a Plan,
    voice: &'a Voice,
    /// First sample at which nobody speaks.
    free: u64,
    out: Vec<Spoken>,
}

impl Speaker<'_> {
    fn say(&mut self, at: u64, phrase: &Phrase) {
        let rate = u64::from(self.plan.rate);
        let at = at.max(self.free);
        let next = next_sound(&self.plan.cues, at).unwrap_or(self.plan.samples);
        let end = next.saturating_sub(BEFORE_MS * rate / 1000);
        let room = usize::try_from(end.saturating_sub(at)).unwrap_or(0);
        let Some(utterance) = self.voice.say(phrase, self.plan.rate, room) else {
            return;
        };
        self.free = at + utterance.samples.len() as u64 + AFTER_MS * rate / 1000;
        self.out.push(Spoken {
            sample: at,
            shortened: utterance.form != Form::Full,
            utterance,
        });
    }
}

/// Returns the first sample from `at` on at which a sound begins.
fn next_sound(cues: &[TrackCue], at: u64) -> Option<u64> {
    let i = cues.partition_point(|cue| cue.sample < at);
    cues.get(i).map(|cue| cue.sample)
}

impl Spoken {
    /// Returns when it begins, from the beginning of the track.
    pub fn at(&self, rate: u32) -> Span {
        let nanos = u128::from(self.sample) * 1_000_000_000 / u128::from(rate);
        Span::from_nanos(i64::try_from(nanos).unwrap_or(i64::MAX))
    }
}
