//! The numbers behind the figures of a study: points, lines, error by level.
//! Draws nothing.
//! Formulas: `error`.

use super::analysis::{ErrorEstimate, estimate};
use super::trials::Trials;
use crate::MeasureError;
use crate::error::typical_error;

/// A point of a Bland-Altman figure, in the unit of the data.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PairPoint {
    /// Mark of the person.
    pub person: u64,
    /// Mean of both trials.
    pub mean: f64,
    /// Later minus earlier trial.
    pub difference: f64,
}

/// One person's values over the trials.
#[derive(Debug, Clone, PartialEq)]
pub struct PersonLine {
    /// Mark of the person.
    pub person: u64,
    /// Number of the trial and value, missing trials left out.
    pub points: Vec<(u32, f64)>,
}

/// The typical error of the people within a range of levels.
#[derive(Debug, Clone, PartialEq)]
pub struct ErrorBand {
    /// Smallest person mean in the band.
    pub from: f64,
    /// Largest person mean in the band.
    pub to: f64,
    /// Number of people.
    pub n: usize,
    /// Their typical error with its interval, or why there is none.
    pub error: Result<ErrorEstimate, MeasureError>,
}

/// Returns the points of two trials (places from 0) for whoever has both.
pub fn pair_points(
    trials: &Trials,
    first: usize,
    second: usize,
) -> Result<Vec<PairPoint>, MeasureError> {
    places(trials, first, second)?;
    let (rows, a, b) = trials.both(first, second);
    Ok(rows
        .iter()
        .zip(a.iter().zip(&b))
        .map(|(&row, (a, b))| PairPoint {
            person: trials.people()[row],
            mean: a + (b - a) / 2.0,
            difference: b - a,
        })
        .collect())
}

/// Returns one line a person.
pub fn person_lines(trials: &Trials) -> Vec<PersonLine> {
    let row = |i: usize| {
        let value = move |(j, &number): (usize, &u32)| Some((number, trials.value(i, j)?));
        trials.numbers().iter().enumerate().filter_map(value)
    };
    trials
        .people()
        .iter()
        .enumerate()
        .map(|(i, &person)| PersonLine {
            person,
            points: row(i).collect(),
        })
        .collect()
}

/// Returns the typical error of two trials (places from 0) in `bands` (1 or more) bands of about
/// equal numbers of people, from the lowest level to the highest.
pub fn error_by_level(
    trials: &Trials,
    first: usize,
    second: usize,
    bands: usize,
    level: f64,
) -> Result<Vec<ErrorBand>, MeasureError> {
    let mut points = pair_points(trials, first, second)?;
    if bands == 0 || points.len() < 2 * bands {
        return Err(MeasureError::TooFew {
            what: "people with both trials, two for each band",
            found: points.len(),
            needed: 2 * bands.max(1),
        });
    }
    points.sort_by(|a, b| a.mean.total_cmp(&b.mean));
    let band = |i: usize| {
        let part = &points[i * points.len() / bands..(i + 1) * points.len() / bands];
        let zeros = vec![0.0; part.len()];
        let steps: Vec<f64> = part.iter().map(|p| p.difference).collect();
        ErrorBand {
            from: part[0].mean,
            to: part[part.len() - 1].mean,
            n: part.len(),
            error: typical_error(&zeros, &steps).and_then(|error| estimate(error, level)),
        }
    };
    Ok((0..bands).map(band).collect())
}

fn places(trials: &Trials, first: usize, second: usize) -> Result<(), MeasureError> {
    let k = trials.numbers().len();
    if first < k && second < k && first != second {
        return Ok(());
    }
    Err(MeasureError::Undefined {
        what: "the pair of trials",
        why: format!(
            "places {first} and {second} must differ and lie from 0 to {}",
            k - 1
        ),
    })
}
