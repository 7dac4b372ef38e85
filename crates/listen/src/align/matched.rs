//! A matched filter: where a known sound begins in a recording, block by block.
//! Does not pair the peaks with anything. Sources: Turin 1960, the matched filter; overlap-add
//! convolution (both from memory).

use std::collections::VecDeque;
use std::sync::Arc;

use realfft::num_complex::Complex;
use realfft::{ComplexToReal, RealFftPlanner, RealToComplex};

/// A place where the recording is most like the template.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peak {
    /// Start of the template in the recording, seconds.
    pub time_s: f64,
    /// Size of the envelope, in the amplitude of a copy of the template of amplitude 1.
    pub amplitude: f64,
}

/// A template against a stream of samples, in bounded memory.
pub struct MatchedFilter {
    rate: f64,
    delay: usize,
    block: usize,
    forward: Arc<dyn RealToComplex<f64>>,
    inverse: Arc<dyn ComplexToReal<f64>>,
    filters: [Vec<Complex<f64>>; 2],
    tails: [Vec<f64>; 2],
    pending: Vec<f64>,
    picker: Picker,
    done: u64,
}

impl std::fmt::Debug for MatchedFilter {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("MatchedFilter")
            .field("rate", &self.rate)
            .field("block", &self.block)
            .finish_non_exhaustive()
    }
}

/// Samples kept free on both sides for the ends of the quadrature filter.
const PAD: usize = 128;

impl MatchedFilter {
    /// Makes a filter for a template at a sample rate in hertz.
    ///
    /// `floor` is the least amplitude of a peak (a perfect copy has 1), `apart_s` the least
    /// distance of two peaks in seconds. Returns nothing when the template is silent or the
    /// rate is not above zero.
    pub fn new(template: &[f64], rate: f64, floor: f64, apart_s: f64) -> Option<Self> {
        let energy: f64 = template.iter().map(|s| s * s).sum();
        if !(energy > 0.0 && rate > 0.0 && apart_s >= 0.0) {
            return None;
        }
        let length = template.len();
        let size = (4 * length + 2 * PAD).next_power_of_two();
        let mut planner = RealFftPlanner::<f64>::new();
        let (forward, inverse) = (
            planner.plan_fft_forward(size),
            planner.plan_fft_inverse(size),
        );
        let mut kernel = vec![0.0; size];
        for (slot, s) in kernel.iter_mut().skip(PAD).zip(template.iter().rev()) {
            *slot = s / energy;
        }
        let mut inphase = forward.make_output_vec();
        forward.process(&mut kernel, &mut inphase).ok()?;
        // The quadrature filter: every frequency a quarter turn later. A windowed template
        // has next to nothing at the ends of its own Hilbert transform, so the wrap is small.
        let quadrature = inphase
            .iter()
            .map(|c| c * Complex::new(0.0, -1.0))
            .collect();
        let apart = (apart_s * rate).ceil() as usize;
        Some(Self {
            rate,
            delay: length - 1 + PAD,
            block: size - length - 2 * PAD,
            forward,
            inverse,
            filters: [inphase, quadrature],
            tails: [Vec::new(), Vec::new()],
            pending: Vec::new(),
            picker: Picker::new(floor, apart.max(2)),
            done: 0,
        })
    }

    /// Takes more samples and returns the peaks that are certain by now.
    pub fn push(&mut self, samples: &[f64]) -> Vec<Peak> {
        self.pending.extend_from_slice(samples);
        let mut peaks = Vec::new();
        let mut used = 0;
        while self.pending.len() - used >= self.block {
            let block: Vec<f64> = self.pending[used..used + self.block].to_vec();
            self.filter(&block, &mut peaks);
            used += self.block;
        }
        self.pending.drain(..used);
        peaks
    }

    /// Ends the stream and returns the last peaks.
    pub fn finish(mut self) -> Vec<Peak> {
        let mut rest = std::mem::take(&mut self.pending);
        rest.resize(rest.len().div_ceil(self.block).max(1) * self.block, 0.0);
        let mut peaks = Vec::new();
        for block in rest.chunks(self.block) {
            self.filter(block, &mut peaks);
        }
        let zeros = vec![0.0; self.block];
        self.filter(&zeros, &mut peaks);
        let (rate, delay) = (self.rate, self.delay as f64);
        self.picker
            .finish(&mut |peak| peaks.push(seconds(peak, rate, delay)));
        peaks
    }

