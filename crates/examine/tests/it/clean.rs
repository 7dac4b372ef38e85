//! Sheets without a fault: simulated squads in several layouts. Nothing, or next to nothing, may be found.

use std::collections::BTreeMap;

use rand::seq::SliceRandom;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::support::{bouts, clock, examine, metres, name, paced};

/// What a simulated squad is like.
#[derive(Clone, Copy)]
struct Squad {
    /// Test-retest error, standard deviation of logarithms.
    error: f64,
    /// Mean change of everybody between the days, logarithm.
    gain: f64,
    /// Columns.
    columns: &'static [&'static str],
    /// Rows of a day stand in order of the result.
    sorted: bool,
    days: usize,
    /// Year of birth of the oldest.
    born: u16,
}

const ALL: &[&str] = &[
    "Name",
    "Date of birth",
    "Date",
    "Wave",
    "Level",
    "Distance (m)",
    "Stop time",
    "Reason",
    "HR max",
    "HR +60 s",
];

/// A normal number by the sum of twelve uniform ones.
fn normal(rng: &mut ChaCha8Rng) -> f64 {
    (0..12).map(|_| rng.random_range(0.0..1.0)).sum::<f64>() - 6.0
}

/// Test days of 24 people with everything right.
fn sheet(test: &str, squad: Squad, seed: u64) -> String {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let n = bouts(test).len();
    let level: Vec<f64> = (0..24)
        .map(|_| rng.random_range(n as f64 * 0.3..n as f64 * 0.8))
        .collect();
    let mut text = squad.columns.join(",") + "\n";
    for (day, date) in ["2026-02-02", "2026-04-13", "2026-06-22"]
        .iter()
        .take(squad.days)
        .enumerate()
    {
        let mut rows: Vec<(usize, String)> = Vec::new();
        for (i, base) in level.iter().enumerate() {
            let change = squad.gain * day as f64 + squad.error * normal(&mut rng);
            let at = ((base * change.exp()).round() as usize).clamp(1, n) - 1;
            let bout = &bouts(test)[at];
            let high = rng.random_range(182..206);
            let cells: Vec<String> = squad
                .columns
                .iter()
                .map(|c| match *c {
                    "Name" => name(i),
                    "Date of birth" => {
                        format!(
                            "{}-{:02}-{:02}",
                            squad.born + i as u16 % 4,
                            1 + i % 12,
                            1 + (i * 5) % 28
                        )
                    }
                    "Date" => (*date).to_owned(),
                    "Wave" => if i < 12 { "A" } else { "B" }.to_owned(),
                    "Level" => bout.label.clone(),
                    "Distance (m)" => metres(bout),
                    "Stop time" => clock(bout),
                    "Reason" => "exhaustion".to_owned(),
                    "HR max" => high.to_string(),
                    _ => (high - rng.random_range(25..50)).to_string(),
                })
                .collect();
            rows.push((at, cells.join(",")));
        }
        if squad.sorted {
            rows.sort_by_key(|r| std::cmp::Reverse(r.0));
        } else {
            rows.shuffle(&mut rng);
        }
        for (_, row) in rows {
            text.push_str(&row);
            text.push('\n');
        }
    }
    text
}

/// Findings by code over sheets of every maximal ladder, and the number of sheets.
fn alarms(squad: Squad, sheets: u64) -> (BTreeMap<&'static str, Vec<String>>, usize) {
    let mut found: BTreeMap<&'static str, Vec<String>> = BTreeMap::new();
    let mut all = 0;
    for (i, test) in paced().into_iter().enumerate() {
        // A form that most complete has no spread to compare.
        if test == "ir1_sub6" {
            continue;
        }
        for k in 0..sheets {
            all += 1;
            let report = examine(&sheet(test, squad, 1_000 * i as u64 + k)).report;
            for f in report.findings {
                found
                    .entry(f.code.as_str())
                    .or_default()
                    .push(format!("{test}/{k}: {}", f.message));
            }
        }
    }
    (found, all)
}

/// What the adult studies report, 4.9 %: inside the detectors' default. Each statistical detector is
/// set to about one false alarm in a thousand sheets.
#[test]
fn adult_squads_show_nothing_in_any_layout() {
    let base = Squad {
        error: 0.049,
        gain: 0.0,
        columns: ALL,
        sorted: false,
        days: 2,
        born: 1998,
    };
    let layouts = [
        base,
        Squad {
            days: 3,
            sorted: true,
            ..base
        },
        Squad {
            columns: &["Name", "Date", "Level"],
            ..base
        },
        Squad {
            columns: &["Name", "Date", "Distance (m)"],
            ..base
        },
        Squad {
            columns: &["Name", "Date", "Level", "Stop time"],
            ..base
        },
        Squad {
            columns: &["Name", "Level", "Distance (m)"],
            days: 1,
            ..base
        },
    ];
    for (i, squad) in layouts.into_iter().enumerate() {
        let (found, all) = alarms(squad, 3);
        assert!(found.is_empty(), "layout {i}, {all} sheets: {found:#?}");
    }
}

/// Youth squads repeat less well (8 to 17 %, secondary source read) and grow: 12 % error, 5 % gain. The
/// file's own repeats take over, and at most one sheet in twenty asks about somebody.
#[test]
fn youth_squads_seldom_show_anything() {
    let squad = Squad {
        error: 0.12,
        gain: 0.05,
        columns: ALL,
        sorted: false,
        days: 3,
        born: 2011,
    };
    let (found, all) = alarms(squad, 4);
    let sheets: usize = found.values().map(Vec::len).sum();
    assert!(
        sheets * 20 <= all,
        "{sheets} findings in {all} sheets: {found:#?}"
    );
}
