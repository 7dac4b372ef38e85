//! Loudness measured on a plan is the loudness of the samples that come out.

use ebur128::{EbuR128, Mode};
use plimsoll_ladder::Catalogue;
use plimsoll_sound::{Plan, TrackOptions, Until, measure, render};

/// Sixteen bits and the blocks' grid, LU.
const TOLERANCE: f64 = 0.02;

/// The whole track, silence and all, through the library in one go.
fn of_samples(samples: &[i16], rate: u32) -> (f64, f64) {
    let mut meter = EbuR128::new(1, rate, Mode::I | Mode::TRUE_PEAK).expect("meter");
    meter.add_frames_i16(samples).expect("frames");
    let peak = 20.0 * meter.true_peak(0).expect("peak").log10();
    (meter.loudness_global().expect("loudness"), peak)
}

#[test]
fn silence_left_out_changes_nothing() {
    let catalogue = Catalogue::built_in();
    for (id, seconds) in [("ir1", 200), ("int30_15_40", 150), ("msr20", 130)] {
        let test = catalogue.get(id).expect("built in");
        for bed in [false, true] {
            let options = TrackOptions {
                until: Some(Until::Seconds(seconds)),
                bed,
                ..TrackOptions::default()
            };
            let plan = Plan::new(test, &options, None).unwrap_or_else(|e| panic!("{e}"));
            let levels = measure(&plan, 1);
            let mut samples: Vec<i16> = Vec::new();
            let Ok(()) = render(&plan, levels.gain_db, &mut samples);
            let (lufs, peak) = of_samples(&samples, plan.rate);
            // The bed is quiet sound and draws the average down; the target is meant without it.
            assert!(
                bed || (lufs - levels.integrated_lufs).abs() < TOLERANCE,
                "{id}: {lufs} {levels:?}"
            );
            assert!(
                (peak - levels.true_peak_dbtp).abs() < 0.2,
                "{id}: {peak} {levels:?}"
            );
            assert!(peak <= options.loudness.ceiling_dbtp + 0.05, "{id}: {peak}");
            assert!(
                bed || (lufs - options.loudness.target_lufs).abs() < 0.1 || levels.held_by_ceiling
            );
        }
    }
}
