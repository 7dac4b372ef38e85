//! Simulated sheets of every ladder: the ladder is named, or honestly shared, or not told.

use plimsoll_examine::{Examination, LadderVerdict, Options, examine_bytes};
use proptest::prelude::*;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::support::{bouts, catalogue, clock, codes, examine, metres, mistype, name, paced};

/// Columns of a simulated sheet.
const PAIRS: [(&str, &str); 4] = [
    ("level", "distance (m)"),
    ("level", "stop time (min:s)"),
    ("distance (m)", "stop time (min:s)"),
    ("level", "speed (km/h)"),
];
const ROWS: usize = 24;
const SHEETS: u64 = 4;
/// One cell in twenty is mistyped.
const TYPOS: f64 = 0.05;

fn cell(test: &str, at: usize, column: &str) -> String {
    let bout = &bouts(test)[at];
    match column {
        "level" => bout.label.clone(),
        "distance (m)" => metres(bout),
        "stop time (min:s)" => clock(bout),
        _ => format!("{:.1}", bout.speed.as_kmh_f64()),
    }
}

/// Makes a sheet of runners spread over the middle of a ladder.
fn sheet(test: &str, pair: (&str, &str), seed: u64, typos: f64) -> String {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let n = bouts(test).len();
    let mut text = format!("name,{},{}\n", pair.0, pair.1);
    for i in 0..ROWS {
        let at = rng.random_range(n / 8..n * 7 / 8);
        let mut cells = [cell(test, at, pair.0), cell(test, at, pair.1)];
        for c in &mut cells {
            if rng.random_bool(typos) {
                *c = mistype(c, &mut rng);
            }
        }
        text.push_str(&format!("{},{},{}\n", name(i), cells[0], cells[1]));
    }
    text
}

/// Whether an id names the truth. The submaximal form is the start of its ladder: one typing error that
/// points beyond its end leaves only the whole ladder, which has the same rungs.
fn is_truth(id: &str, truth: &str) -> bool {
    id == truth || (truth == "ir1_sub6" && id == "ir1")
}

/// Whether the verdict names the truth, alone or among ladders that cannot be told apart.
fn named(examination: &Examination<'_>, truth: &str) -> bool {
    match &examination.report.ladder_verdict[0].verdict {
        LadderVerdict::Identified { id, .. } => is_truth(id, truth),
        LadderVerdict::Shared { ids, .. } => ids.iter().any(|id| is_truth(id, truth)),
        _ => false,
    }
}

/// Whether the verdict names only ladders that are not the truth.
fn misled(examination: &Examination<'_>, truth: &str) -> bool {
    match &examination.report.ladder_verdict[0].verdict {
        LadderVerdict::Identified { id, .. } => !is_truth(id, truth),
        LadderVerdict::Shared { ids, .. } => !ids.iter().any(|id| is_truth(id, truth)),
        LadderVerdict::Switch { .. } => true,
        _ => false,
    }
}

/// Counts (named, misled, all) over sheets of every ladder.
fn count(pair: (&str, &str), typos: f64) -> (usize, usize, usize) {
    let (mut right, mut wrong, mut all) = (0, 0, 0);
    for (i, test) in paced().into_iter().enumerate() {
        for k in 0..SHEETS {
            let text = sheet(test, pair, 1_000 * i as u64 + k, typos);
            let examination = examine(&text);
            all += 1;
            right += usize::from(named(&examination, test));
            wrong += usize::from(misled(&examination, test));
        }
    }
    (right, wrong, all)
}

/// 19 ladders, four sheets of 24 rows each, one cell in twenty mistyped: every ladder is named, alone or
/// among those that cannot be told apart on the sheet, from every pair of columns, and no other is.
#[test]
fn every_pair_of_columns_names_every_ladder_with_one_cell_in_twenty_mistyped() {
    for pair in PAIRS {
        let (right, wrong, all) = count(pair, TYPOS);
        assert_eq!((right, wrong), (all, 0), "{pair:?}: of {all} sheets");
    }
}

/// With one cell in five mistyped a ladder may be missed, but hardly ever mistaken: at most one sheet in
/// twenty, since a ladder is named from a posterior of 0.95 on.
#[test]
fn one_cell_in_five_mistyped_seldom_misleads() {
    let (right, wrong, all) = count(PAIRS[0], 0.2);
    assert!(right * 10 >= all * 9, "{right} of {all} named");
    assert!(wrong * 20 <= all, "{wrong} of {all} misled");
}

