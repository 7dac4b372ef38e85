//! Prediction equations: estimates with their sample and doubt, or a worded refusal.
//! Off for under-18s unless asked for; no interval is made up where no error is published.
//! Sources: `references/equations`.

mod equation;
mod estimate;
mod evaluate;
mod inputs;
mod refusal;

pub use equation::{CodeForm, Equation, Limit, SexCode, Term};
pub use estimate::{
    ChildSpeed, Estimate, EstimateOptions, EstimateResult, estimates, estimates_with,
};
pub use inputs::{Input, Inputs};
pub use refusal::Refusal;
