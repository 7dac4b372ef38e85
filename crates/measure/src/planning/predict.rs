//! The next result of each member of a squad from earlier ones: pulled towards the squad, with error.
//! Knows no time: a change of level since the earlier results is the caller's to say.
//! Formula: true-score regression, as `change::true_score`; docs/methods/planning.md.

use super::Runner;
use crate::{MeasureError, check};

/// From so many people with results on, the squad's own spread is used.
const ENOUGH: usize = 5;

/// What the squad as a whole comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Squad {
    /// Mean ln distance of the people with results.
    pub mean: f64,
    /// SD of true levels between people, ln scale, without the error; none with under 5 people.
    pub between: Option<f64>,
    /// People with results.
    pub known: usize,
    /// The next result of each person, in the order given; none for people without results while
    /// the squad's spread is not known.
    pub runners: Vec<Option<Runner>>,
}

/// Returns the prediction of each person's next result from the ln distances of earlier ones
/// (none for a newcomer) and the typical error on the ln scale (0 or more).
///
/// With 5 people or more each mean is pulled towards the squad's by its reliability, and newcomers
/// are drawn from the squad. With fewer, each stands alone with the error of its own results.
pub fn squad_predictions(earlier: &[Vec<f64>], error: f64) -> Result<Squad, MeasureError> {
    let error = check::within(
        "typical error, ln scale",
        error,
        (0.0..=2.0).contains(&error),
        "0 to 2",
    )?;
    for values in earlier {
        check::list("ln distances of earlier results", values, 0)?;
    }
    let known: Vec<(f64, f64)> = earlier
        .iter()
        .filter(|v| !v.is_empty())
        .map(|v| (check::mean(v), v.len() as f64))
        .collect();
    if known.is_empty() {
        return Err(MeasureError::TooFew {
            what: "people with an earlier result",
            found: 0,
            needed: 1,
        });
    }
    let means: Vec<f64> = known.iter().map(|k| k.0).collect();
    let mean = check::mean(&means);
    let noise = error * error;
    // Spread of the means less the error that is in them.
    let between = (known.len() >= ENOUGH).then(|| {
        let in_means = known.iter().map(|k| noise / k.1).sum::<f64>() / known.len() as f64;
        (check::sd(&means).powi(2) - in_means).max(0.0)
    });
    let runners = earlier
        .iter()
        .map(|values| {
            let n = values.len() as f64;
            match (values.is_empty(), between) {
                (true, None) => Ok(None),
                (true, Some(b)) => Runner::new(mean, (b + noise).sqrt()).map(Some),
                (false, None) => {
                    Runner::new(check::mean(values), (noise * (1.0 + 1.0 / n)).sqrt()).map(Some)
                }
                (false, Some(b)) => {
                    let share = if b > 0.0 { b / (b + noise / n) } else { 0.0 };
                    let middle = mean + share * (check::mean(values) - mean);
                    Runner::new(middle, (b * (1.0 - share) + noise).sqrt()).map(Some)
                }
            }
        })
        .collect::<Result<_, _>>()?;
    Ok(Squad {
        mean,
        between: between.map(f64::sqrt),
        known: known.len(),
        runners,
    })
}