#[test]
fn the_posterior_sums_to_one_and_lists_the_likeliest_first() {
    for (i, test) in paced().into_iter().enumerate() {
        let report = examine(&sheet(test, PAIRS[0], i as u64, TYPOS)).report;
        let sum: f64 = report.ladders.iter().map(|l| l.posterior).sum();
        assert!((sum - 1.0).abs() < 1e-4, "{test}: {sum}");
        assert!(
            report
                .ladders
                .windows(2)
                .all(|w| w[0].posterior >= w[1].posterior),
            "{test}"
        );
    }
}

/// Labels of one ladder with distances of the same: 14.3 is 560 m on one, 18.3 is 280 m on the other.
#[test]
fn the_two_recovery_ladders_are_told_apart_by_one_row() {
    let one = examine("level,distance (m)\n14.3,560\n").report;
    assert_eq!(one.ladders[0].id, "ir1");
    let two = examine("level,distance (m)\n18.3,280\n").report;
    assert_eq!(two.ladders[0].id, "ir2");
    let other = examine("level,distance (m)\n18.3,1840\n").report;
    assert_eq!(other.ladders[0].id, "ir1");
}

#[test]
fn one_column_cannot_tell_and_lists_what_it_does_not_exclude() {
    let labels = examine("name,level\nA One,5.1\nB Two,14.3\nC Three,18.2\nD Four,16.7\n").report;
    let LadderVerdict::CannotTell { why, compatible } = &labels.ladder_verdict[0].verdict else {
        panic!("{:?}", labels.ladder_verdict);
    };
    assert!(why.starts_with("cannot tell: only one column"), "{why}");
    assert!(compatible.contains(&"ir1".to_owned()) && compatible.contains(&"ir1c".to_owned()));
    // Stage 5 is not on the faster recovery ladder.
    assert!(!compatible.contains(&"ir2".to_owned()));
    assert!(labels.findings.is_empty(), "{:?}", labels.findings);
}

#[test]
fn a_submaximal_form_shares_the_posterior_with_its_ladder() {
    let mut text = String::from("level,distance (m)\n");
    for at in [9, 12, 15, 16, 17] {
        let bout = &bouts("ir1")[at];
        text.push_str(&format!("{},{}\n", bout.label, metres(bout)));
    }
    let report = examine(&text).report;
    let LadderVerdict::Shared { ids, .. } = &report.ladder_verdict[0].verdict else {
        panic!("{:?}", report.ladder_verdict);
    };
    assert_eq!(ids, &["ir1", "ir1_sub6"]);
    assert!(report.ladders[0].posterior > report.ladders[1].posterior);
}

#[test]
fn a_table_that_nobody_knows_fits_nothing() {
    let mut text = String::from("level,distance (m)\n");
    for i in 0..12 {
        text.push_str(&format!("{}.{},{}\n", 3 + i, 1 + i % 3, 113 + 97 * i));
    }
    let report = examine(&text).report;
    assert!(
        matches!(
            report.ladder_verdict[0].verdict,
            LadderVerdict::NoneFits { .. }
        ),
        "{:?}",
        report.ladder_verdict
    );
    assert_eq!(report.findings.len(), 1);
    assert_eq!(report.findings[0].code.as_str(), "label-distance-disagree");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]

    /// The switch row is the first row that only the second ladder explains, or one within rows that
    /// both explain; the named row is never off by more than a row of typing errors.
    #[test]
    fn a_switch_is_found_at_its_row(
        seed in 0_u64..1_000_000, before in 5_usize..20, after in 5_usize..20,
    ) {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        let mut text = String::from("level,distance (m)\n");
        let ladders = [("ir1", before), ("ir2", after)];
        for (test, n) in ladders {
            for _ in 0..n {
                let bout = &bouts(test)[rng.random_range(6..60)];
                text.push_str(&format!("{},{}\n", bout.label, metres(bout)));
            }
        }
        let examination = examine(&text);
        prop_assert_eq!(examination.report.switch_at_row, Some(before as u32 + 2));
        prop_assert_eq!(codes(&examination), ["ladders-mixed"]);
    }

    /// Sheets of one ladder never show a switch.
    #[test]
    fn no_switch_where_there_is_none(seed in 0_u64..1_000_000, which in 0_usize..17) {
        let paced = paced();
        let test = paced[which % paced.len()];
        let text = sheet(test, PAIRS[0], seed, TYPOS);
        let options = Options::new(catalogue());
        let report = examine_bytes("s.csv", text.as_bytes(), &options).expect("a sheet").report;
        prop_assert_eq!(report.switch_at_row, None);
    }
}
