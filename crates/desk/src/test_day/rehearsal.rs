//! Simulated runners for a rehearsal: what assessors would tap in a wave, from a seed.
//! Invented, for practice and tests only; no number here says anything about people.

use std::collections::BTreeMap;

use plimsoll_judge::{CueIndex, Lane, MissPlace, Opening, StopReason, What};
use rand::Rng;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

/// One tap of a rehearsal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tap {
    /// When, ms of cue time.
    pub cue_ms: i64,
    /// Which assessor of the plan taps, from 0.
    pub assessor: usize,
    /// What.
    pub what: What,
}

/// Returns the taps of a whole wave in order of time: misses, early starts and a stop per runner.
///
/// The same seed gives the same taps on every machine.
pub fn taps(opening: &Opening, index: &CueIndex, seed: u64) -> Vec<Tap> {
    taps_near(opening, index, &BTreeMap::new(), seed)
}

/// Returns the taps of a wave in which runners end near what is expected of them, by lane.
pub fn taps_near(
    opening: &Opening,
    index: &CueIndex,
    expected: &BTreeMap<Lane, u32>,
    seed: u64,
) -> Vec<Tap> {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let bouts = index.bouts();
    let mut found = Vec::new();
    for runner in &opening.lanes {
        let lane = runner.lane;
        let assessor = opening
            .assessors
            .iter()
            .position(|a| a.lanes.contains(&lane))
            .unwrap_or(0);
        let mut tap = |cue_ms, what| {
            found.push(Tap {
                cue_ms,
                assessor,
                what,
            });
        };
        let last = match expected.get(&lane) {
            Some(&n) => (n + rng.random_range(0..=4))
                .saturating_sub(2)
                .clamp(2, bouts),
            // Somewhere in the middle half of the ladder, as a squad would.
            None => rng.random_range(bouts / 5..=bouts / 2).max(2),
        };
        let finish = |bout: u32| {
            let at = index.cues().iter().rfind(|c| c.bout == bout);
            at.map_or(0, |c| c.at_ns / 1_000_000)
        };
        if rng.random_bool(0.2) {
            let at = finish(rng.random_range(1..last)) + rng.random_range(8_000..9_500);
            tap(at, What::EarlyStart { lane });
        }
        let miss = || What::Miss {
            lane,
            bout: None,
            cue: None,
            place: MissPlace::Zone,
        };
        let limit = opening.settings.miss_limit;
        if runner.ends_at.is_some_and(|end| end <= last) {
            continue;
        }
        if limit > 1 && rng.random_bool(0.6) {
            let consecutive =
                opening.settings.counting == plimsoll_judge::MissCounting::Consecutive;
            for n in 0..limit {
                let bout = if consecutive {
                    (last + 1).saturating_sub(limit - n).max(1)
                } else {
                    last.saturating_sub((limit - 1 - n) * 2).max(1)
                };
                tap(finish(bout) + rng.random_range(150..700), miss());
            }
            let at = finish(last) + rng.random_range(800..2_500);
            let reason = StopReason::Misses;
            tap(at, What::Stop { lane, reason });
        } else {
            let reason = if rng.random_bool(0.08) {
                StopReason::Injury
            } else {
                StopReason::Exhaustion
            };
            let at = finish(last) + rng.random_range(2_000..7_000);
            tap(at, What::Stop { lane, reason });
        }
    }
    found.sort_by_key(|tap| (tap.cue_ms, tap.assessor, tap.what.lane()));
    found
}
