//! From a definition to its ladder. One file per way of pacing.

mod bouts;
mod continuous;
mod timed_runs;

use crate::definition::{Definition, LadderSource, Shape, Stage};
use crate::ladder::Ladder;

/// Returns the ladder of a resolved definition, or nothing for an unpaced test.
///
/// The definition has passed `parse`: what a shape needs is there and in range.
pub(crate) fn ladder(definition: &Definition) -> Option<Ladder> {
    let whole = match definition.shape {
        Shape::Bouts => bouts::build(definition),
        Shape::TimedRuns => timed_runs::build(definition),
        Shape::Continuous => continuous::build(definition),
        Shape::DistanceInTime | Shape::TimeForDistance | Shape::Sprints | Shape::Trials => None,
    }?;
    match &definition.ladder {
        LadderSource::Base {
            stop_after: Some(stop),
            ..
        } => cut_after(&whole, &stop.value),
        LadderSource::Base {
            stop_after: None, ..
        }
        | LadderSource::Own => Some(whole),
    }
}

/// Returns the ladder up to and with the bout of this label.
fn cut_after(whole: &Ladder, label: &str) -> Option<Ladder> {
    let last = whole.by_label(label)?.clone();
    let bouts: Vec<_> = whole
        .bouts()
        .iter()
        .take_while(|b| b.number <= last.number)
        .cloned()
        .collect();
    let mut stages: Vec<_> = whole
        .stages()
        .iter()
        .take(last.stage + 1)
        .cloned()
        .collect();
    if let Some(stage) = stages.last_mut() {
        stage.end = last.finish;
        stage.distance = last.distance;
        stage.last_bout = last.number;
    }
    Some(Ladder::new(bouts, stages))
}

/// Returns the label of the `n`-th bout of a stage, counted from 1.
fn label(definition: &Definition, stage: &Stage, n: u32) -> String {
    if definition.stage_is_label {
        stage.label.clone()
    } else {
        format!("{}.{n}", stage.label)
    }
}
