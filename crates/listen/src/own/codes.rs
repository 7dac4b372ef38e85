//! Tone codes found in a stream: where fifteen places in a row each ring on one of sixteen tones.
//! Knows no ladder: `book` says which word it is.

use std::collections::VecDeque;
use std::f64::consts::TAU;

use plimsoll_sound::{Hearing, SYMBOL_MS, SYMBOLS, TONES, frequency};

use crate::intake::WORKING_RATE;

/// Samples of a quarter of a symbol: the step at which starts are tried.
const STEP: usize = (WORKING_RATE * SYMBOL_MS / 1000 / QUARTERS as u32) as usize;
/// Steps in a symbol.
const QUARTERS: usize = 4;
/// Steps in a whole code.
const SPAN: usize = SYMBOLS * QUARTERS;
/// Least mean share of the energy on the strongest tone. Noise gives 0.21 ± 0.02.
const LEAST_SHARE: f32 = 0.27;
/// Steps on either side in which a better start wins.
const APART: usize = 6;

/// A stretch that may be a code.
#[derive(Debug, Clone)]
pub(crate) struct Candidate {
    /// Where it begins, s from the beginning of the recording; good to a quarter of a symbol.
    pub at_s: f64,
    /// What was heard.
    pub hearing: Hearing,
}

/// Finds codes in a stream at the working rate. `scale` is how much higher the tones are played.
pub(crate) struct CodeFinder {
    /// Cosine and sine of each tone at each sample of one step, and the turn from step to step.
    tables: Vec<[f32; STEP]>,
    turns: Vec<(f64, f64)>,
    phases: Vec<(f64, f64)>,
    buffer: Vec<f32>,
    /// Sums of single steps, the last `QUARTERS`.
    steps: VecDeque<[(f32, f32); TONES]>,
    /// Energies of whole symbols that end with each step, the last `SPAN`.
    energies: VecDeque<[f32; TONES]>,
    /// Shares of the last starts, for the choice of the best.
    recent: VecDeque<(f32, Hearing)>,
    done: u64,
    pub found: Vec<Candidate>,
}

impl CodeFinder {
    pub fn new(scale: f64) -> Self {
        let mut tables = Vec::with_capacity(2 * TONES);
        let mut turns = Vec::with_capacity(TONES);
        for tone in 0..TONES as u8 {
            let step = TAU * frequency(tone) * scale / f64::from(WORKING_RATE);
            tables.push(std::array::from_fn(|i| (step * i as f64).cos() as f32));
            tables.push(std::array::from_fn(|i| (step * i as f64).sin() as f32));
            let turn = step * STEP as f64;
            turns.push((turn.cos(), turn.sin()));
        }
        Self {
            tables,
            turns,
            phases: vec![(1.0, 0.0); TONES],
            buffer: Vec::with_capacity(STEP),
            steps: VecDeque::with_capacity(QUARTERS + 1),
            energies: VecDeque::with_capacity(SPAN + 1),
            recent: VecDeque::with_capacity(2 * APART + 2),
            done: 0,
            found: Vec::new(),
        }
    }

    /// Takes the next samples.
    pub fn push(&mut self, mut samples: &[f32]) {
        if !self.buffer.is_empty() {
            let more = (STEP - self.buffer.len()).min(samples.len());
            self.buffer.extend_from_slice(&samples[..more]);
            samples = &samples[more..];
            if self.buffer.len() == STEP {
                let whole: [f32; STEP] = std::array::from_fn(|i| self.buffer[i]);
                self.buffer.clear();
                self.step(&whole);
            }
        }
        let (steps, rest) = samples.as_chunks::<STEP>();
        for whole in steps {
            self.step(whole);
        }
        self.buffer.extend_from_slice(rest);
    }

    /// Ends the stream.
    pub fn finish(mut self) -> Vec<Candidate> {
        let zeros = vec![0.0; STEP * (APART + 1)];
        self.push(&zeros);
        self.found
    }

    fn step(&mut self, samples: &[f32; STEP]) {
        let sums = std::array::from_fn(|tone| {
            let (re, im) = (
                dot(samples, &self.tables[2 * tone]),
                dot(samples, &self.tables[2 * tone + 1]),
            );
            // Brought to one clock for all steps, so that four of them add up to a symbol.
            let (cos, sin) = self.phases[tone];
            let (re, im) = (f64::from(re), f64::from(im));
            ((re * cos - im * sin) as f32, (re * sin + im * cos) as f32)
        });
        for ((cos, sin), (turn_cos, turn_sin)) in self.phases.iter_mut().zip(&self.turns) {
            let next = (
                *cos * turn_cos - *sin * turn_sin,
                *sin * turn_cos + *cos * turn_sin,
            );
            // Keeps the length at one over hours.
            let length = next.0.hypot(next.1);
            (*cos, *sin) = (next.0 / length, next.1 / length);
        }
        self.steps.push_back(sums);
        self.done += 1;
        if self.steps.len() < QUARTERS {
            return;
        }
        let energy = std::array::from_fn(|tone| {
            let (re, im) = self
                .steps
                .iter()
                .fold((0.0, 0.0), |(re, im), s| (re + s[tone].0, im + s[tone].1));
            re * re + im * im
        });
        self.steps.pop_front();
        self.energies.push_back(energy);
        if self.energies.len() > SPAN - QUARTERS {
            self.judge();
            self.energies.pop_front();
        }
    }

    /// Looks at the code that would end with this step.
    fn judge(&mut self) {
        let hearing: Hearing = std::array::from_fn(|place| self.energies[place * QUARTERS]);
        let share = hearing.iter().map(strongest).sum::<f32>() / SYMBOLS as f32;
        self.recent.push_back((share, hearing));
        if self.recent.len() <= 2 * APART {
            return;
        }
        let (middle, hearing) = &self.recent[APART];
        let before = self.recent.iter().take(APART);
        let after = self.recent.iter().skip(APART + 1);
        let best =
            before.clone().all(|(s, _)| s < middle) && after.clone().all(|(s, _)| s <= middle);
        if best && *middle >= LEAST_SHARE {
            let start = self.done - APART as u64 - SPAN as u64;
            self.found.push(Candidate {
                at_s: start as f64 * STEP as f64 / f64::from(WORKING_RATE),
                hearing: *hearing,
            });
        }
        self.recent.pop_front();
    }
}

fn dot(a: &[f32; STEP], b: &[f32; STEP]) -> f32 {
    // Eight sums side by side, which a compiler turns into vectors.
    let (a, _) = a.as_chunks::<8>();
    let (b, _) = b.as_chunks::<8>();
    let mut sums = [0.0_f32; 8];
    for (a, b) in a.iter().zip(b) {
        for i in 0..8 {
            sums[i] += a[i] * b[i];
        }
    }
    sums.iter().sum()
}

fn strongest(place: &[f32; TONES]) -> f32 {
    let all: f32 = place.iter().sum();
    let most = place.iter().copied().fold(0.0, f32::max);
    if all > 0.0 { most / all } else { 0.0 }
}
