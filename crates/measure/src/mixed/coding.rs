//! Columns for an intercept and for a factor.
//! Treatment coding only: each level against the first.

use super::Column;
use crate::MeasureError;

/// Returns a column of ones for `rows` rows.
pub fn intercept(rows: usize) -> Column {
    Column::new("(Intercept)", vec![1.0; rows])
}

/// Returns a 0/1 column for each of `labels` but the first, which is the one compared with.
/// `codes` holds the position of the label, one a row, from 0.
pub fn treatment_columns(
    factor: &str,
    labels: &[&str],
    codes: &[usize],
) -> Result<Vec<Column>, MeasureError> {
    if labels.len() < 2 {
        return Err(MeasureError::TooFew {
            what: "levels of a fixed factor",
            found: labels.len(),
            needed: 2,
        });
    }
    if let Some(row) = codes.iter().position(|&code| code >= labels.len()) {
        return Err(MeasureError::ModelInput {
            place: format!("row {} of factor `{factor}`", row + 1),
            found: format!("level number {}", codes[row]),
            allowed: format!("0 to {}", labels.len() - 1),
            next: "correct the level or add its label".into(),
        });
    }
    Ok(labels
        .iter()
        .enumerate()
        .skip(1)
        .map(|(level, label)| {
            let values = codes.iter().map(|&code| f64::from(code == level)).collect();
            Column::new(format!("{factor}{label}"), values)
        })
        .collect())
}
