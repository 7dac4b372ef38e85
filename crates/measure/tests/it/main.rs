//! Checks of the measurement crate: published numbers, library numbers, properties, faults.

mod critical;
mod faults;
mod golden;
mod growth;
mod level;
mod mixed_data;
mod mixed_dense;
mod mixed_faults;
mod mixed_properties;
mod planning;
mod properties;
mod published;
mod seeded;
mod simulate;
mod squad;
mod study;
