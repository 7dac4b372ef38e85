//! A track as a plan: what sounds at which sample, and what is spoken in between.
//! Must not round twice: each sample number comes from the exact instant.

mod layout;
mod options;
mod speech;
mod window;

use plimsoll_ladder::{Instant, Span, Test};

use crate::code::{Payload, Word};
use crate::sounds::Sound;
use crate::voice::Voice;

pub(crate) use layout::code_from;
pub use options::{Loudness, PlanError, Script, TrackOptions, Until};
pub use speech::Spoken;
pub use window::{TimelineCue, coded_cues};

/// Gap between the end of a cue and its tone code, ms.
pub const CODE_GAP_MS: u32 = 40;
/// Silence kept before each cue, ms: an earlier sound is cut there.
pub const CLEAR_MS: u32 = 10;
/// Level of the tone code against a full-scale cue.
pub const CODE_LEVEL: f32 = 0.4;
/// How long before a start the end of a rest is ticked, s.
pub const RECOVERY_END_S: i64 = 2;

/// One sound of a track.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TrackCue {
    /// When, from the beginning of the track.
    pub at: Span,
    /// The sample nearest to that instant, from 0.
    pub sample: u64,
    /// What sounds.
    pub sound: Sound,
    /// Number of the bout; nothing for the countdown.
    pub bout: Option<u32>,
    /// Label of the bout or stage; the seconds of a countdown.
    pub label: String,
    /// Its tone code, where there is room and it is wanted.
    pub word: Option<(Payload, Word)>,
    /// Samples it may last before the next must be clear.
    pub(crate) room: u64,
}

/// A planned track.
#[derive(Debug, Clone)]
pub struct Plan {
    /// Id of the test.
    pub test: String,
    /// Its name.
    pub name: String,
    /// Fingerprint of the ladder with the script of this track.
    pub fingerprint: String,
    /// Samples per second.
    pub rate: u32,
    /// Where the track begins the timeline, on the timeline.
    pub start: Instant,
    /// From the beginning of the track to that instant.
    pub lead: Span,
    /// Samples in all.
    pub samples: u64,
    /// The sounds, in order.
    pub cues: Vec<TrackCue>,
    /// What is spoken, in order.
    pub spoken: Vec<Spoken>,
    /// The script used, and whether it is the definition's.
    pub script: Script,
    /// Whether the definition asks for another script, or for none that is known.
    pub script_differs: bool,
    /// A quiet bed under everything.
    pub bed: bool,
    /// Level of the voice against the cues, dB.
    pub voice_gain_db: f64,
    /// How loud it is to become.
    pub loudness: Loudness,
}

impl Plan {
    /// Plans the track of a paced test. Without a voice nothing is spoken, whatever the script:
    /// the script of the track is then `none`.
    pub fn new(
        test: &Test,
        options: &TrackOptions,
        voice: Option<&Voice>,
    ) -> Result<Self, PlanError> {
        options.check()?;
        let ladder = test
            .ladder()
            .ok_or_else(|| PlanError::NotPaced(test.id().to_owned()))?;
        let defined = test.definition().rules.announcements.as_ref();
        let defined = defined.and_then(|a| Script::from_word(&a.value));
        let script = match voice {
            None => Script::None,
            Some(_) => options.script.or(defined).unwrap_or(Script::None),
        };
        let fingerprint = test.fingerprint_with(script.as_str());
        let identity = Payload::ladder_bits(&fingerprint).unwrap_or(0);
        let window = window::window(test, ladder, options, identity)?;
        let layout = layout::Layout::new(test, options, voice.is_some());
        let cues = layout::cues(&window, &layout, options);
        let mut plan = Self {
            test: test.id().to_owned(),
            name: test.name().to_owned(),
            fingerprint,
            rate: options.rate,
            start: window.start,
            lead: layout.lead(),
            samples: layout.samples(&window, options.rate),
            cues,
            spoken: Vec::new(),
            script,
            script_differs: defined != Some(script),
            bed: options.bed,
            voice_gain_db: options.voice_gain_db,
            loudness: options.loudness,
        };
        if let Some(voice) = voice {
            plan.spoken = speech::speech(&plan, ladder, test, &window, &layout, options, voice);
        }
        Ok(plan)
    }

    /// Returns the duration, s.
    pub fn duration_s(&self) -> f64 {
        self.samples as f64 / f64::from(self.rate)
    }

    /// Returns the sample at which a cue with its code is over.
    pub(crate) fn end_of(&self, cue: &TrackCue) -> u64 {
        cue.sample + layout::length(cue, self.rate).min(cue.room)
    }
}

/// Returns the sample nearest to an instant from the beginning of a track; half goes up.
pub fn sample_at(at: Span, rate: u32) -> u64 {
    let ticks = i128::from(at.as_nanos()) * i128::from(rate) * 2 + 1_000_000_000;
    u64::try_from(ticks.div_euclid(2_000_000_000)).unwrap_or(0)
}
