//! Measurement error, change, agreement and references, on plain numbers.
//! Knows no test, person or unit: the caller keeps scale and unit. No clock, no I/O, no panic.
//! Formulas: docs/methods/typical-error.md, change.md and references.md.

pub mod change;
mod check;
pub mod dist;
pub mod error;
mod fault;
pub mod fit;
mod interval;
pub mod norms;

pub use fault::MeasureError;
pub use interval::Interval;
