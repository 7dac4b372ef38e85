//! Ways a sheet's scores may stand on the wrong rows, each with its log-likelihood.
//! Sums over rows are built from the end (dynamic programming), so a shift costs one step a row.
//! Model: derived; a score is its runner's normal prediction, or with a small chance anything.

use super::slip::{SlipOptions, SlipRow};
use crate::check;

/// What may have happened; rows count from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edit {
    /// Every score stands on its own row.
    AsWritten,
    /// From row `from` on every score stands `by` rows too high: runners were passed over.
    TooHigh {
        /// First row with a wrong score.
        from: usize,
        /// Rows.
        by: usize,
    },
    /// From row `from` on every score stands `by` rows too low: rows were filled twice or left.
    TooLow {
        /// First row that holds no score of its own.
        from: usize,
        /// Rows.
        by: usize,
    },
    /// The scores of two rows are exchanged.
    Swap {
        /// Upper row.
        first: usize,
        /// Lower row.
        second: usize,
    },
}

impl Edit {
    /// Returns the runner (row) whose score stands on `row` of a sheet with `rows` rows; none
    /// when it is nobody's.
    pub fn owner(&self, row: usize, rows: usize) -> Option<usize> {
        match *self {
            Self::TooHigh { from, by } if row >= from => Some(row + by).filter(|&r| r < rows),
            Self::TooLow { from, by } if row >= from => {
                (row >= from + by).then(|| row.saturating_sub(by))
            }
            Self::Swap { first, second } if row == first => Some(second),
            Self::Swap { first, second } if row == second => Some(first),
            _ => Some(row),
        }
    }
}

/// Log-densities of the scores of a sheet.
pub(crate) struct Sheet<'a> {
    rows: &'a [SlipRow],
    /// Scores less the wave's common gap, which course or weather may have moved.
    scores: Vec<Option<f64>>,
    stray: f64,
    centre: f64,
    spread: f64,
}

impl<'a> Sheet<'a> {
    /// Prepares a checked sheet with `gap` taken from every score.
    pub fn new(rows: &'a [SlipRow], options: &SlipOptions, gap: f64) -> Self {
        let predicted: Vec<f64> = rows.iter().map(|row| row.predicted).collect();
        let noise: f64 = rows.iter().map(|row| row.sd * row.sd).sum::<f64>() / rows.len() as f64;
        Self {
            rows,
            scores: rows
                .iter()
                .map(|row| row.observed.map(|score| score - gap))
                .collect(),
            stray: options.stray,
            centre: check::mean(&predicted),
            spread: (check::sd(&predicted).powi(2) + noise).sqrt(),
        }
    }

    /// Log-likelihood of the sheet as written.
    pub fn as_written(&self) -> f64 {
        (0..self.rows.len()).map(|row| self.owned(row, row)).sum()
    }

    /// Log-density of the score on `row` if it is nobody's; 0 for a blank.
    fn nobody(&self, row: usize) -> f64 {
        self.scores[row].map_or(0.0, |x| log_normal(x, self.centre, self.spread))
    }

    /// Log-density of the score on `row` if it is runner `owner`'s; 0 for a blank.
    fn owned(&self, row: usize, owner: usize) -> f64 {
        let Some(x) = self.scores[row] else {
            return 0.0;
        };
        let own = (1.0 - self.stray).ln()
            + log_normal(x, self.rows[owner].predicted, self.rows[owner].sd);
        if self.stray <= 0.0 {
            return own;
        }
        let other = self.stray.ln() + log_normal(x, self.centre, self.spread);
        let top = own.max(other);
        top + ((own - top).exp() + (other - top).exp()).ln()
    }

    fn filled(&self, row: usize) -> usize {
        usize::from(self.scores[row].is_some())
    }

    /// Calls `visit` with every shift by 1 to `most` rows and its gain over the sheet as written.
    pub fn shifts(&self, most: usize, mut visit: impl FnMut(Edit, f64)) {
        let n = self.rows.len();
        let own: Vec<f64> = (0..n).map(|row| self.owned(row, row)).collect();
        for by in 1..=most.min(n.saturating_sub(2)) {
            // High: gain and filled rows from here to the end, built from the last row.
            let (mut gain, mut moved) = (0.0, 0);
            for row in (0..n).rev() {
                if row + by < n {
                    gain += self.owned(row, row + by) - own[row];
                    moved += self.filled(row);
                } else {
                    gain += self.nobody(row) - own[row];
                }
                if moved >= 2 && self.filled(row) == 1 {
                    visit(Edit::TooHigh { from: row, by }, gain);
                }
            }
            let (mut gain, mut moved) = (0.0, 0);
            for row in (by..n).rev() {
                gain += self.owned(row, row - by) - own[row];
                moved += self.filled(row);
                if moved >= 2 {
                    let from = row - by;
                    let gap: f64 = (from..row).map(|r| self.nobody(r) - own[r]).sum();
                    visit(Edit::TooLow { from, by }, gain + gap);
                }
            }
        }
    }

    /// Calls `visit` with every exchange of two rows, not both blank, and its gain.
    pub fn swaps(&self, mut visit: impl FnMut(Edit, f64)) {
        let n = self.rows.len();
        let own: Vec<f64> = (0..n).map(|row| self.owned(row, row)).collect();
        for first in 0..n {
            for second in first + 1..n {
                if self.filled(first) + self.filled(second) == 0 {
                    continue;
                }
                let gain = self.owned(first, second) + self.owned(second, first)
                    - own[first]
                    - own[second];
                visit(Edit::Swap { first, second }, gain);
            }
        }
    }
}

/// Candidates for the gap common to all: the median gap with every score moved by the same rows.
pub(crate) fn common_gaps(rows: &[SlipRow], most: usize) -> Vec<f64> {
    let n = rows.len();
    let most = most.min(n.saturating_sub(2)) as isize;
    (-most..=most)
        .filter_map(|by| {
            let gaps = (0..n).filter_map(|row| {
                let owner = row.checked_add_signed(by).filter(|&owner| owner < n)?;
                Some(rows[row].observed? - rows[owner].predicted)
            });
            check::median(gaps.collect())
        })
        .collect()
}

fn log_normal(x: f64, mean: f64, sd: f64) -> f64 {
    let z = (x - mean) / sd;
    -0.5 * z * z - sd.ln() - 0.5 * (2.0 * std::f64::consts::PI).ln()
}
