//! Each cue begins at the sample nearest to its exact instant, in every paced definition.

use plimsoll_ladder::Catalogue;
use plimsoll_sound::{Plan, Sink, TrackOptions, measure, render};

/// Silence that must come before an onset, samples: half of what the plan keeps clear.
const QUIET: usize = 240;
/// Below this a sample is silent.
const SILENT: i16 = 2;

/// Finds where sound begins after silence, without knowing where to look.
struct Finder {
    quiet: usize,
    at: u64,
    onsets: Vec<u64>,
}

impl Sink for Finder {
    type Error = std::convert::Infallible;

    fn write(&mut self, samples: &[i16]) -> Result<(), Self::Error> {
        for sample in samples {
            if sample.abs() > SILENT {
                if self.quiet >= QUIET {
                    self.onsets.push(self.at);
                }
                self.quiet = 0;
            } else {
                self.quiet += 1;
            }
            self.at += 1;
        }
        Ok(())
    }

    fn silence(&mut self, samples: u64) -> Result<(), Self::Error> {
        self.quiet = self
            .quiet
            .saturating_add(usize::try_from(samples).expect("fits"));
        self.at += samples;
        Ok(())
    }
}

#[test]
fn onsets_of_every_paced_definition_lie_within_half_a_sample() {
    for test in Catalogue::built_in()
        .iter()
        .filter(|t| t.shape().is_paced())
    {
        for rate in [44_100, 48_000] {
            let options = TrackOptions {
                rate,
                code: false,
                ..TrackOptions::default()
            };
            let plan = Plan::new(test, &options, None).unwrap_or_else(|e| panic!("{e}"));
            let mut finder = Finder {
                quiet: 0,
                at: 0,
                onsets: Vec::new(),
            };
            let Ok(()) = render(&plan, measure(&plan, 1).gain_db, &mut finder);
            assert_eq!(finder.at, plan.samples, "{}", test.id());
            for cue in &plan.cues {
                let near = finder.onsets.partition_point(|at| *at < cue.sample);
                assert_eq!(
                    finder.onsets.get(near),
                    Some(&cue.sample),
                    "{} at {rate} Hz, {} of bout {:?}",
                    test.id(),
                    cue.sound.as_str(),
                    cue.bout
                );
                let exact = cue.at.as_nanos() as f64 * f64::from(rate) / 1e9;
                assert!((exact - cue.sample as f64).abs() <= 0.5 + 1e-6);
            }
        }
    }
}
