//! Blocks and cuts: never worse, same sizes, the best where it can be counted, the same each time.

use plimsoll_measure::planning::{alone, share_out, split_waves, stops, together};
use proptest::prelude::*;

use super::{rungs, runner};

fn chances(metres: &[f64], sd: f64) -> Vec<Vec<f64>> {
    let rungs = rungs(60);
    metres
        .iter()
        .map(|m| stops(&runner(*m, sd), &rungs))
        .collect()
}

fn cost(runners: &[Vec<f64>], block: &[usize]) -> f64 {
    let mut sum = 0.0;
    for i in 0..block.len() {
        for j in 0..i {
            if block[i] == block[j] {
                sum += together(&runners[i], &runners[j]);
            }
        }
    }
    sum
}

#[test]
fn the_best_of_all_ways_to_share_eight_runners_is_found() {
    let runners = chances(
        &[500.0, 510.0, 520.0, 800.0, 820.0, 1_300.0, 1_310.0, 2_000.0],
        0.05,
    );
    let start = [0, 0, 0, 0, 1, 1, 1, 1];
    let found = share_out(&runners, &start, 7).expect("eight");
    let best = (0_u32..256)
        .filter(|mask| mask.count_ones() == 4)
        .map(|mask| {
            let block: Vec<usize> = (0..8).map(|i| (mask >> i & 1) as usize).collect();
            cost(&runners, &block)
        })
        .fold(f64::INFINITY, f64::min);
    assert!(
        (found.best.cost - best).abs() < 1e-12,
        "{} {best}",
        found.best.cost
    );
    assert!(found.best.cost < found.start.cost / 2.0 && found.settled && found.tried > 0);
}

#[test]
fn a_lone_strong_runner_of_a_weak_wave_moves_to_the_next() {
    let runners = chances(
        &[300.0, 310.0, 320.0, 1_900.0, 1_950.0, 2_000.0, 2_050.0],
        0.05,
    );
    let found = split_waves(&runners, &[4, 3], 2, 4).expect("seven");
    assert_eq!(found.sizes, [3, 4]);
    let at_start = alone(&runners[..4]) + alone(&runners[4..]);
    assert!((found.alone_at_start - at_start).abs() < 1e-9);
    assert!(found.alone < at_start - 20.0, "{found:?}");
    // With no room in the next wave nothing moves.
    let full = split_waves(&runners, &[4, 3], 4, 4).expect("seven");
    assert_eq!((full.sizes, full.alone), (vec![4, 3], at_start));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn sharing_out_keeps_sizes_and_is_never_worse(
        metres in proptest::collection::vec(60.0_f64..2_600.0, 1..26),
        hands in 1_usize..5, seed in any::<u64>(),
    ) {
        let runners = chances(&metres, 0.12);
        let start: Vec<usize> = (0..metres.len()).map(|i| i % hands).collect();
        let found = share_out(&runners, &start, seed).expect("few");
        prop_assert!(found.best.cost <= found.start.cost + 1e-12);
        prop_assert!((found.best.cost - cost(&runners, &found.best.block)).abs() < 1e-9);
        let (mut a, mut b) = (start.clone(), found.best.block.clone());
        a.sort_unstable();
        b.sort_unstable();
        prop_assert_eq!(a, b);
        prop_assert_eq!(&share_out(&runners, &start, seed).expect("few"), &found);
    }

    #[test]
    fn cutting_keeps_everyone_and_is_never_worse(
        mut metres in proptest::collection::vec(60.0_f64..2_600.0, 2..30),
        size in 2_usize..10,
    ) {
        metres.sort_by(f64::total_cmp);
        let runners = chances(&metres, 0.12);
        let sizes: Vec<usize> = metres.chunks(size).map(<[f64]>::len).collect();
        let found = split_waves(&runners, &sizes, 2, size + 2).expect("few");
        prop_assert_eq!(found.sizes.iter().sum::<usize>(), metres.len());
        prop_assert!(found.alone <= found.alone_at_start + 1e-9);
        for (now, before) in found.sizes.iter().zip(&sizes) {
            prop_assert!(*now <= size + 2 && *now >= (*before).min(2));
        }
    }
}
