//! What may make a whole wave run better or worse than predicted.
//! Each cause is a shape over the runners and a prior SD of its size; shapes are the caller's.
//! The helpers below are working assumptions, not findings: derived, no source.

use crate::{MeasureError, check};

/// What kind of thing a cause is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CauseKind {
    /// The course is longer or shorter than it should be.
    CourseLength,
    /// The signal is played too fast or too slow.
    PlaybackSpeed,
    /// Wind along the lanes.
    Wind,
    /// Runners know the test better than last time.
    Learning,
    /// Runners are fitter than last time.
    Training,
    /// Anything else the caller has a shape for.
    Other,
}

/// A candidate cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Cause {
    /// What it is.
    pub kind: CauseKind,
    /// Effect on each runner's outcome for a size of 1, in the unit of the outcome.
    pub shape: Vec<f64>,
    /// Prior SD of its size around 0, above 0.
    pub prior_sd: f64,
    /// Prior weight against the other causes and nothing, above 0.
    pub weight: f64,
}

/// What would tell two candidates apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NextMeasurement {
    /// Measure the course with a tape.
    TapeTheCourse,
    /// Time the signal as played against a clock.
    TimeTheSignal,
    /// Read the wind along the lanes, or repeat across them.
    ReadTheWind,
    /// Repeat within days: learning goes on, training has no time to act.
    RepeatWithinDays,
    /// Test more runners, above all such as differ in what the two causes act on.
    TestMoreRunners,
}

/// The same effect on everyone: course length and playback speed, on logs of speed or distance.
pub fn even_shape(runners: usize) -> Vec<f64> {
    vec![1.0; runners]
}

/// Learning since the trial before: 1 for a second trial, half as much for each later one, 0 for
/// a first trial (trial numbers from 1).
pub fn learning_shape(trial_numbers: &[u32]) -> Vec<f64> {
    let step = |&trial: &u32| match trial {
        0 | 1 => 0.0,
        trial => 0.5_f64.powi((trial - 2).min(1000) as i32),
    };
    trial_numbers.iter().map(step).collect()
}

/// Training since the trial before: proportional to the weeks (0 or more); size is per week.
pub fn training_shape(weeks: &[f64]) -> Result<Vec<f64>, MeasureError> {
    weeks
        .iter()
        .map(|&weeks| check::not_negative("weeks of training", weeks))
        .collect()
}

/// The measurement that tells two candidates (none: nothing) apart, the cheapest first.
pub(crate) fn next(first: Option<CauseKind>, second: Option<CauseKind>) -> NextMeasurement {
    let has = |kind| first == Some(kind) || second == Some(kind);
    if has(CauseKind::CourseLength) {
        NextMeasurement::TapeTheCourse
    } else if has(CauseKind::PlaybackSpeed) {
        NextMeasurement::TimeTheSignal
    } else if has(CauseKind::Wind) {
        NextMeasurement::ReadTheWind
    } else if has(CauseKind::Learning) || has(CauseKind::Training) {
        NextMeasurement::RepeatWithinDays
    } else {
        NextMeasurement::TestMoreRunners
    }
}
