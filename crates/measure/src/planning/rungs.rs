//! The rungs of a ladder: distance and time at the end of each bout.
//! Knows no speeds and no labels.

use crate::{MeasureError, check};

/// More bouts than any ladder has.
const MOST: usize = 5_000;

/// Distance (any one unit) and time (s) at the end of each bout, both rising; checked when made.
#[derive(Debug, Clone, PartialEq)]
pub struct Rungs {
    distances: Vec<f64>,
    times: Vec<f64>,
}

impl Rungs {
    /// Makes the rungs from total distance and time since the first start at the end of each bout.
    pub fn new(distances: Vec<f64>, times: Vec<f64>) -> Result<Self, MeasureError> {
        if distances.len() != times.len() {
            return Err(MeasureError::UnequalLengths {
                what: "distances and times of the bouts",
                first: distances.len(),
                second: times.len(),
            });
        }
        if distances.len() > MOST {
            return Err(MeasureError::TooMany {
                what: "bouts of the ladder",
                found: distances.len(),
                allowed: MOST,
            });
        }
        rising("distances at the end of the bouts", &distances)?;
        rising("times at the end of the bouts", &times)?;
        Ok(Self { distances, times })
    }

    /// Returns the number of bouts, 1 or more.
    pub fn bouts(&self) -> usize {
        self.distances.len()
    }

    /// Returns the distance after `done` bouts; 0 before the first, the end beyond the last.
    pub fn distance(&self, done: usize) -> f64 {
        at(&self.distances, done)
    }

    /// Returns the time at the end of `done` bouts, s; 0 before the first, the end beyond the last.
    pub fn time(&self, done: usize) -> f64 {
        at(&self.times, done)
    }

    /// Returns when somebody who completes `done` bouts is out at the latest: the end of the bout
    /// under way, s; the end of the ladder for who runs it all.
    pub fn out_by(&self, done: usize) -> f64 {
        self.time(done + 1)
    }

    /// Returns the number of bouts that end at or before a time, s.
    pub fn bouts_by(&self, time: f64) -> usize {
        self.times.partition_point(|t| *t <= time)
    }

    /// Returns the number of bouts completed at or before a distance.
    pub fn bouts_at(&self, distance: f64) -> usize {
        self.distances.partition_point(|d| *d <= distance)
    }

    /// Returns the ln of the middle of what a result of `done` bouts stands for: a score is rounded
    /// down to whole bouts, so the distance that could be run lies between it and the next rung.
    pub fn middle_ln(&self, done: usize) -> f64 {
        let n = self.bouts();
        let low = self.distance(done.min(n));
        let high = if done < n {
            self.distance(done + 1)
        } else {
            low + (low - self.distance(n - 1))
        };
        f64::midpoint(low, high).ln()
    }
}

fn at(list: &[f64], done: usize) -> f64 {
    match done.min(list.len()) {
        0 => 0.0,
        n => list[n - 1],
    }
}

fn rising(what: &'static str, values: &[f64]) -> Result<(), MeasureError> {
    check::list(what, values, 1)?;
    let mut before = 0.0;
    for (&found, position) in values.iter().zip(1..) {
        if found <= before {
            return Err(MeasureError::NotRising {
                what,
                position,
                found,
                before,
            });
        }
        before = found;
    }
    Ok(())
}
