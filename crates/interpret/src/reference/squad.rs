//! Where a value stands in the squad's own results.
//! Under 30 people a rank with the mean and SD; from 30 on a z and a centile as well.

use plimsoll_measure::norms::standing;
use serde::Serialize;

use super::grade::FEW_PEOPLE;
use crate::InterpretError;

/// A place in a squad.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SquadStanding {
    /// Number of results, the person's own included.
    pub n: usize,
    /// Rank from the best, 1 for the best; equal results share the better rank.
    pub rank: usize,
    /// Mean of the squad.
    pub mean: f64,
    /// SD of the squad; none with one result.
    pub sd: Option<f64>,
    /// z and centile, from 30 results on.
    pub placed: Option<(f64, f64)>,
}

/// Returns the place of a value among the squad's results, its own included.
///
/// # Errors
///
/// A result that is not a number, or no results.
pub fn stand_in_squad(
    squad: &[f64],
    value: f64,
    higher_is_better: bool,
) -> Result<SquadStanding, InterpretError> {
    for &found in squad.iter().chain([&value]) {
        if !found.is_finite() {
            let allowed = "a finite number";
            return Err(InterpretError::Value {
                what: "result",
                found,
                allowed,
            });
        }
    }
    if squad.is_empty() {
        let allowed = "1 or more";
        return Err(InterpretError::Value {
            what: "number of squad results",
            found: 0.0,
            allowed,
        });
    }
    let n = squad.len();
    let better = squad.iter().filter(|&&other| {
        if higher_is_better {
            other > value
        } else {
            other < value
        }
    });
    let rank = better.count() + 1;
    let mean = squad.iter().sum::<f64>() / n as f64;
    let sd = (n > 1).then(|| {
        let squares: f64 = squad.iter().map(|v| (v - mean).powi(2)).sum();
        (squares / (n as f64 - 1.0)).sqrt()
    });
    let placed = match sd {
        Some(sd) if n >= FEW_PEOPLE as usize && sd > 0.0 => {
            let at = standing(value, mean, sd)?;
            Some((at.z, at.centile))
        }
        _ => None,
    };
    Ok(SquadStanding {
        n,
        rank,
        mean,
        sd,
        placed,
    })
}
