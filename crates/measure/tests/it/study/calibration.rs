//! Seeded checks that intervals hold what they should and flags seldom fall on the innocent.

use plimsoll_measure::study::{Advice, FirstPair, Trials, limits_of, six_correlations, study};

use crate::seeded::Seeded;

/// 90 % intervals over 600 runs: a binomial SD of 1.2 %, taken three times.
const RUNS: usize = 600;
const SLACK: f64 = 0.037;
/// Intervals that are approximate by construction may miss by this much more.
const APPROXIMATE: f64 = 0.025;

/// n people with k trials: between SD 10, trial means 0, 3, 4 ..., error 4; a share is missing.
fn table(random: &mut Seeded, n: usize, k: usize, missing: f64) -> Vec<Option<f64>> {
    let mut cells = Vec::with_capacity(n * k);
    for i in 0..n {
        let level = 50.0 + 10.0 * random.normal();
        for j in 0..k {
            let learned = [0.0, 3.0, 4.0, 4.5][j.min(3)];
            let value = level + learned + 4.0 * random.normal();
            let kept = random.uniform() >= missing || i == 0;
            cells.push(kept.then_some(value));
        }
    }
    cells
}

fn covers(share: usize, extra: f64) {
    let share = share as f64 / RUNS as f64;
    assert!((share - 0.9).abs() <= SLACK + extra, "covered {share}");
}

#[test]
fn intervals_with_gaps_hold_the_truth() {
    let mut random = Seeded(11);
    let (mut error, mut consistency, mut change) = (0, 0, 0);
    for _ in 0..RUNS {
        let cells = table(&mut random, 15, 3, 0.25);
        let raw = study(&Trials::wide(&cells, 3).expect("trials"), 0.9)
            .expect("a study")
            .raw;
        let pooled = raw.pooled.expect("an error");
        error += usize::from(pooled.interval.contains(4.0));
        let icc = raw.correlations.expect("correlations")[2];
        let truth = 100.0 / 116.0;
        consistency += usize::from(icc.interval.is_some_and(|i| i.contains(truth)));
        let first = raw.pairs[0].change.clone().expect("a change");
        change += usize::from(first.interval.contains(3.0));
    }
    covers(error, 0.0);
    covers(change, 0.0);
    covers(consistency, APPROXIMATE);
}

/// Few days that differ, many people: the interval to show holds its level, that of 1996 does not.
#[test]
fn agreement_with_few_trials_that_differ() {
    let mut random = Seeded(17);
    let (mut calibrated, mut published) = (0, 0);
    for _ in 0..RUNS {
        let days = [0; 3].map(|_| 10.0 * random.normal());
        let values: Vec<f64> = (0..40)
            .flat_map(|_| {
                let level = 50.0 + 10.0 * random.normal();
                days.map(|day| level + day + 4.0 * random.normal())
            })
            .collect();
        let trials = Trials::complete(&values, 3).expect("trials");
        let icc = six_correlations(&trials, 0.9).expect("correlations")[1];
        let truth = 100.0 / 216.0;
        calibrated += usize::from(icc.calibrated.expect("one").contains(truth));
        published += usize::from(icc.interval.expect("one").contains(truth));
        let of = icc.calibrated.expect("one");
        assert!(of.lower < icc.icc.value && icc.icc.value < of.upper && of.upper < 1.0);
    }
    covers(calibrated, 0.0);
    assert!(published as f64 / (RUNS as f64) < 0.85, "{published}");
}

/// Without any difference between trials and people the interval still comes, or none does.
#[test]
fn agreement_at_the_edges() {
    let mut random = Seeded(18);
    for (people, error, n) in [
        (0.0, 1.0, 5),
        (1e-6, 1.0, 60),
        (1e6, 1.0, 5),
        (1.0, 1e-5, 200),
    ] {
        let values: Vec<f64> = (0..n)
            .flat_map(|_| {
                let level = 50.0 + people * random.normal();
                [0; 2].map(|_| level + error * random.normal())
            })
            .collect();
        let trials = Trials::complete(&values, 2).expect("trials");
        let all = six_correlations(&trials, 0.9).expect("correlations");
        let of = all[1].calibrated.expect("an interval");
        assert!(
            of.lower >= -1.0 && of.lower <= of.upper && of.upper <= 1.0,
            "{of:?}"
        );
    }
}

