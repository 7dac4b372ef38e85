//! Reads the golden files and compares numbers.

use serde_json::Value;

/// Relative tolerance against numbers printed at full double precision: the brief's 1e-9.
pub const FULL_PRECISION: f64 = 1e-9;

/// Returns a golden file as JSON.
pub fn json(text: &str) -> Value {
    serde_json::from_str(text).expect("a golden file is JSON")
}

/// Returns a field as a number.
pub fn number(row: &Value, field: &str) -> f64 {
    row[field]
        .as_f64()
        .unwrap_or_else(|| panic!("no number `{field}` in {row}"))
}

/// Returns a field as a list of numbers.
pub fn numbers(row: &Value, field: &str) -> Vec<f64> {
    row[field]
        .as_array()
        .unwrap_or_else(|| panic!("no list `{field}` in {row}"))
        .iter()
        .map(|v| v.as_f64().expect("a number"))
        .collect()
}

/// Returns the rows of a list.
pub fn rows<'a>(file: &'a Value, field: &str) -> &'a Vec<Value> {
    let rows = file[field]
        .as_array()
        .unwrap_or_else(|| panic!("no list `{field}`"));
    assert!(
        !rows.is_empty(),
        "`{field}` is empty: the check would test nothing"
    );
    rows
}

/// Asserts equality within a tolerance, relative for numbers above 1.
#[track_caller]
pub fn close(what: &str, got: f64, want: f64, tolerance: f64) {
    let allowed = tolerance * want.abs().max(1.0);
    assert!(
        (got - want).abs() <= allowed,
        "{what}: got {got:.17e}, want {want:.17e}"
    );
}

/// Asserts equality within a relative tolerance, however small the number.
#[track_caller]
pub fn close_relative(what: &str, got: f64, want: f64, tolerance: f64) {
    assert!(
        (got - want).abs() <= tolerance * want.abs(),
        "{what}: got {got:e}, want {want:e}"
    );
}
