//! A wave simulated many times with a seed, against the formulas.

use plimsoll_measure::planning::{
    Runner, alone, count_of, hazard, last_stop, stops, together, within,
};

use super::{rungs, runner};
use crate::seeded::Seeded;

/// Waves; a share's standard error is then at most 0.0025.
const WAVES: usize = 40_000;
/// Four standard errors of a share.
const SHARE: f64 = 0.01;

fn squad() -> Vec<Runner> {
    let metres = [90.0, 130.0, 480.0, 520.0, 700.0, 900.0, 1_200.0, 1_700.0];
    let sds = [0.3, 0.2, 0.1, 0.15, 0.1, 0.2, 0.1, 0.12];
    metres.iter().zip(sds).map(|(m, s)| runner(*m, s)).collect()
}

#[test]
fn a_simulated_wave_agrees_with_the_formulas() {
    let rungs = rungs(45);
    let squad = squad();
    let chances: Vec<Vec<f64>> = squad.iter().map(|r| stops(r, &rungs)).collect();
    let mut random = Seeded(20_261_125);
    let (mut most, mut early, mut solo, mut pair) = (vec![0_u32; 46], [0_u32; 9], 0_u64, 0_u32);
    let (mut at_risk, mut stopped) = (0_u32, 0_u32);
    for _ in 0..WAVES {
        let done: Vec<usize> = squad
            .iter()
            .map(|r| rungs.bouts_at((r.mean() + r.sd() * random.normal()).exp()))
            .collect();
        most[*done.iter().max().expect("eight")] += 1;
        early[done.iter().filter(|d| **d < 4).count()] += 1;
        for bout in 1..=45 {
            solo += u64::from(done.iter().filter(|d| **d + 1 >= bout).count() == 1);
        }
        pair += u32::from(done[2].abs_diff(done[3]) <= 1);
        if done[5] >= 22 {
            at_risk += 1;
            stopped += u32::from(done[5] == 22);
        }
    }
    let share = |n: u32| f64::from(n) / WAVES as f64;
    for (k, p) in last_stop(&chances).iter().enumerate() {
        assert!((share(most[k]) - p).abs() < SHARE, "best {k}: {p}");
    }
    let count = count_of(&within(&chances, 4)).expect("chances");
    for (k, p) in count.chances.iter().enumerate() {
        assert!((share(early[k]) - p).abs() < SHARE, "early {k}: {p}");
    }
    let expected = alone(&chances);
    let found = solo as f64 / WAVES as f64;
    // SD of the bouts alone is under 8: four standard errors.
    assert!((found - expected).abs() < 0.16, "{found} {expected}");
    assert!((share(pair) - together(&chances[2], &chances[3])).abs() < SHARE);
    let p = hazard(&squad[5], &rungs, 22).expect("on the ladder");
    let rate = f64::from(stopped) / f64::from(at_risk);
    assert!((rate - p).abs() < 0.02, "{rate} {p}");
}
