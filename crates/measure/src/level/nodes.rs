//! The dates at which a level is worked out, each with its results.
//! Dates asked for in addition carry no result.

use super::series::Series;
use crate::{MeasureError, check};

/// A date and the results of that date, as positions in the series.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Node {
    pub(super) week: f64,
    pub(super) first: usize,
    pub(super) end: usize,
}

/// Fills `nodes` with the dates of a series and the extra ones, in order, each once.
pub(super) fn fill(
    series: &Series,
    extra: &[f64],
    nodes: &mut Vec<Node>,
) -> Result<(), MeasureError> {
    nodes.clear();
    let seen = series.observations();
    for (place, one) in seen.iter().enumerate() {
        match nodes.last_mut() {
            Some(last) if last.week == one.week => last.end = place + 1,
            _ => nodes.push(Node {
                week: one.week,
                first: place,
                end: place + 1,
            }),
        }
    }
    for &week in extra {
        check::within(
            "date asked for, in weeks",
            week,
            week >= series.first_week(),
            "the date of the first result or any date after it",
        )?;
        let place = nodes.partition_point(|node| node.week < week);
        if nodes.get(place).is_none_or(|node| node.week > week) {
            let first = nodes.get(place).map_or(seen.len(), |next| next.first);
            nodes.insert(
                place,
                Node {
                    week,
                    first,
                    end: first,
                },
            );
        }
    }
    Ok(())
}