#[test]
fn exact_limits_hold_the_true_limits() {
    let mut random = Seeded(12);
    let (mut upper, mut both) = (0, 0);
    for _ in 0..RUNS {
        let first: Vec<f64> = (0..8).map(|_| random.normal()).collect();
        let second: Vec<f64> = first
            .iter()
            .map(|a| a + 2.0 + 3.0 * random.normal())
            .collect();
        let got = limits_of(&first, &second, 0.95, 0.9).expect("limits");
        let z = 1.959_964 * 3.0;
        upper += usize::from(got.upper_interval.contains(2.0 + z));
        // The pair is about content: how much of N(2, 3) lies within inner and outer.
        let content = |(low, high): (f64, f64)| {
            let at = |x: f64| plimsoll_measure::dist::normal_cdf((x - 2.0) / 3.0).expect("one");
            at(high) - at(low)
        };
        both += usize::from(content(got.inner) <= 0.95 && content(got.outer) >= 0.95);
    }
    covers(upper, 0.0);
    covers(both, 0.0);
}

#[test]
fn the_ratio_of_errors_holds_the_truth() {
    let mut random = Seeded(13);
    let (mut matched, mut wide, mut noisier) = (0, 0, 0);
    for _ in 0..RUNS {
        let cells = table(&mut random, 14, 3, 0.0);
        let raw = study(&Trials::wide(&cells, 3).expect("trials"), 0.9)
            .expect("a study")
            .raw;
        let learning = raw.learning.expect("learning");
        matched += usize::from(learning.matched.expect("one").contains(1.0));
        wide += usize::from(learning.ratio_interval.expect("one").contains(1.0));
        noisier += usize::from(learning.verdict == FirstPair::Noisier);
    }
    covers(matched, 0.0);
    assert!(
        wide >= matched,
        "the plain F interval errs on the wide side"
    );
    assert!((noisier as f64 / RUNS as f64) < 0.05 + SLACK);
}

#[test]
fn a_noisy_first_trial_is_seen() {
    let mut random = Seeded(14);
    let cells: Vec<Option<f64>> = (0..40)
        .flat_map(|_| {
            let level = 50.0 + 10.0 * random.normal();
            [8.0, 2.0, 2.0, 2.0].map(|sd| Some(level + sd * random.normal()))
        })
        .collect();
    let raw = study(&Trials::wide(&cells, 4).expect("trials"), 0.9)
        .expect("a study")
        .raw;
    assert_eq!(raw.learning.expect("learning").verdict, FirstPair::Noisier);
}

#[test]
fn flags_fall_on_the_planted_person() {
    let mut random = Seeded(15);
    let mut false_alarms = 0;
    for run in 0..RUNS {
        let mut cells = table(&mut random, 20, 3, 0.15);
        let trials = Trials::wide(&cells, 3).expect("trials");
        let report = study(&trials, 0.9)
            .expect("a study")
            .raw
            .influence
            .expect("influence");
        false_alarms += usize::from(report.flagged().count() > 0);
        if run < 30 {
            cells[4 * 3] = Some(50.0);
            cells[4 * 3 + 1] = Some(90.0);
            let trials = Trials::wide(&cells, 3).expect("trials");
            let report = study(&trials, 0.9)
                .expect("a study")
                .raw
                .influence
                .expect("influence");
            let flagged: Vec<u64> = report.flagged().map(|p| p.person).collect();
            assert_eq!(flagged, [4]);
            let largest = report.largest().expect("one");
            assert!(largest.person == 4 && largest.change_percent.expect("a change") < -20.0);
        }
    }
    assert!((false_alarms as f64 / RUNS as f64) < 0.05 + 0.027);
}

#[test]
fn errors_that_grow_ask_for_logs() {
    let mut random = Seeded(16);
    let mut make = |grows: bool| -> Advice {
        let values: Vec<f64> = (0..120)
            .flat_map(|_| {
                let level = 200.0 + 1800.0 * random.uniform();
                let sd = if grows { 0.06 * level } else { 50.0 };
                [level + sd * random.normal(), level + sd * random.normal()]
            })
            .map(|v| v.max(20.0))
            .collect();
        let trials = Trials::complete(&values, 2).expect("trials");
        study(&trials, 0.9)
            .expect("a study")
            .level_check
            .expect("a check")
            .advice
    };
    let logs = (0..20).filter(|_| make(true) == Advice::Logs).count();
    let raw = (0..20).filter(|_| make(false) == Advice::Raw).count();
    assert!(logs >= 19, "{logs} of 20");
    assert!(raw >= 16, "{raw} of 20");
}
