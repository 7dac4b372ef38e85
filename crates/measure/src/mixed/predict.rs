//! Predictions for the rows fitted or for new ones.
//! A level that was not fitted has an expected effect of 0; how many there were is reported.

use super::guard::{column, fault};
use super::{Column, Design, Fit};
use crate::MeasureError;

/// What a prediction is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Level {
    /// Fixed effects only: the typical level of every factor.
    Population,
    /// Fixed and random effects: this very level.
    Groups,
}

/// Predicted values.
#[derive(Debug, Clone, PartialEq)]
pub struct Predicted {
    /// One value a row, unit of the response.
    pub values: Vec<f64>,
    /// Levels of the rows, over all terms, that were not fitted and count as typical.
    pub unknown_levels: usize,
}

fn same_columns(place: &str, fitted: &[&str], given: &[Column]) -> Result<(), MeasureError> {
    let names: Vec<&str> = given.iter().map(|c| c.name.as_str()).collect();
    if names == fitted {
        return Ok(());
    }
    Err(fault(
        place,
        format!("columns {}", names.join(", ")),
        format!("those of the fit: {}", fitted.join(", ")),
        "give the same columns in the same order",
    ))
}

impl Fit {
    /// Predicts for the rows of `design`, which has the columns and terms of the fit.
    pub fn predict(&self, design: &Design, level: Level) -> Result<Predicted, MeasureError> {
        let names: Vec<&str> = self.fixed.iter().map(|f| f.name.as_str()).collect();
        same_columns("fixed columns to predict for", &names, &design.fixed)?;
        let first = design.fixed.first().map(|c| c.values.len());
        let rows = first
            .or_else(|| design.random.first().map(|t| t.groups.len()))
            .unwrap_or(0);
        let mut values = vec![0.0; rows];
        for (item, effect) in design.fixed.iter().zip(&self.fixed) {
            column("fixed column", item, rows)?;
            for (value, x) in values.iter_mut().zip(&item.values) {
                *value += effect.estimate * x;
            }
        }
        let mut unknown_levels = 0;
        if level == Level::Groups {
            self.check_terms(design, rows)?;
            for (term, given) in self.terms.iter().zip(&design.random) {
                for (row, group) in given.groups.iter().enumerate() {
                    let Ok(at) = term.levels.binary_search(group) else {
                        unknown_levels += 1;
                        continue;
                    };
                    for (effect, item) in term.effects[at].iter().zip(&given.columns) {
                        values[row] += effect * item.values[row];
                    }
                }
            }
        }
        for &value in &values {
            crate::check::result("a prediction", value)?;
        }
        Ok(Predicted {
            values,
            unknown_levels,
        })
    }

    fn check_terms(&self, design: &Design, rows: usize) -> Result<(), MeasureError> {
        let fitted: Vec<&str> = self.terms.iter().map(|t| t.name.as_str()).collect();
        let given: Vec<&str> = design.random.iter().map(|t| t.name.as_str()).collect();
        if fitted != given {
            return Err(fault(
                "random terms to predict for",
                given.join(", "),
                format!("those of the fit: {}", fitted.join(", ")),
                "give the same terms in the same order",
            ));
        }
        for (term, given) in self.terms.iter().zip(&design.random) {
            let place = format!("random term `{}`", term.name);
            let names: Vec<&str> = term.columns.iter().map(|c| c.name.as_str()).collect();
            same_columns(&place, &names, &given.columns)?;
            for item in &given.columns {
                column(&place, item, rows)?;
            }
            if given.groups.len() != rows {
                return Err(fault(
                    place,
                    format!("{} levels", given.groups.len()),
                    format!("{rows}, one a row"),
                    "give one level for each row",
                ));
            }
        }
        Ok(())
    }
}
