//! The evidence of a group of rows: each different row explained once on each ladder, and summed.
//! Memory goes with the number of different rows, not with the number of rows.

use std::collections::HashMap;

use super::emission::{OFFSETS, explain};
use super::observed::Observed;
use crate::readings::Values;
use crate::rungs::Ladders;
use crate::table::Sheet;

/// One different row.
struct Kind {
    count: usize,
    columns: usize,
    /// Ladders on which every column agrees, as bits, for each offset.
    exact: [u128; 3],
}

/// The evidence of a group of rows.
pub(crate) struct Evidence {
    /// Rows with at least one result column, in the order in which they are weighed.
    pub rows: Vec<u32>,
    of_row: Vec<u32>,
    kinds: Vec<Kind>,
    /// Log-likelihood of each kind on each ladder, without offset.
    logs: Vec<f32>,
    /// Sums over rows: for each offset, for each ladder.
    pub sums: [Vec<f64>; 3],
    ladders: usize,
}

impl Evidence {
    /// Weighs rows on every ladder.
    pub fn of(
        sheet: &Sheet,
        values: &Values,
        ladders: &Ladders,
        rows: impl Iterator<Item = usize>,
    ) -> Self {
        let n = ladders.tables.len().min(128);
        let mut evidence = Self {
            rows: Vec::new(),
            of_row: Vec::new(),
            kinds: Vec::new(),
            logs: Vec::new(),
            sums: [vec![0.0; n], vec![0.0; n], vec![0.0; n]],
            ladders: n,
        };
        let mut index: HashMap<[u32; 6], u32> = HashMap::new();
        let mut logs: Vec<[f64; 3]> = Vec::new();
        for row in rows {
            let key = key(sheet, values, row);
            let kind = match index.get(&key) {
                Some(kind) => *kind,
                None => {
                    let kind = evidence.kinds.len() as u32;
                    evidence.add(sheet, values, ladders, row, &mut logs);
                    index.insert(key, kind);
                    kind
                }
            };
            let Some(stored) = evidence.kinds.get_mut(kind as usize) else {
                continue;
            };
            if stored.columns == 0 {
                continue;
            }
            stored.count += 1;
            evidence.rows.push(row as u32);
            evidence.of_row.push(kind);
        }
        for (kind, stored) in evidence.kinds.iter().enumerate() {
            for ladder in 0..n {
                let Some(log) = logs.get(kind * n + ladder) else {
                    continue;
                };
                for (sums, log) in evidence.sums.iter_mut().zip(log) {
                    if let Some(sum) = sums.get_mut(ladder) {
                        *sum += log * stored.count as f64;
                    }
                }
            }
        }
        evidence
    }

    fn add(
        &mut self,
        sheet: &Sheet,
        values: &Values,
        ladders: &Ladders,
        row: usize,
        logs: &mut Vec<[f64; 3]>,
    ) {
        let seen = Observed::of(values, sheet, row);
        let mut exact = [0_u128; 3];
        for (i, table) in ladders.tables.iter().take(self.ladders).enumerate() {
            let explained = explain(table, &seen);
            logs.push(explained.log);
            self.logs
                .push(explained.log.first().copied().unwrap_or(0.0) as f32);
            for (mask, is_exact) in exact.iter_mut().zip(explained.exact) {
                *mask |= u128::from(is_exact) << i;
            }
        }
        self.kinds.push(Kind {
            count: 0,
            columns: seen.columns(),
            exact,
        });
    }

    /// Returns how many ladders are weighed.
    pub const fn ladders(&self) -> usize {
        self.ladders
    }

    /// Returns how many rows have at least so many result columns.
    pub fn rows_with(&self, columns: usize) -> usize {
        self.kinds
            .iter()
            .filter(|k| k.columns >= columns)
            .map(|k| k.count)
            .sum()
    }

    /// Returns how many rows with two or more columns agree exactly on a ladder at an offset
    /// (an index into the offsets 0, +1, -1).
    pub fn exact_rows(&self, ladder: usize, slot: usize) -> usize {
        self.kinds
            .iter()
            .filter(|k| k.columns >= 2 && k.is_exact(ladder, slot))
            .map(|k| k.count)
            .sum()
    }

    /// Returns whether the i-th weighed row agrees exactly on a ladder without offset.
    pub fn is_exact(&self, i: usize, ladder: usize) -> bool {
        self.kind(i).is_some_and(|k| k.is_exact(ladder, 0))
    }

    /// Returns which of the different rows the i-th weighed row is.
    pub fn kind_of(&self, i: usize) -> u32 {
        self.of_row.get(i).copied().unwrap_or(0)
    }

    /// Returns how many columns the i-th weighed row has.
    pub fn columns(&self, i: usize) -> usize {
        self.kind(i).map_or(0, |k| k.columns)
    }

    /// Returns the log-likelihood of the i-th weighed row on a ladder.
    pub fn log(&self, i: usize, ladder: usize) -> f64 {
        let kind = self.of_row.get(i).copied().unwrap_or(0) as usize;
        self.logs
            .get(kind * self.ladders + ladder)
            .copied()
            .map_or(0.0, f64::from)
    }

    /// Returns whether two ladders explain every row equally well.
    pub fn are_equal(&self, a: usize, b: usize) -> bool {
        (0..self.kinds.len()).all(|kind| {
            let log = |l: usize| {
                self.logs
                    .get(kind * self.ladders + l)
                    .copied()
                    .unwrap_or(0.0)
            };
            let used = self.kinds.get(kind).is_some_and(|k| k.count > 0);
            !used || (log(a) - log(b)).abs() < 1e-4
        })
    }

    fn kind(&self, i: usize) -> Option<&Kind> {
        self.kinds.get(self.of_row.get(i).copied()? as usize)
    }
}

impl Kind {
    fn is_exact(&self, ladder: usize, slot: usize) -> bool {
        debug_assert!(slot < OFFSETS.len());
        self.exact
            .get(slot)
            .is_some_and(|mask| mask >> ladder & 1 == 1)
    }
}

fn key(sheet: &Sheet, values: &Values, row: usize) -> [u32; 6] {
    let at = |kind: Option<u32>| kind.unwrap_or(u32::MAX);
    [
        at(values.label.as_ref().map(|r| r.kind(sheet, row))),
        at(values.distance.as_ref().map(|r| r.kind(sheet, row))),
        at(values.bouts.as_ref().map(|r| r.kind(sheet, row))),
        at(values.shuttles.as_ref().map(|r| r.kind(sheet, row))),
        at(values.time.as_ref().map(|r| r.kind(sheet, row))),
        at(values.speed.as_ref().map(|r| r.kind(sheet, row))),
    ]
}
