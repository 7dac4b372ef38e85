//! The deal: everyone once, never worse than the first deal, the same whatever the order, replanned.

use plimsoll_desk::planning::{Dealt, deal_with};
use plimsoll_desk::test_day::Expected;
use plimsoll_measure::planning::Rungs;
use proptest::prelude::*;

fn rungs() -> Rungs {
    let each = |by: f64| (1..=91).map(|k| f64::from(k) * by).collect();
    Rungs::new(each(40.0), each(19.0)).expect("rising")
}

fn expected(bouts: &[Option<u32>]) -> Vec<Expected> {
    bouts
        .iter()
        .zip(0..)
        .map(|(bouts, n): (_, u32)| Expected {
            person: format!("p{n:03}"),
            bib: Some(n.to_string()),
            bouts: *bouts,
        })
        .collect()
}

fn dealt(runners: &[Expected], lanes: u16, assessors: u16) -> Dealt {
    deal_with("ir1", runners, &|_| None, &rungs(), lanes, assessors).expect("few")
}

#[test]
fn three_who_do_not_show_leave_a_plan_of_all_the_others() {
    let bouts: Vec<Option<u32>> = (0..72).map(|n| Some(10 + n * 7 % 60)).collect();
    let all = expected(&bouts);
    let before = dealt(&all, 24, 3);
    let here: Vec<Expected> = all
        .iter()
        .filter(|e| !["p003", "p030", "p071"].contains(&e.person.as_str()))
        .cloned()
        .collect();
    let after = dealt(&here, 24, 3);
    assert_eq!(after.plan.faults(), []);
    let people = |d: &Dealt| d.plan.waves.iter().map(|w| w.runners.len()).sum::<usize>();
    assert_eq!((people(&before), people(&after)), (72, 69));
    assert!(before.together < before.together_before, "{before:?}");
}

#[test]
fn nobody_and_one_are_plans_too() {
    assert!(dealt(&[], 24, 3).plan.waves.is_empty());
    let one = dealt(&expected(&[None]), 24, 3);
    assert_eq!(one.plan.faults(), []);
    assert_eq!(one.plan.waves[0].assessors.len(), 1);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(30))]

    #[test]
    fn everyone_is_placed_once_and_no_deal_is_worse_than_the_first(
        bouts in proptest::collection::vec(proptest::option::weighted(0.85, 0_u32..92), 1..60),
        lanes in 1_u16..30, assessors in 1_u16..6, turn in 0_usize..60,
    ) {
        let mut runners = expected(&bouts);
        let plan = dealt(&runners, lanes, assessors);
        prop_assert_eq!(plan.plan.faults(), []);
        let mut placed: Vec<&str> = plan.plan.waves.iter()
            .flat_map(|w| w.runners.iter().map(|r| r.person.as_str())).collect();
        placed.sort_unstable();
        let everyone: Vec<String> = (0..bouts.len()).map(|n| format!("p{n:03}")).collect();
        prop_assert_eq!(placed, everyone);
        prop_assert!(plan.plan.waves.iter().all(|w| w.runners.len() <= usize::from(lanes)));
        prop_assert!(plan.together <= plan.together_before + 1e-9);
        prop_assert!(plan.alone <= plan.alone_before + 1e-9);
        // Blocks differ by one runner at most.
        for wave in &plan.plan.waves {
            let sizes: Vec<usize> = wave.assessors.iter().map(|a| a.lanes.len()).collect();
            let (least, most) = (sizes.iter().min(), sizes.iter().max());
            prop_assert!(most.unwrap_or(&0) - least.unwrap_or(&0) <= 1, "{:?}", sizes);
        }
        let len = runners.len();
        runners.rotate_left(turn % len);
        runners.reverse();
        prop_assert_eq!(&dealt(&runners, lanes, assessors), &plan);
    }
}
