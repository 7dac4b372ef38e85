//! From an outcome to what it means: estimates, typical errors, change and references.
//! Reads no file, no clock and no environment: the caller hands in texts, numbers and dates.
//! Facts come from `references/`, each with its source and how it was seen.

pub mod change;
mod confidence;
pub mod data;
pub mod equations;
mod error;
mod person;
pub mod reference;
pub mod reliability;
pub mod speeds;
pub mod training;
mod words;

pub use confidence::Confidence;
pub use data::Catalogue;
pub use error::InterpretError;
pub use person::{Level, Performance, Person, Sex, SexGroup, Size, Unit};
