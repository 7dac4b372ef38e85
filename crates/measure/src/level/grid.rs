//! Range and spacing of the grid of levels, from a Gaussian stand-in of the results.
//! Wide and fine enough for 1e-3 of the smoothed SD; refuses what would need too many points.
//! Reasons for the constants: docs/methods/level.md, "The grid".

use super::kalman::Run;
use super::model::Model;
use super::nodes::Node;
use super::reading::Reading;
use crate::MeasureError;

/// SDs on either side of a smoothed level.
const REACH: f64 = 7.0;
/// Points to the smallest smoothed SD.
const PER_SD: f64 = 3.0;
/// At most so many points to it, for the sake of short steps of the walk.
const MOST_PER_SD: f64 = 8.0;
/// Spacings to the error of a bounded result, whose edge is that sharp.
const PER_EDGE: f64 = 1.5;
/// Most points of a grid.
const MOST: f64 = 20_000.0;

/// Levels origin, origin + spacing, ...
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Layout {
    pub(super) origin: f64,
    pub(super) spacing: f64,
    pub(super) points: usize,
}

/// Returns the grid; `finest` asks for at least that fine a spacing.
pub(super) fn layout(
    model: &Model,
    nodes: &[Node],
    readings: &[Reading],
    run: &Run,
    finest: f64,
) -> Result<Layout, MeasureError> {
    let (mut low, mut high, mut narrow) = (f64::INFINITY, f64::NEG_INFINITY, f64::INFINITY);
    for state in run.smoothed.iter().flatten() {
        let sd = state.variance.sqrt();
        low = low.min(state.mean - REACH * sd);
        high = high.max(state.mean + REACH * sd);
        narrow = narrow.min(sd);
    }
    if run.smoothed.iter().any(Option::is_none) {
        bounded(readings)?;
        narrow = readings.iter().map(Reading::width).fold(narrow, f64::min);
    }
    let span = nodes.last().map_or(0.0, |last| last.week - nodes[0].week);
    let mut spacing = narrow / PER_SD;
    for reading in readings {
        let width = reading.width();
        if let Some((bound, _)) = reading.bound() {
            let reach = REACH * (width * width + model.drift * span).sqrt();
            low = low.min(bound - reach);
            high = high.max(bound + reach);
        }
        if reading.exact().is_none() {
            spacing = spacing.min(width / PER_EDGE);
        }
    }
    spacing = for_steps(model, nodes, spacing, narrow).min(finest);
    let points = ((high - low) / spacing).ceil() + 1.0;
    if (2.0..=MOST).contains(&points) {
        return Ok(Layout {
            origin: low,
            spacing,
            points: points as usize,
        });
    }
    Err(MeasureError::Undefined {
        what: "a level on a grid",
        why: format!(
            "the results and dates span {:.3e} but a step of {spacing:.3e} would be needed; check \
             the unit of the results, their typical error and the dates",
            high - low
        ),
    })
}

/// A step of the walk wants a spacing no wider than its SD, within reason.
fn for_steps(model: &Model, nodes: &[Node], spacing: f64, narrow: f64) -> f64 {
    let shortest = nodes
        .windows(2)
        .map(|pair| (model.drift * (pair[1].week - pair[0].week)).sqrt())
        .filter(|&sd| sd > 0.0)
        .fold(f64::INFINITY, f64::min);
    spacing.min((0.99 * shortest).max(narrow / MOST_PER_SD))
}

/// With a diffuse start and bounds alone, there must be one on either side.
fn bounded(readings: &[Reading]) -> Result<(), MeasureError> {
    let bounds = || readings.iter().filter_map(Reading::bound);
    if bounds().any(|(_, above)| above) && bounds().any(|(_, above)| !above) {
        return Ok(());
    }
    Err(MeasureError::Undefined {
        what: "the level",
        why: "every result only bounds it on the same side and nothing is known of the group; \
              give the group's mean and SD, or add a result that was not cut short"
            .to_owned(),
    })
}