    fn filter(&mut self, block: &[f64], peaks: &mut Vec<Peak>) {
        let mut input = self.forward.make_input_vec();
        input[..block.len()].copy_from_slice(block);
        let mut spectrum = self.forward.make_output_vec();
        if self.forward.process(&mut input, &mut spectrum).is_err() {
            return;
        }
        let scale = 1.0 / input.len() as f64;
        let mut outputs: [Vec<f64>; 2] = [Vec::new(), Vec::new()];
        for ((filter, tail), output) in self.filters.iter().zip(&mut self.tails).zip(&mut outputs) {
            let mut product: Vec<_> = spectrum.iter().zip(filter).map(|(x, h)| x * h).collect();
            if let Some(first) = product.first_mut() {
                first.im = 0.0;
            }
            if let Some(last) = product.last_mut() {
                last.im = 0.0;
            }
            let mut out = self.inverse.make_output_vec();
            if self.inverse.process(&mut product, &mut out).is_err() {
                return;
            }
            for (o, t) in out.iter_mut().zip(tail.iter()) {
                *o = *o * scale + t;
            }
            for o in out.iter_mut().skip(tail.len()) {
                *o *= scale;
            }
            *tail = out.split_off(block.len());
            *output = out;
        }
        let [inphase, quadrature] = outputs;
        let (rate, delay) = (self.rate, self.delay as f64);
        for (r, q) in inphase.iter().zip(&quadrature) {
            self.picker.push(*r, *q, self.done, &mut |peak| {
                peaks.push(seconds(peak, rate, delay));
            });
            self.done += 1;
        }
    }
}

/// Returns a peak in seconds of the recording from one in samples of the filter's output.
fn seconds(peak: Peak, rate: f64, delay: f64) -> Peak {
    Peak {
        time_s: (peak.time_s - delay) / rate,
        ..peak
    }
}

/// Picks the largest sample of the envelope within a distance on both sides.
#[derive(Debug)]
struct Picker {
    floor: f64,
    apart: u64,
    last: VecDeque<(f64, f64)>,
    best: Option<Candidate>,
}

#[derive(Debug, Clone, Copy)]
struct Candidate {
    at: u64,
    envelope: f64,
    around: [(f64, f64); 3],
}

impl Picker {
    fn new(floor: f64, apart: usize) -> Self {
        Self {
            floor,
            apart: apart as u64,
            last: VecDeque::with_capacity(4),
            best: None,
        }
    }

    fn push(&mut self, r: f64, q: f64, at: u64, found: &mut impl FnMut(Peak)) {
        self.last.push_back((r, q));
        if self.last.len() > 3 {
            self.last.pop_front();
        }
        if self.last.len() < 3 {
            return;
        }
        let around = [self.last[0], self.last[1], self.last[2]];
        let [before, envelope, after] = around.map(|(r, q)| r.hypot(q));
        let at = at - 1;
        if let Some(best) = self.best
            && at > best.at + self.apart
        {
            found(best.peak());
            self.best = None;
        }
        if envelope >= self.floor
            && envelope >= before
            && envelope > after
            && self.best.is_none_or(|b| envelope > b.envelope)
        {
            self.best = Some(Candidate {
                at,
                envelope,
                around,
            });
        }
    }

    fn finish(&mut self, found: &mut impl FnMut(Peak)) {
        if let Some(best) = self.best.take() {
            found(best.peak());
        }
    }
}

impl Candidate {
    /// Returns the peak: the crest of the carrier nearest to the top of the envelope, time in
    /// samples of the filter's output.
    fn peak(&self) -> Peak {
        let [before, here, after] = self.around;
        let (e0, e1, e2) = (
            before.0.hypot(before.1),
            self.envelope,
            after.0.hypot(after.1),
        );
        let bend = e0 - 2.0 * e1 + e2;
        let top = if bend < 0.0 {
            0.5 * (e0 - e2) / bend
        } else {
            0.0
        };
        let turn = |x: (f64, f64), y: (f64, f64)| {
            // Phase of y less that of x, in (-pi, pi].
            (x.0 * y.1 - x.1 * y.0).atan2(x.0 * y.0 + x.1 * y.1)
        };
        let step = 0.5 * (turn(before, here) + turn(here, after));
        let phase = here.1.atan2(here.0);
        let mut shift = top;
        if step.abs() > 1e-3 {
            let cycles = ((phase + step * top) / std::f64::consts::TAU).round();
            shift = (cycles * std::f64::consts::TAU - phase) / step;
        }
        Peak {
            time_s: self.at as f64 + shift,
            amplitude: e1,
        }
    }
}
