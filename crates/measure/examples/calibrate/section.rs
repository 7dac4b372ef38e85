//! A table of results with its bounds, as JSON for whoever prints it.
//! States what was found and what was wanted; whether a bound is met is for the reader to work out.

use serde_json::{Value, json};

use crate::tally::{LEVELS, Tally};

/// Standard normal quantile of 99 %, two-sided.
const WIDE: f64 = 2.575_829;

/// A heading, words, tables and bounds.
pub struct Section {
    title: &'static str,
    words: &'static str,
    tables: Vec<Value>,
    bounds: Vec<Value>,
}

impl Section {
    pub fn new(title: &'static str, words: &'static str) -> Self {
        Self {
            title,
            words,
            tables: Vec::new(),
            bounds: Vec::new(),
        }
    }

    /// Adds a table.
    pub fn table(&mut self, columns: &[&str], rows: Vec<Vec<String>>) {
        self.tables
            .push(json!({ "columns": columns, "rows": rows }));
    }

    /// Adds what was found and the least and most it may be.
    pub fn bound(&mut self, what: String, found: f64, low: f64, high: f64, unit: &str) {
        self.bounds
            .push(json!({ "what": what, "found": found, "low": low, "high": high, "unit": unit }));
    }

    /// Adds the intervals of a tally: a row each, and the bound of 88 to 92 % at 90 %.
    pub fn covers(&mut self, tally: &Tally) {
        let mut rows = Vec::new();
        for (name, cover) in &tally.covers {
            let mut row = vec![(*name).to_owned()];
            for level in 0..LEVELS.len() {
                row.push(if cover.all[level] > 0.0 {
                    format!("{:.1} %", 100.0 * cover.held[level] / cover.all[level])
                } else {
                    "–".to_owned()
                });
            }
            row.push(format!("{:.0}", cover.all[2]));
            rows.push(row);
            let found = 100.0 * cover.held[2] / cover.all[2];
            self.bound(format!("90 % interval of {name}"), found, 88.0, 92.0, "%");
        }
        let columns = ["interval of", "50 %", "80 %", "90 %", "95 %", "intervals"];
        self.table(&columns, rows);
    }

    /// Adds the chances of a tally in ten bins. A bin is kept when the share seen lies where 99 in 100
    /// would, were every chance true; nine of ten must be kept, and the mean gap be 2 points at most. The 99 %
    /// are binomial, or, where the cases of a unit share what was fitted to it, from unit to unit.
    pub fn bins(&mut self, tally: &Tally, shared: bool) {
        for (name, bins) in &tally.bins {
            let (mut kept, mut gaps, mut all) = (0, 0.0, 0.0);
            let mut rows = Vec::new();
            for (place, &[said, came, binomial, count, units]) in bins.0.iter().enumerate() {
                if count == 0.0 {
                    continue;
                }
                let (said, came) = (said / count, came / count);
                let variance = if shared { units } else { binomial };
                let half = WIDE * variance.sqrt() / count;
                let within = (came - said).abs() <= half;
                kept += u32::from(within);
                gaps += count * (came - said).abs();
                all += count;
                rows.push(vec![
                    format!("{} to {} %", 10 * place, 10 * place + 10),
                    format!("{count:.0}"),
                    format!("{:.1} %", 100.0 * said),
                    format!("{:.1} %", 100.0 * came),
                    format!(
                        "{:.1} to {:.1} %",
                        100.0 * (said - half).max(0.0),
                        100.0 * (said + half).min(1.0)
                    ),
                    (if within { "yes" } else { "no" }).to_owned(),
                ]);
            }
            self.table(
                &[
                    name,
                    "cases",
                    "expected",
                    "seen",
                    "99 % of chance",
                    "within",
                ],
                rows,
            );
            let (kept, gap) = (f64::from(kept), 100.0 * gaps / all);
            self.bound(format!("{name}: bins kept"), kept, 9.0, 10.0, "of 10");
            self.bound(format!("{name}: mean gap"), gap, 0.0, 2.0, "points");
        }
    }

    /// Returns the section with the seconds it took.
    pub fn told(self, seconds: f64) -> Value {
        json!({ "title": self.title, "words": self.words, "tables": self.tables, "bounds": self.bounds,
            "s": seconds })
    }
}
