//! The sounds of the cues: what each is made of, so that anyone can build them again.
//! Must stay as `docs/formats/cue-sounds.md` has them: a recording is matched against them.

use std::f64::consts::{PI, TAU};

/// What sounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sound {
    /// One second of the countdown before the first start.
    Countdown,
    /// The rest ends soon: two soft ticks before a start.
    RecoveryEnd,
    /// The speed changes here.
    Stage,
    /// Go.
    Start,
    /// Be at the far line and turn.
    Turn,
    /// Be at this line or cone and run on.
    Line,
    /// Be over the finish line; the rest begins.
    Finish,
    /// A timed form ends: stop now.
    Stop,
}

/// A stretch of a sound: from where, how long, how loud, which partials (Hz, weight).
struct Part {
    from_ms: u32,
    length_ms: u32,
    level: f64,
    partials: &'static [(f64, f64)],
}

const fn part(from_ms: u32, length_ms: u32, level: f64, partials: &'static [(f64, f64)]) -> Part {
    Part {
        from_ms,
        length_ms,
        level,
        partials,
    }
}

/// How loud the very first sample is, as a share of the full level: an onset, not a fade-in.
const ATTACK_FROM: f64 = 0.3;
/// Length of the attack, ms.
const ATTACK_MS: f64 = 1.0;
/// Length of the release, ms; a raised cosine.
const RELEASE_MS: f64 = 12.0;

impl Sound {
    /// Every sound.
    pub const ALL: [Self; 8] = [
        Self::Countdown,
        Self::RecoveryEnd,
        Self::Stage,
        Self::Start,
        Self::Turn,
        Self::Line,
        Self::Finish,
        Self::Stop,
    ];

    /// Returns the word used in files.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Countdown => "countdown",
            Self::RecoveryEnd => "recovery_end",
            Self::Stage => "stage",
            Self::Start => "start",
            Self::Turn => "turn",
            Self::Line => "line",
            Self::Finish => "finish",
            Self::Stop => "stop",
        }
    }

    const fn parts(self) -> &'static [Part] {
        const COUNTDOWN: [Part; 1] = [part(0, 70, 0.6, &[(1000.0, 0.7), (2000.0, 0.3)])];
        const RECOVERY_END: [Part; 2] = [
            part(0, 45, 0.3, &[(1000.0, 1.0)]),
            part(110, 45, 0.3, &[(1000.0, 1.0)]),
        ];
        const STAGE: [Part; 1] = [part(0, 180, 0.45, &[(2640.0, 0.5), (3520.0, 0.5)])];
        const START: [Part; 2] = [
            part(0, 90, 0.9, &[(1500.0, 0.6), (3000.0, 0.4)]),
            part(90, 110, 0.9, &[(2250.0, 0.7), (3000.0, 0.3)]),
        ];
        const TURN: [Part; 1] = [part(0, 130, 0.9, &[(2000.0, 0.65), (3000.0, 0.35)])];
        const LINE: [Part; 1] = [part(0, 70, 0.8, &[(1800.0, 0.65), (3600.0, 0.35)])];
        const FINISH: [Part; 1] = [part(
            0,
            260,
            1.0,
            &[(1600.0, 0.3), (2400.0, 0.45), (3200.0, 0.25)],
        )];
        const STOP: [Part; 3] = [
            part(0, 160, 1.0, &[(2400.0, 0.6), (1200.0, 0.4)]),
            part(200, 160, 1.0, &[(2400.0, 0.6), (1200.0, 0.4)]),
            part(400, 240, 1.0, &[(2400.0, 0.6), (1200.0, 0.4)]),
        ];
        match self {
            Self::Countdown => &COUNTDOWN,
            Self::RecoveryEnd => &RECOVERY_END,
            Self::Stage => &STAGE,
            Self::Start => &START,
            Self::Turn => &TURN,
            Self::Line => &LINE,
            Self::Finish => &FINISH,
            Self::Stop => &STOP,
        }
    }

    /// Returns the length, ms.
    pub fn length_ms(self) -> u32 {
        let parts = self.parts().iter();
        parts.map(|p| p.from_ms + p.length_ms).max().unwrap_or(0)
    }

    /// Returns the sound at a sampling rate played `stretch` times as slowly, amplitude at most 1.
    ///
    /// A track is made with a stretch of 1; a listener compares with the speed it heard.
    pub fn render(self, rate: u32, stretch: f64) -> Vec<f32> {
        let rate = f64::from(rate) * stretch;
        let at = |ms: f64| ms * rate / 1000.0;
        let mut out = vec![0.0_f64; at(f64::from(self.length_ms())).round() as usize];
        for part in self.parts() {
            let first = at(f64::from(part.from_ms)).round() as usize;
            let end =
                (at(f64::from(part.from_ms + part.length_ms)).round() as usize).min(out.len());
            for (i, sample) in out[first..end].iter_mut().enumerate() {
                let (from_start, from_end) = (i as f64, (end - first - i) as f64 - 0.5);
                let attack =
                    ATTACK_FROM + (1.0 - ATTACK_FROM) * (from_start / at(ATTACK_MS)).min(1.0);
                let release = 0.5 - 0.5 * (PI * (from_end / at(RELEASE_MS)).min(1.0)).cos();
                // Cosines: the first sample is the loudest of the attack, never a zero.
                let partials = part.partials.iter();
                let tone: f64 = partials
                    .map(|(hz, weight)| weight * (TAU * hz * from_start / rate).cos())
                    .sum();
                *sample += part.level * attack * release * tone;
            }
        }
        out.into_iter().map(|x| x as f32).collect()
    }
}
