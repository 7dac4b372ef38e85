//! The values of a study: a row a person, a column a trial, gaps allowed.
//! Checks and stores; computes nothing.
//! Rows and columns without any value are left out; marks of the others are kept.

use crate::{MeasureError, check};

/// Most cells of a table, people times trials.
const MOST_CELLS: usize = 50_000_000;

/// One value of a long list.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LongRow {
    /// Mark of the person, any number.
    pub person: u64,
    /// Number of the trial; trials are taken in rising order.
    pub trial: u32,
    /// The value, finite.
    pub value: f64,
}

/// Repeated trials of several people, one contiguous table.
#[derive(Debug, Clone, PartialEq)]
pub struct Trials {
    /// Row by row; NaN stands for a missing trial and never leaves the crate.
    values: Vec<f64>,
    people: Vec<u64>,
    numbers: Vec<u32>,
}

impl Trials {
    /// Makes a study from a complete table, row by row with `trials` values a person.
    /// People are marked 0, 1, 2 ... and trials 1, 2, 3 ...
    pub fn complete(values: &[f64], trials: usize) -> Result<Self, MeasureError> {
        check::list("values of the study", values, 2)?;
        Self::new(values.to_vec(), trials)
    }

    /// Makes a study from a table with gaps, row by row with `trials` places a person.
    pub fn wide(values: &[Option<f64>], trials: usize) -> Result<Self, MeasureError> {
        let mut table = Vec::with_capacity(values.len());
        for value in values {
            table.push(match value {
                Some(value) => check::finite("value of the study", *value)?,
                None => f64::NAN,
            });
        }
        Self::new(table, trials)
    }

    /// Makes a study from a list of person, trial and value, in any order.
    pub fn long(rows: &[LongRow]) -> Result<Self, MeasureError> {
        let mut people: Vec<u64> = rows.iter().map(|row| row.person).collect();
        people.sort_unstable();
        people.dedup();
        let mut numbers: Vec<u32> = rows.iter().map(|row| row.trial).collect();
        numbers.sort_unstable();
        numbers.dedup();
        let trials = numbers.len();
        let cells = room(people.len(), trials)?;
        let mut values = vec![f64::NAN; cells];
        for row in rows {
            let value = check::finite("value of the study", row.value)?;
            // Both lists hold every mark, so both searches succeed.
            let i = people.partition_point(|&mark| mark < row.person);
            let j = numbers.partition_point(|&mark| mark < row.trial);
            let cell = &mut values[i * trials + j];
            if !cell.is_nan() {
                return Err(MeasureError::Twice {
                    what: "person and trial",
                    first: row.person,
                    second: u64::from(row.trial),
                });
            }
            *cell = value;
        }
        Self::checked(values, people, numbers)
    }

    fn new(values: Vec<f64>, trials: usize) -> Result<Self, MeasureError> {
        if trials < 2 {
            return Err(MeasureError::TooFew {
                what: "trials",
                found: trials,
                needed: 2,
            });
        }
        if !values.len().is_multiple_of(trials) {
            return Err(MeasureError::Undefined {
                what: "the table of the study",
                why: format!(
                    "{} values do not fill rows of {trials} trials; give every person {trials} \
                     places and leave a missing trial empty",
                    values.len()
                ),
            });
        }
        let n = values.len() / trials;
        room(n, trials)?;
        let people = (0..n as u64).collect();
        let numbers = (1..=trials).map(|j| j as u32).collect();
        Self::checked(values, people, numbers)
    }

    /// Leaves out empty rows and columns and asks for two people and two trials.
    fn checked(
        values: Vec<f64>,
        people: Vec<u64>,
        numbers: Vec<u32>,
    ) -> Result<Self, MeasureError> {
        let k = numbers.len().max(1);
        let mut column = vec![false; k];
        let mut row = vec![false; people.len()];
        for (seen, cells) in row.iter_mut().zip(values.chunks_exact(k)) {
            for (used, cell) in column.iter_mut().zip(cells) {
                *used |= !cell.is_nan();
                *seen |= !cell.is_nan();
            }
        }
        let study = if column.iter().all(|used| *used) && row.iter().all(|seen| *seen) {
            Self {
                values,
                people,
                numbers,
            }
        } else {
            let kept_rows = row.iter().enumerate().filter(|(_, seen)| **seen);
            let kept = |j: usize| column[j];
            Self {
                values: kept_rows
                    .clone()
                    .flat_map(|(i, _)| (0..k).filter(|&j| kept(j)).map(move |j| i * k + j))
                    .map(|place| values[place])
                    .collect(),
                people: kept_rows.map(|(i, _)| people[i]).collect(),
                numbers: (0..k).filter(|&j| kept(j)).map(|j| numbers[j]).collect(),
            }
        };
        for (what, found) in [
            ("people with a value", study.people.len()),
            ("trials with a value", study.numbers.len()),
        ] {
            if found < 2 {
                return Err(MeasureError::TooFew {
                    what,
                    found,
                    needed: 2,
                });
            }
        }
        Ok(study)
    }

    /// Returns the marks of the people, in the order of the rows.
    pub fn people(&self) -> &[u64] {
        &self.people
    }

    /// Returns the numbers of the trials, rising.
    pub fn numbers(&self) -> &[u32] {
        &self.numbers
    }

    /// Returns the value of a person's trial by place, from 0; none when it is missing.
    pub fn value(&self, person: usize, trial: usize) -> Option<f64> {
        if trial >= self.numbers.len() {
            return None;
        }
        let place = person.checked_mul(self.numbers.len())?.checked_add(trial)?;
        self.values.get(place).copied().filter(|v| !v.is_nan())
    }

    /// Returns the same study on natural logs; every value must be above 0.
    pub fn logs(&self) -> Result<Self, MeasureError> {
        let mut values = Vec::with_capacity(self.values.len());
        for &value in &self.values {
            values.push(if value.is_nan() {
                value
            } else {
                check::positive("a value to take the log of", value)?.ln()
            });
        }
        Ok(Self {
            values,
            people: self.people.clone(),
            numbers: self.numbers.clone(),
        })
    }

    /// Row-major table with NaN for gaps.
    pub(crate) fn table(&self) -> &[f64] {
        &self.values
    }

    /// The values of two trials (places from 0) of everyone who has both, with their places.
    pub(crate) fn both(&self, first: usize, second: usize) -> (Vec<usize>, Vec<f64>, Vec<f64>) {
        let n = self.people.len();
        let mut found = (
            Vec::with_capacity(n),
            Vec::with_capacity(n),
            Vec::with_capacity(n),
        );
        for (i, row) in self.values.chunks_exact(self.numbers.len()).enumerate() {
            let (a, b) = (row[first], row[second]);
            if !a.is_nan() && !b.is_nan() {
                found.0.push(i);
                found.1.push(a);
                found.2.push(b);
            }
        }
        found
    }
}

fn room(people: usize, trials: usize) -> Result<usize, MeasureError> {
    people
        .checked_mul(trials)
        .filter(|&cells| cells <= MOST_CELLS)
        .ok_or(MeasureError::TooMany {
            what: "people times trials",
            found: people.saturating_mul(trials),
            allowed: MOST_CELLS,
        })
}
