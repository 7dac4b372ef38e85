//! How loud a track is, by the measurement of broadcasting, and the gain that makes it as asked.
//! Source: ITU-R BS.1770-4 and EBU R 128 (loudness, gating, true peak), through a library.

use ebur128::{EbuR128, Mode};

use super::each_cluster;
use crate::plan::Plan;

/// How loud a finished track is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Levels {
    /// Integrated loudness, LUFS.
    pub integrated_lufs: f64,
    /// True peak, dBTP.
    pub true_peak_dbtp: f64,
    /// The gain that was needed, dB.
    pub gain_db: f64,
    /// Whether the true-peak ceiling kept it below the loudness asked for.
    pub held_by_ceiling: bool,
}

/// Step of the measurement's blocks, as a part of a second.
const STEPS_A_SECOND: u64 = 10;
/// Silence kept between two stretches of sound, in steps: the longest memory of the measurement
/// (blocks of 0.4 s, a high-pass filter) is over by then.
const KEPT_STEPS: u64 = 10;

/// Measures a plan for one channel or for two that are the same.
///
/// Whole steps of digital silence are left out: blocks of silence are gated, so that the result is
/// the same. The bed is left out too: it is not what people run by.
pub fn measure(plan: &Plan, channels: u16) -> Levels {
    let Some((lufs, peak)) = raw(plan) else {
        return Levels {
            integrated_lufs: f64::NEG_INFINITY,
            true_peak_dbtp: f64::NEG_INFINITY,
            gain_db: 0.0,
            held_by_ceiling: false,
        };
    };
    // Two equal channels are twice the power of one.
    let lufs = lufs + 10.0 * f64::from(channels.max(1)).log10();
    let wanted = plan.loudness.target_lufs - lufs;
    let allowed = plan.loudness.ceiling_dbtp - peak;
    let gain_db = wanted.min(allowed);
    Levels {
        integrated_lufs: lufs + gain_db,
        true_peak_dbtp: peak + gain_db,
        gain_db,
        held_by_ceiling: allowed < wanted,
    }
}

/// Returns loudness of one channel and true peak; nothing for a track without sound.
///
/// Side by side: the true peak takes as long as the loudness.
fn raw(plan: &Plan) -> Option<(f64, f64)> {
    let (lufs, peak) = std::thread::scope(|scope| {
        let peak = scope.spawn(|| meter(plan, Mode::TRUE_PEAK)?.true_peak(0).ok());
        let lufs = meter(plan, Mode::I).and_then(|meter| meter.loudness_global().ok());
        (lufs, peak.join().ok().flatten())
    });
    let (lufs, peak) = (lufs?, 20.0 * peak?.log10());
    (lufs.is_finite() && peak.is_finite()).then_some((lufs, peak))
}

/// Returns a meter that has heard the plan.
fn meter(plan: &Plan, mode: Mode) -> Option<EbuR128> {
    let mut meter = EbuR128::new(1, plan.rate, mode).ok()?;
    let step = u64::from(plan.rate) / STEPS_A_SECOND;
    let zeros = vec![0.0_f32; usize::try_from(step * KEPT_STEPS * 2).ok()?];
    let mut at = 0_u64;
    let gap = |meter: &mut EbuR128, samples: u64| {
        let kept = samples.min(step * KEPT_STEPS + samples % step);
        let kept = usize::try_from(kept).unwrap_or(0).min(zeros.len());
        meter.add_frames_f32(&zeros[..kept])
    };
    each_cluster(plan, |start, mix| {
        gap(&mut meter, start - at)?;
        at = start + mix.len() as u64;
        meter.add_frames_f32(mix)
    })
    .ok()?;
    gap(&mut meter, plan.samples - at).ok()?;
    Some(meter)
}
