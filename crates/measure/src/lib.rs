//! Measurement error, change, agreement and references, on plain numbers.
//! Knows no test, person or unit: the caller keeps scale and unit. No clock, no I/O, no panic.
//! Formulas with their sources and limits: docs/methods/.

pub mod change;
mod check;
pub mod critical;
pub mod dist;
pub mod error;
mod fault;
pub mod fit;
pub mod growth;
mod interval;
pub mod level;
pub mod mixed;
pub mod norms;
pub mod planning;
mod quad;
pub mod robust;
mod spd;
pub mod squad;
pub mod study;
mod tails;

pub use fault::MeasureError;
pub use interval::Interval;
