//! One module a source.

mod ferigne_2025;
mod haydar_2011;
mod interpretation_notes;
mod leger_1988;
mod ramsbottom_1988;
mod run12_1968;
mod scipy_critical_speed;
mod shuttle1200_2014;
mod stat_test_vectors;

use plimsoll_interpret::equations::{Equation, Inputs};

/// Returns an equation of the built-in catalogue.
fn equation(id: &str) -> Equation {
    let all = crate::catalogue();
    all.equations
        .into_iter()
        .find(|e| e.id == id)
        .unwrap_or_else(|| panic!("no equation `{id}`"))
}

/// Returns inputs of an adult man of 25.
fn man() -> Inputs {
    Inputs {
        sex: Some(plimsoll_interpret::Sex::Male),
        age_years: Some(25.0),
        ..Inputs::default()
    }
}

/// Asserts that a number is within a tolerance of another.
#[track_caller]
fn near(got: f64, want: f64, tolerance: f64) {
    assert!(
        (got - want).abs() <= tolerance,
        "got {got}, want {want} within {tolerance}"
    );
}
