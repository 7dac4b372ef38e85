//! What is mixed where: cue sounds, tone codes and words as pieces with a start and a length.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::code::{Toner, Word};
use crate::plan::{CODE_LEVEL, Plan, code_from};
use crate::sounds::Sound;

/// Length of the fade where a sound is cut for the next cue, ms.
const CUT_FADE_MS: u64 = 2;

/// Something to mix in.
pub(super) struct Piece {
    pub start: u64,
    length: u64,
    fade: usize,
    what: What,
}

enum What {
    Cue(Sound),
    Code(Word),
    Speech(Arc<[f32]>, f32),
}

/// The cue sounds at the rate of the plan, each made once.
pub(super) struct Shapes(BTreeMap<Sound, Vec<f32>>);

impl Shapes {
    pub fn new(plan: &Plan) -> Self {
        let used = plan.cues.iter().map(|cue| cue.sound);
        let mut shapes = BTreeMap::new();
        for sound in used {
            shapes
                .entry(sound)
                .or_insert_with(|| sound.render(plan.rate, 1.0));
        }
        Self(shapes)
    }

    fn length(&self, sound: Sound) -> u64 {
        self.0.get(&sound).map_or(0, Vec::len) as u64
    }
}

/// Returns every piece by its start.
pub(super) fn pieces(plan: &Plan) -> Vec<Piece> {
    let shapes = Shapes::new(plan);
    let fade = usize::try_from(CUT_FADE_MS * u64::from(plan.rate) / 1000).unwrap_or(0);
    let code_length = Toner::new(plan.rate).samples() as u64;
    let mut pieces = Vec::with_capacity(plan.cues.len() * 2 + plan.spoken.len());
    for cue in &plan.cues {
        let full = shapes.length(cue.sound);
        let length = full.min(cue.room);
        pieces.push(Piece {
            start: cue.sample,
            length,
            fade: if length < full { fade } else { 0 },
            what: What::Cue(cue.sound),
        });
        if let Some((_, word)) = &cue.word {
            pieces.push(Piece {
                start: cue.sample + code_from(cue.sound, plan.rate),
                length: code_length,
                fade: 0,
                what: What::Code(*word),
            });
        }
    }
    let voice = 10_f64.powf(plan.voice_gain_db / 20.0) as f32;
    pieces.extend(plan.spoken.iter().map(|spoken| Piece {
        start: spoken.sample,
        length: spoken.utterance.samples.len() as u64,
        fade: 0,
        what: What::Speech(Arc::clone(&spoken.utterance.samples), voice),
    }));
    pieces.sort_by_key(|piece| piece.start);
    pieces
}

impl Piece {
    pub fn end(&self) -> u64 {
        self.start + self.length
    }

    /// Adds itself to a mix that begins with its first sample; what the mix has no room for is cut.
    pub fn add_to(&self, mix: &mut [f32], shapes: &Shapes, toner: &Toner) {
        let length = usize::try_from(self.length).unwrap_or(usize::MAX);
        match &self.what {
            What::Cue(sound) => {
                let samples = shapes.0.get(sound).map_or(&[][..], Vec::as_slice);
                let samples = &samples[..length.min(samples.len())];
                let from = samples.len() - self.fade.min(samples.len());
                add(mix, &samples[..from], 1.0);
                let steps = self.fade as f32;
                let tail = mix.iter_mut().zip(samples).skip(from).enumerate();
                for (i, (out, x)) in tail {
                    *out += x * (1.0 - (i as f32 + 1.0) / steps);
                }
            }
            What::Code(word) => add(mix, &toner.render(word), CODE_LEVEL),
            What::Speech(samples, gain) => add(mix, samples, *gain),
        }
    }
}

fn add(mix: &mut [f32], samples: &[f32], gain: f32) {
    for (out, x) in mix.iter_mut().zip(samples) {
        *out += x * gain;
    }
}
