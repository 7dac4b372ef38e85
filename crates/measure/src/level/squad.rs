//! The levels of many people at fixed parameters, on as many threads as the caller allows.
//! Each person's answer or fault comes back in the place of their series.
//! Uses the grid throughout, so that all forms of result are alike.

use super::engine::Field;
use super::model::Model;
use super::posterior::{Level, of_field};
use super::series::Series;
use crate::{MeasureError, check};

/// One person's levels and marginal likelihood.
#[derive(Debug, Clone, PartialEq)]
pub struct Levels {
    /// Level on each date with results.
    pub dates: Vec<Level>,
    /// Natural logarithm of the marginal likelihood of the results.
    pub log_likelihood: f64,
}

/// Returns the levels of each series, in their order; `threads` 0 counts as 1.
pub fn levels(
    model: &Model,
    squad: &[Series],
    confidence: f64,
    threads: usize,
) -> Result<Vec<Result<Levels, MeasureError>>, MeasureError> {
    check::level(confidence)?;
    Ok(spread(squad, threads, |series, field| {
        field.all(model, series, &[], f64::INFINITY)?;
        Ok(Levels {
            dates: of_field(field, confidence).collect(),
            log_likelihood: field.log_likelihood,
        })
    }))
}

/// Does a job for each series, in equal parts on several threads.
pub(super) fn spread<T: Send>(
    squad: &[Series],
    threads: usize,
    job: impl Fn(&Series, &mut Field) -> Result<T, MeasureError> + Sync,
) -> Vec<Result<T, MeasureError>> {
    let part = squad.len().div_ceil(threads.max(1)).max(1);
    let work = |part: &[Series]| -> Vec<Result<T, MeasureError>> {
        let mut field = Field::default();
        part.iter().map(|series| job(series, &mut field)).collect()
    };
    if part >= squad.len() {
        return work(squad);
    }
    std::thread::scope(|scope| {
        let handles: Vec<_> = squad
            .chunks(part)
            .map(|part| (part.len(), scope.spawn(|| work(part))))
            .collect();
        handles
            .into_iter()
            .flat_map(|(count, handle)| {
                handle.join().unwrap_or_else(|_| {
                    (0..count)
                        .map(|_| Err(MeasureError::Overflow { what: "a level" }))
                        .collect()
                })
            })
            .collect()
    })
}
