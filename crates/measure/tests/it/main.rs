//! Checks of the measurement crate: published numbers, library numbers, properties, faults.

mod faults;
mod golden;
mod properties;
mod published;
