//! Checks on numbers coming in and going out.
//! Returns faults; never panics, never replaces a value.

use crate::MeasureError;

/// Returns `value` when it is finite.
pub(crate) fn finite(what: &'static str, value: f64) -> Result<f64, MeasureError> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(MeasureError::NotFinite { what, found: value })
    }
}

/// Returns `value` when it is finite and above zero.
pub(crate) fn positive(what: &'static str, value: f64) -> Result<f64, MeasureError> {
    within(what, value, value > 0.0, "any number above 0")
}

/// Returns `value` when it is finite and not below zero.
pub(crate) fn not_negative(what: &'static str, value: f64) -> Result<f64, MeasureError> {
    within(what, value, value >= 0.0, "0 or any number above it")
}

/// Returns `value` when it is finite and `holds`.
pub(crate) fn within(
    what: &'static str,
    value: f64,
    holds: bool,
    allowed: &'static str,
) -> Result<f64, MeasureError> {
    let value = finite(what, value)?;
    if holds {
        Ok(value)
    } else {
        Err(MeasureError::OutOfRange {
            what,
            found: value,
            allowed,
        })
    }
}

/// Returns a confidence level when it lies between 0 and 1, ends excluded.
pub(crate) fn level(value: f64) -> Result<f64, MeasureError> {
    within(
        "confidence level",
        value,
        value > 0.0 && value < 1.0,
        "a fraction between 0 and 1, such as 0.90",
    )
}

/// Returns degrees of freedom when they are at least 1; no value stands for a known error.
pub(crate) fn freedom(df: Option<f64>) -> Result<Option<f64>, MeasureError> {
    df.map(|df| within("degrees of freedom", df, df >= 1.0, "1 or more"))
        .transpose()
}

/// Returns a result when it can be held in a number.
pub(crate) fn result(what: &'static str, value: f64) -> Result<f64, MeasureError> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(MeasureError::Overflow { what })
    }
}

/// Checks that every value of a list is finite and that there are at least `needed`.
pub(crate) fn list(what: &'static str, values: &[f64], needed: usize) -> Result<(), MeasureError> {
    for &value in values {
        finite(what, value)?;
    }
    if values.len() < needed {
        return Err(MeasureError::TooFew {
            what,
            found: values.len(),
            needed,
        });
    }
    Ok(())
}

/// Returns second minus first for two lists of equal length with at least `needed` pairs.
pub(crate) fn differences(
    what: &'static str,
    first: &[f64],
    second: &[f64],
    needed: usize,
) -> Result<Vec<f64>, MeasureError> {
    if first.len() != second.len() {
        return Err(MeasureError::UnequalLengths {
            what,
            first: first.len(),
            second: second.len(),
        });
    }
    list(what, first, needed)?;
    list(what, second, needed)?;
    first
        .iter()
        .zip(second)
        .map(|(a, b)| result("the difference of two values", b - a))
        .collect()
}

/// Returns the natural logarithms of two lists, which must be above zero.
pub(crate) fn logs(what: &'static str, values: &[f64]) -> Result<Vec<f64>, MeasureError> {
    values
        .iter()
        .map(|&value| positive(what, value).map(f64::ln))
        .collect()
}

/// Returns the mean of a list that is not empty.
pub(crate) fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// Returns the standard deviation about the mean, divisor n - 1.
pub(crate) fn sd(values: &[f64]) -> f64 {
    let centre = mean(values);
    let squares: f64 = values.iter().map(|value| (value - centre).powi(2)).sum();
    (squares / (values.len() as f64 - 1.0)).sqrt()
}

/// Returns the median of a list of finite values; none when it is empty.
pub(crate) fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let half = values.len() / 2;
    let upper = *values.get(half)?;
    if values.len() % 2 == 1 {
        return Some(upper);
    }
    Some(values[half - 1] + (upper - values[half - 1]) / 2.0)
}
