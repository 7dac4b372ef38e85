//! What a group of rows says about a value.
//! z and centile only from 30 people on; no number outside a centile table.

use plimsoll_measure::norms::{CentileTable, Lms, Place, standing};
use serde::Serialize;

use super::grade::FEW_PEOPLE;
use crate::InterpretError;
use crate::data::{ReferenceRow, Statistic};

/// Where a value stands, or what there is to show.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum ReferenceStanding {
    /// A z and a centile.
    Placed {
        /// Standard deviations from the middle.
        z: f64,
        /// Share of the reference below, percent.
        centile: f64,
    },
    /// Outside a table of centiles.
    OffTable {
        /// Such as "below P5".
        words: String,
    },
    /// A mean, with SD where known; too few people, or no SD, for a z.
    MeanOnly {
        /// The mean.
        mean: f64,
        /// SD between people, if known.
        sd: Option<f64>,
        /// Why there is no z, in words.
        why: String,
    },
    /// A coarse range, for orientation only.
    Range {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
    },
    /// A cut-point against an outside criterion; not a centile.
    CutPoint {
        /// The value of the cut-point.
        at: f64,
        /// Whether the value reaches it; none without a value.
        reached: Option<bool>,
    },
    /// The reference is there; no value was given to place.
    NotPlaced,
}

/// Returns the standing of a value in a group of rows of one kind. The group is not empty.
pub(crate) fn stand(
    group: &[&ReferenceRow],
    value: Option<f64>,
    age: f64,
) -> Result<Option<ReferenceStanding>, InterpretError> {
    let Some(first) = group.first() else {
        return Ok(None);
    };
    Ok(Some(match first.statistic {
        Statistic::Mean { mean, sd, .. } => of_mean(mean, sd, first.n, value)?,
        Statistic::Centile { .. } => of_centiles(group, value)?,
        Statistic::Lms { .. } => match of_lms(group, value, age)? {
            Some(found) => found,
            None => return Ok(None),
        },
        Statistic::Range { low, high } => ReferenceStanding::Range { low, high },
        Statistic::CutPoint { value: at } => ReferenceStanding::CutPoint {
            at,
            reached: value.map(|value| value >= at),
        },
        Statistic::Note { .. } => return Ok(None),
    }))
}

fn of_mean(
    mean: f64,
    sd: Option<f64>,
    n: Option<u32>,
    value: Option<f64>,
) -> Result<ReferenceStanding, InterpretError> {
    let why = match (sd, n) {
        (None, _) => "no SD is known".to_owned(),
        (_, None) => "the number of people is not known".to_owned(),
        (_, Some(n)) if n < FEW_PEOPLE => format!("only {n} people, under {FEW_PEOPLE}"),
        (Some(sd), Some(_)) => {
            let Some(value) = value else {
                return Ok(ReferenceStanding::NotPlaced);
            };
            let at = standing(value, mean, sd)?;
            return Ok(ReferenceStanding::Placed {
                z: at.z,
                centile: at.centile,
            });
        }
    };
    Ok(ReferenceStanding::MeanOnly { mean, sd, why })
}

fn of_centiles(
    group: &[&ReferenceRow],
    value: Option<f64>,
) -> Result<ReferenceStanding, InterpretError> {
    let mut rows: Vec<(f64, f64)> = group
        .iter()
        .filter_map(|row| match row.statistic {
            Statistic::Centile { centile, value } => Some((centile, value)),
            _ => None,
        })
        .collect();
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    let table = CentileTable::new(&rows)?;
    let Some(value) = value else {
        return Ok(ReferenceStanding::NotPlaced);
    };
    Ok(match table.place(value)? {
        Place::Within(at) => ReferenceStanding::Placed {
            z: at.z,
            centile: at.centile,
        },
        outside => ReferenceStanding::OffTable {
            words: outside.to_string(),
        },
    })
}

/// L, M and S are interpolated linearly between the ages of the table, never beyond them.
fn of_lms(
    group: &[&ReferenceRow],
    value: Option<f64>,
    age: f64,
) -> Result<Option<ReferenceStanding>, InterpretError> {
    let mut rows: Vec<(f64, [f64; 3])> = group
        .iter()
        .filter_map(|row| match row.statistic {
            Statistic::Lms { l, m, s } => row.age.min.map(|at| (at, [l, m, s])),
            _ => None,
        })
        .collect();
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    let above = rows.iter().position(|&(at, _)| at >= age);
    let [l, m, s] = match above {
        Some(index) if rows[index].0 == age => rows[index].1,
        Some(index) if index > 0 => {
            let ((low, a), (high, b)) = (rows[index - 1], rows[index]);
            let share = (age - low) / (high - low);
            [0, 1, 2].map(|i| a[i] + share * (b[i] - a[i]))
        }
        _ => return Ok(None),
    };
    let Some(value) = value else {
        return Ok(Some(ReferenceStanding::NotPlaced));
    };
    let at = Lms::new(l, m, s)?.standing(value)?;
    Ok(Some(ReferenceStanding::Placed {
        z: at.z,
        centile: at.centile,
    }))
}
