//! `plimsoll mixed` through the command line: helpers and the balanced data of two books.

mod golden;
mod laws;
mod refusals;

use std::path::Path;

use serde_json::Value;

use crate::support::Bench;

/// Two searches stop near the same flat optimum; lme4's own tests ask for this of SDs.
const SDS: f64 = 1e-4;
/// Fixed effects and the likelihood hardly depend on where the search stops.
const FIXED: f64 = 1e-6;
/// Balanced data have the answer in closed form.
const CLOSED: f64 = 1e-5;
/// lmerTest differentiates numerically.
const FREEDOM: f64 = 1e-3;
/// lme4 reads the ends of a profile off a spline.
const PROFILE: f64 = 5e-4;

fn golden(name: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../measure/tests/golden");
    std::fs::read_to_string(folder.join(name)).expect("golden file")
}

/// Text with its narrow and fixed spaces as plain ones.
fn plain(text: &str) -> String {
    text.replace(['\u{202f}', '\u{a0}'], " ")
}

#[track_caller]
fn close(what: &str, got: &Value, want: f64, tolerance: f64) {
    let got = got.as_f64().unwrap_or_else(|| panic!("{what}: {got}"));
    let off = (got - want).abs() / want.abs().max(1.0);
    assert!(off <= tolerance, "{what}: {got}, want {want}");
}

#[track_caller]
fn mixed(bench: &Bench, sheet: &str, more: &[&str]) -> Value {
    bench.put("rows.csv", sheet);
    let args: Vec<&str> = ["mixed", "rows.csv", "--json"]
        .iter()
        .chain(more)
        .copied()
        .collect();
    let ran = bench.run(&args);
    assert_eq!(ran.status, 0, "{}", ran.err);
    ran.json()
}

const DYESTUFF: [f64; 30] = [
    1545.0, 1440.0, 1440.0, 1520.0, 1580.0, 1540.0, 1555.0, 1490.0, 1560.0, 1495.0, 1595.0, 1550.0,
    1605.0, 1510.0, 1560.0, 1445.0, 1440.0, 1595.0, 1465.0, 1545.0, 1595.0, 1630.0, 1515.0, 1635.0,
    1625.0, 1520.0, 1455.0, 1450.0, 1480.0, 1445.0,
];
const DYESTUFF_2: [f64; 30] = [
    7.298, 3.846, 2.434, 9.566, 7.99, 5.22, 6.556, 0.608, 11.788, -0.892, 0.11, 10.386, 13.434,
    5.51, 8.166, 2.212, 4.852, 7.092, 9.288, 4.98, 0.282, 9.014, 4.458, 9.446, 7.198, 1.722, 4.782,
    8.106, 0.758, 3.758,
];

/// Six batches of five; `label` names a batch, `shift` moves the yields.
fn batches(yields: &[f64; 30], label: impl Fn(usize) -> String, shift: f64) -> Vec<String> {
    let rows = yields.iter().enumerate();
    rows.map(|(i, y)| format!("{},{}\n", label(i / 5), y + shift))
        .collect()
}

fn letters(batch: usize) -> String {
    ["A", "B", "C", "D", "E", "F"][batch].to_owned()
}

const YIELD: [&str; 4] = ["--outcome", "Yield", "--group", "Batch"];
