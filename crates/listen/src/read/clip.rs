//! Where a recording was overdriven: runs of three or more samples at full scale.
//! Must not grow with the recording: spans close together are merged, and there is a most.

/// Samples in a row that make a run.
const RUN: u64 = 3;
/// Part of full scale from which on a sample counts.
const LEVEL: f32 = 0.999;
/// Runs less than this part of a second apart are one span: 1/20 s.
const MERGE: u64 = 20;
/// Most spans kept; the last one then grows instead.
const MOST: usize = 1_000;

/// A stretch in which a recording is overdriven, in samples from its start.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ClippedSpan {
    /// First overdriven sample.
    pub from: u64,
    /// The sample after the last overdriven one.
    pub to: u64,
}

/// Counts overdriven samples as blocks of peaks (over all channels) come by.
pub(super) struct Clips {
    level: f32,
    gap: u64,
    at: u64,
    run: u64,
    count: u64,
    spans: Vec<ClippedSpan>,
}

impl Clips {
    /// Starts at sample 0. With few bits the highest value is well below 1.
    pub fn new(rate: u32, bits: Option<u32>) -> Self {
        let highest = match bits {
            Some(bits @ 2..=24) => 1.0 - (-f64::from(bits - 1)).exp2(),
            _ => 1.0,
        };
        #[expect(
            clippy::cast_possible_truncation,
            reason = "between 0 and 1, rounding is fine"
        )]
        let level = (f64::from(LEVEL) * highest) as f32;
        let gap = u64::from(rate) / MERGE;
        Self {
            level,
            gap,
            at: 0,
            run: 0,
            count: 0,
            spans: Vec::new(),
        }
    }

    /// Looks at the next samples; for several channels, at the largest of them by size.
    pub fn look(&mut self, peaks: &[f32]) {
        for part in peaks.chunks(1024) {
            let level = self.level;
            let loud = part
                .iter()
                .map(|p| u32::from(p.abs() >= level))
                .sum::<u32>();
            if loud == 0 {
                self.close();
                self.at += part.len() as u64;
                continue;
            }
            for peak in part {
                if peak.abs() >= level {
                    self.run += 1;
                } else {
                    self.close();
                }
                self.at += 1;
            }
        }
    }

    /// Returns overdriven samples so far, an open run included.
    pub fn count(&self) -> u64 {
        self.count + if self.run >= RUN { self.run } else { 0 }
    }

    /// Ends an open run and returns the spans, in order.
    pub fn spans(&mut self) -> &[ClippedSpan] {
        self.close();
        &self.spans
    }

    fn close(&mut self) {
        let run = std::mem::take(&mut self.run);
        if run < RUN {
            return;
        }
        self.count += run;
        let (from, to) = (self.at - run, self.at);
        let full = self.spans.len() >= MOST;
        match self.spans.last_mut() {
            Some(last) if full || from - last.to <= self.gap => last.to = to,
            _ => self.spans.push(ClippedSpan { from, to }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_of_three_count_and_near_ones_are_one_span() {
        let mut clips = Clips::new(8_000, Some(16));
        let mut peaks = vec![0.5_f32; 10_000];
        for i in [
            10, 11, 50, 51, 52, 300, 301, 302, 303, 5_000, 5_001, 5_002, 9_999,
        ] {
            peaks[i] = if i % 2 == 0 { 1.0 } else { -1.0 };
        }
        for part in peaks.chunks(7) {
            clips.look(part);
        }
        assert_eq!(clips.count(), 10);
        let spans = clips.spans().to_vec();
        let span = |from, to| ClippedSpan { from, to };
        assert_eq!(spans, [span(50, 304), span(5_000, 5_003)]);
    }

    #[test]
    fn eight_bits_reach_full_scale_below_the_level() {
        let mut clips = Clips::new(8_000, Some(8));
        clips.look(&[127.0 / 128.0; 4]);
        assert_eq!(clips.count(), 4);
        let mut clips = Clips::new(8_000, Some(16));
        clips.look(&[127.0 / 128.0; 4]);
        assert_eq!(clips.count(), 0);
    }

    #[test]
    fn spans_are_bounded() {
        let mut clips = Clips::new(4_000, None);
        for _ in 0..2_000 {
            clips.look(&[1.0; 3]);
            clips.look(&[0.0; 300]);
        }
        assert_eq!(clips.count(), 6_000);
        assert_eq!(clips.spans().len(), MOST);
        assert_eq!(clips.spans()[MOST - 1].to, 1_999 * 303 + 3);
    }
}
