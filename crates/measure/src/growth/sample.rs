//! What a reference is fitted to: people one by one, or counts in bins of age and value.
//! Sorts and merges ties, so that the order of the rows cannot change a result.
//! Holds logs of the values: everything later works on ln(value).

use std::ops::Range;

use crate::{MeasureError, check};

/// Bins with less than this ln(upper / lower) are taken as a value at the geometric middle.
const NARROW: f64 = 1e-4;

/// One person: age, value above 0, and how many people the row stands for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Age, in the unit all rows share (mostly years).
    pub age: f64,
    /// Value, above 0.
    pub value: f64,
    /// How many people the row stands for, 0 or more; a row of weight 0 is left out.
    pub weight: f64,
}

impl Row {
    /// Makes a row that stands for one person.
    pub fn new(age: f64, value: f64) -> Self {
        Self {
            age,
            value,
            weight: 1.0,
        }
    }
}

/// A count of people in a bin of age and of value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// Lower and upper end of age; the middle is used, both may be the same.
    pub age: (f64, f64),
    /// Lower end of the value, 0 or more; 0 means open downwards.
    pub lower: f64,
    /// Upper end of the value, above the lower end; infinite means open upwards.
    pub upper: f64,
    /// How many people, 0 or more; a cell of 0 is left out.
    pub count: f64,
}

/// People of one age.
#[derive(Debug, Clone)]
pub(crate) struct Group {
    pub(crate) age: f64,
    pub(crate) weight: f64,
    pub(crate) points: Range<usize>,
    pub(crate) spans: Range<usize>,
}

/// Checked data, sorted by age and value.
#[derive(Debug, Clone)]
pub struct Sample {
    pub(crate) groups: Vec<Group>,
    /// ln(value) and weight.
    pub(crate) points: Vec<(f64, f64)>,
    /// ln of both ends (infinite when open) and count.
    pub(crate) spans: Vec<(f64, f64, f64)>,
    /// What widths of narrow bins add to the log-likelihood.
    pub(crate) offset: f64,
    /// Mean of ln(value).
    pub(crate) centre: f64,
    people: f64,
}

impl Sample {
    /// Takes rows, one a person or weighted, in any order.
    pub fn from_rows(rows: &[Row]) -> Result<Self, MeasureError> {
        let mut entries = Vec::with_capacity(rows.len());
        for row in rows {
            let age = check::finite("age", row.age)?;
            let ln = check::positive("value", row.value)?.ln();
            let weight = check::not_negative("weight of a row", row.weight)?;
            if weight > 0.0 {
                entries.push((age, ln, ln, weight));
            }
        }
        Self::sorted(entries, 0.0)
    }

    /// Takes counts in bins, in any order; bins may be open at the bottom and the top.
    pub fn from_cells(cells: &[Cell]) -> Result<Self, MeasureError> {
        let mut entries = Vec::with_capacity(cells.len());
        let mut offset = 0.0;
        for cell in cells {
            let low = check::finite("lower end of an age bin", cell.age.0)?;
            let high = check::finite("upper end of an age bin", cell.age.1)?;
            check::within(
                "upper end of an age bin",
                high,
                high >= low,
                "the lower end or more",
            )?;
            let lower = check::not_negative("lower end of a value bin", cell.lower)?;
            if cell.upper.is_nan() || cell.upper <= lower {
                return Err(MeasureError::OutOfRange {
                    what: "upper end of a value bin",
                    found: cell.upper,
                    allowed: "any number above the lower end",
                });
            }
            let count = check::not_negative("count of a bin", cell.count)?;
            if count == 0.0 {
                continue;
            }
            let (mut a, mut b) = (lower.ln(), cell.upper.ln());
            if b - a < NARROW {
                offset += count * (cell.upper - lower).ln();
                a = 0.5 * (a + b);
                b = a;
            }
            entries.push((low + 0.5 * (high - low), a, b, count));
        }
        Self::sorted(entries, offset)
    }

    /// Returns how many people there are (the sum of weights or counts).
    pub fn people(&self) -> f64 {
        self.people
    }

    /// Returns the first and the last age.
    pub fn ages(&self) -> (f64, f64) {
        let first = self.groups.first().map_or(f64::NAN, |g| g.age);
        (first, self.groups.last().map_or(f64::NAN, |g| g.age))
    }

    /// Returns the number of different ages.
    pub fn different_ages(&self) -> usize {
        self.groups.len()
    }

    fn sorted(mut entries: Vec<(f64, f64, f64, f64)>, offset: f64) -> Result<Self, MeasureError> {
        let Some(&(_, low, high, _)) = entries.first() else {
            return Err(MeasureError::TooFew {
                what: "people of a reference sample",
                found: 0,
                needed: 1,
            });
        };
        if entries.iter().all(|e| (e.1, e.2) == (low, high)) {
            return Err(MeasureError::NoSpread {
                what: "the values of a reference sample",
                hint: "check that the column is the measured value",
            });
        }
        entries.sort_unstable_by(|a, b| {
            let by = |x: f64, y: f64| x.total_cmp(&y);
            by(a.0, b.0)
                .then(by(a.1, b.1))
                .then(by(a.2, b.2))
                .then(by(a.3, b.3))
        });
        let mut sample = Self {
            groups: Vec::new(),
            points: Vec::new(),
            spans: Vec::new(),
            offset,
            centre: 0.0,
            people: 0.0,
        };
        for entry in entries {
            sample.push(entry);
        }
        sample.people = check::result("the number of people", sample.people)?;
        sample.centre = check::result("the mean log", sample.centre / sample.people)?;
        Ok(sample)
    }

    fn push(&mut self, (age, low, high, weight): (f64, f64, f64, f64)) {
        if self.groups.last().is_none_or(|group| group.age != age) {
            self.groups.push(Group {
                age,
                weight: 0.0,
                points: self.points.len()..self.points.len(),
                spans: self.spans.len()..self.spans.len(),
            });
        }
        let Some(group) = self.groups.last_mut() else {
            return;
        };
        group.weight += weight;
        self.people += weight;
        self.centre += weight * middle(low, high);
        if low == high {
            match self.points[group.points.clone()].last() {
                Some(&(ln, _)) if ln == low => self.points[group.points.end - 1].1 += weight,
                _ => self.points.push((low, weight)),
            }
            group.points.end = self.points.len();
        } else {
            match self.spans[group.spans.clone()].last() {
                Some(&(a, b, _)) if (a, b) == (low, high) => {
                    self.spans[group.spans.end - 1].2 += weight;
                }
                _ => self.spans.push((low, high, weight)),
            }
            group.spans.end = self.spans.len();
        }
    }
}

/// A ln(value) that stands for a bin in rough first estimates only.
pub(crate) fn middle(low: f64, high: f64) -> f64 {
    match (low.is_finite(), high.is_finite()) {
        (true, true) => 0.5 * (low + high),
        (false, true) => high - 0.1,
        (true, false) => low + 0.1,
        (false, false) => 0.0,
    }
}
